//! The lens: the tracing at the place on paper scale, with beat marks, RR intervals, wave limits and calipers.
//!
//! One millimetre is 96 / 25.4 points at x1, the size that desktop systems agree on; the zoom steps change
//! both axes alike, so that 25 mm/s and 10 mm/mV always keep their aspect.

mod beats;
mod calipers;
mod input;
mod layout;
mod paper;
mod paper_area;
mod state;
#[cfg(test)]
mod tests;

use egui::{Align2, Rect, Role, Sense, Ui, WidgetInfo, pos2, vec2};

use crate::app::act::Act;
use crate::commands::table::Command;
use crate::paint::canvas::snapped;
use crate::paint::focus::{focus_ring, mark_part};
use crate::paint::headline::{HEAD_PT, Headline, font, text_scale};
use crate::shell::view_context::ViewContext;
use paper_area::{LETTERS_PT, Paper};
pub use state::LensState;

/// Room of the switches at the right of the line of words, points.
const TOOLS_PT: f32 = 240.0;

/// Draws the lens in the available space.
pub fn lens(ui: &mut Ui, view: &mut ViewContext<'_>, state: &mut LensState) {
    let scale = text_scale(ui.ctx());
    let size = ui.available_size().max(vec2(120.0, 80.0));
    let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, 0.0, view.theme.panel);
    if view.snapshot.recording.samples <= 0 || view.snapshot.recording.leads.is_empty() {
        response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Lens, empty"));
        let words = "The tracing at the place in the day is shown here on paper scale.";
        painter.text(rect.center(), Align2::CENTER_CENTER, words, font(&painter, 14.0), view.theme.faint);
        return;
    }
    let head = Rect::from_min_size(rect.min, vec2(rect.width(), HEAD_PT * scale));
    let top = rect.top() + state.head_pt + LETTERS_PT * scale;
    let paper_rect = snapped(Rect::from_min_max(pos2(rect.left(), top), rect.max), ui.pixels_per_point());
    let paper = state.lay_paper(view, paper_rect, scale);
    state.shown = Some(paper.geom.span);
    let caption = caption(view, state, &paper);
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, format!("Lens, {caption}")));
    paper::washes(&painter, view, &paper);
    // What does not fit the paper is cut at its edge and never drawn over words and letters.
    let on_paper = painter.with_clip_rect(paper.rect.intersect(painter.clip_rect()));
    on_paper.add(egui::Shape::Mesh(state.paper_mesh(view, &paper, ui.pixels_per_point())));
    paper::words(&on_paper, view, &paper);
    beats::wave_limits(&on_paper, view, &paper, state.all_waves);
    beats::place(&painter, view, &paper);
    let line = Headline::new(&painter, view.theme, &caption, rect.width(), TOOLS_PT);
    line.draw(&painter, view.theme, rect);
    if (line.height_pt() - state.head_pt).abs() > 0.5 {
        // The paper makes room in the next frame.
        state.head_pt = line.height_pt();
        ui.ctx().request_repaint();
    }
    focus_ring(&painter, &response, view.theme);
    mark_part(&response, "lens");
    input::pointer(ui, &response, view, state, &paper);
    beats::buttons(ui, &painter, view, &paper);
    calipers::draw(&painter, view, &paper, state.caliper.as_ref());
    if let Some((a, b)) = state.drag {
        let x = paper.x_from_sample(a.min(b))..=paper.x_from_sample(a.max(b));
        painter.rect_filled(
            Rect::from_x_y_ranges(x, paper.rect.y_range()),
            0.0,
            view.theme.edge.gamma_multiply(0.18),
        );
    }
    tools(ui, view, state, head);
}

/// Clock, leads, speed, gain and filters as the report prints them, and the zoom.
fn caption(view: &ViewContext<'_>, state: &LensState, paper: &Paper) -> String {
    let mut words = format!("{} · x{}", paper.geom.caption, state.zoom());
    let (shown, all) = (paper.geom.leads.len(), view.snapshot.recording.leads.len());
    if paper.is_cut() {
        words += " · tall deflections cut";
    }
    if shown < all {
        words += &format!(" · {shown} of {all} leads fit");
    }
    words
}

/// Switches at the right of the line of words; each is a command that can be run by name as well.
fn tools(ui: &mut Ui, view: &mut ViewContext<'_>, state: &LensState, head: Rect) {
    let scale = text_scale(ui.ctx());
    let leads = view.snapshot.recording.leads.len();
    let fits = state.geom.as_ref().is_some_and(|g| g.3.leads.len() >= leads);
    let mut right = head.right() - 4.0;
    for (width, on, words, command) in [
        (66.0, state.calipers, "Calipers", Command::Calipers),
        (84.0, state.all_waves, "Wave limits", Command::WaveLimits),
        (76.0, false, "Next leads", Command::NextLensLeads),
    ] {
        if command == Command::NextLensLeads && fits {
            continue;
        }
        let rect = Rect::from_min_max(
            pos2(right - width * scale, head.top() + 1.0),
            pos2(right, head.bottom() - 1.0),
        );
        right = rect.left() - 4.0;
        let text = egui::RichText::new(words).small();
        if ui.put(rect, egui::Button::selectable(on, text)).on_hover_text(command.tip()).clicked() {
            view.acts.push(Act::Run(command));
        }
    }
}
