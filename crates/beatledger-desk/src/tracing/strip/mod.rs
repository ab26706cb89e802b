//! The day strip: the full day of tracing in rows, read line by line, with the clock in the margin.
//!
//! `state` is what is kept between frames, `page` where rows and samples lie in one frame, `columns` the values drawn.
//! `paint` paints the rows into a picture that is kept; `overlay` draws over it; `input` reads pointer and keys.
//! Samples are read through the pyramid where it is ready, and directly until then.

mod columns;
mod input;
mod overlay;
mod page;
mod paint;
mod rows;
mod state;
#[cfg(test)]
mod tests;

use beatledger_report::strip::filters_text;
use beatledger_report::values::day_clock;
use egui::{Align2, Rect, Role, Sense, Ui, WidgetInfo, pos2, vec2};

use crate::app::act::Act;
use crate::commands::table::Command;
use crate::paint::focus::{focus_ring, mark_part};
use crate::paint::headline::{HEAD_PT, Headline, font, text_scale};
use crate::paint::words::lead_words;
use crate::shell::view_context::ViewContext;
use page::{MARGIN_PT, Page, RIGHT_PT};
use paint::RowsKey;
pub use state::StripState;

/// Room of the switches at the right of that line, points.
const TOOLS_PT: f32 = 400.0;

/// Draws the day strip in the available space.
pub fn day_strip(ui: &mut Ui, view: &mut ViewContext<'_>, state: &mut StripState) {
    let size = ui.available_size().max(vec2(MARGIN_PT + 60.0, HEAD_PT + 40.0));
    let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, 0.0, view.theme.panel);
    if view.snapshot.recording.samples <= 0 || view.snapshot.recording.leads.is_empty() {
        response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Day strip, empty"));
        let words = "The day of tracing is shown here in rows. Open a recording to see it.";
        painter.text(rect.center(), Align2::CENTER_CENTER, words, font(&painter, 14.0), view.theme.faint);
        return;
    }
    let scale = text_scale(ui.ctx());
    state.lead = state.lead.min(view.snapshot.recording.leads.len() - 1);
    let page = state.page(view, rect, ui.pixels_per_point(), scale);
    state.shown = Some(page.span().overlap(view.snapshot.recording.whole()));
    let key = RowsKey::of(view, &page, state.pyramid.is_some());
    let (columns, pyramid) = (&mut state.columns, state.pyramid.as_deref());
    state.kept.show(&painter, page.rect, key, view.theme.paper, |canvas| {
        paint::paint(canvas, view, &page, |row, width| {
            columns.row(view, pyramid, page.lead, &page.rows, row, width)
        });
    });
    let head = head_words(view, state, &page);
    let line = Headline::new(&painter, view.theme, &head, rect.width(), TOOLS_PT);
    line.draw(&painter, view.theme, rect);
    if (line.height_pt() - state.head_pt).abs() > 0.5 {
        // The rows make room in the next frame.
        state.head_pt = line.height_pt();
        ui.ctx().request_repaint();
    }
    overlay::margin(ui, &painter, view, &page);
    overlay::marks(&painter, view, &page, state.lens);
    overlay::drag_wash(&painter, view, &page, state.drag);
    overlay::place(&painter, view, &page);
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, format!("Day strip, {head}")));
    focus_ring(&painter, &response, view.theme);
    mark_part(&response, "day strip");
    tools(ui, view, rect);
    input::pointer(ui, &response, view, state, &page);
    input::wheel(ui, &response, view, state, &page);
    input::keys(ui, &response, view, state, &page);
}

/// Switches at the right of the line of words; each is a command that has a key as well.
fn tools(ui: &mut Ui, view: &mut ViewContext<'_>, rect: Rect) {
    let scale = text_scale(ui.ctx());
    let leads = view.snapshot.recording.leads.len();
    let mut right = rect.right() - RIGHT_PT * scale;
    for (width, words, command) in [
        (90.0, "Longer rows", Command::LongerRows),
        (92.0, "Shorter rows", Command::ShorterRows),
        (56.0, "Lower", Command::LowerTracing),
        (56.0, "Taller", Command::TallerTracing),
        (78.0, "Next lead", Command::NextLead),
    ] {
        if command == Command::NextLead && leads < 2 {
            continue;
        }
        let max = pos2(right, rect.top() + HEAD_PT * scale - 1.0);
        let place = Rect::from_min_max(pos2(right - width * scale, rect.top() + 1.0), max);
        right = place.left() - 3.0;
        let text = egui::RichText::new(words).small();
        let button = egui::Button::new(text).frame_when_inactive(false).wrap_mode(egui::TextWrapMode::Extend);
        if ui.put(place, button).on_hover_text(command.tip()).clicked() {
            view.acts.push(Act::Run(command));
        }
    }
}

fn head_words(view: &ViewContext<'_>, state: &StripState, page: &Page) -> String {
    let length_s = state.row_seconds();
    let length =
        if length_s < 60.0 { format!("{length_s:.0} s") } else { format!("{:.0} min", length_s / 60.0) };
    let shown = page.span().overlap(view.snapshot.recording.whole());
    let recording = &view.snapshot.recording;
    let mut words = format!(
        "{} · rows of {length} · {} to {} · 1 mV = {:.0} points · {}",
        lead_words(view.snapshot, page.lead),
        day_clock(recording, shown.start),
        day_clock(recording, (shown.end - 1).max(shown.start)),
        page.mv_pt,
        filters_text(&view.snapshot.settings),
    );
    if state.pyramid.is_none() {
        words += " · preparing the whole day; the rows shown are read directly";
    }
    words
}
