//! The RR scatter: the interval before each beat against the interval after it.
//!
//! Beats of the same kind gather in the same corner; a rectangle or a lasso selects them.
//! `points` are the beats as points, `plot` the axes on the screen, `picture` the kept picture, `input` the pointer.
//! Only beats with an interval on both sides are points.

mod input;
mod picture;
mod plot;
mod points;
#[cfg(test)]
mod tests;

use beatledger_core::model::BeatClass;
use egui::{Align2, Painter, Pos2, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};

use crate::app::act::Act;
use crate::paint::canvas::{KeptPicture, snapped};
use crate::paint::focus::{focus_ring, mark_part};
use crate::paint::headline::{font, text_scale};
use crate::paint::picture_keys::{DayKey, SelectionKey};
use crate::shell::view_context::ViewContext;
use crate::tracing::pick::chosen;
use picture::ScatterKey;
use plot::Plot;
pub use plot::Tool;
use points::Points;

/// What the scatter keeps between frames: the tool, points and their picture; no facts.
#[derive(Default)]
pub struct ScatterState {
    /// How a drag selects.
    pub tool: Tool,
    points: Option<(DayKey, Points)>,
    kept: KeptPicture<ScatterKey>,
    drag: Vec<Pos2>,
}

/// Draws the RR scatter in the available space.
pub fn rr_scatter(ui: &mut Ui, view: &mut ViewContext<'_>, state: &mut ScatterState) {
    let scale = text_scale(ui.ctx());
    let key = DayKey::of(view.snapshot);
    if state.points.as_ref().is_none_or(|(k, _)| *k != key) {
        state.points = Some((key, Points::of(view.snapshot)));
    }
    let Some((_, points)) = &state.points else { return };
    let (all, response) =
        ui.allocate_exact_size(ui.available_size().max(vec2(160.0, 160.0)), Sense::click_and_drag());
    let painter = ui.painter_at(all);
    painter.rect_filled(all, 0.0, view.theme.panel);
    if points.list.is_empty() {
        let words = "Each beat is a point here: RR before it against RR after it. This day has no two intervals in a row.";
        response
            .widget_info(|| WidgetInfo::labeled(Role::Canvas, true, format!("RR scatter, empty. {words}")));
        painter.text(all.center(), Align2::CENTER_CENTER, words, font(&painter, 14.0), view.theme.faint);
        return;
    }
    let (left, top, bottom) = (46.0 * scale, 24.0 * scale, 36.0 * scale);
    let legend_width = (190.0 * scale).min(all.width() * 0.4);
    let side = (all.width() - left - legend_width - 16.0).min(all.height() - top - bottom).max(40.0);
    let rect = Rect::from_min_size(all.min + vec2(left, top), vec2(side, side));
    let plot = Plot { rect: snapped(rect, ui.pixels_per_point()), range_ms: points.range_ms };
    let picture_key = ScatterKey {
        day: DayKey::of(view.snapshot),
        selection: SelectionKey::of(view.selection),
        dark: view.theme.dark,
    };
    let (theme, selection) = (view.theme, view.selection);
    state.kept.show(&painter, plot.rect, picture_key, theme.paper, |canvas| {
        picture::paint(canvas, points, theme, selection, painter.pixels_per_point());
    });
    axes(&painter, view, &plot);
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, points.words()));
    focus_ring(&painter, &response, view.theme);
    mark_part(&response, "RR scatter");
    input::pointer(ui, &response, view, state.tool, &mut state.drag, points, &plot);
    input::outline(&painter, view.theme, state.tool, &state.drag);
    let side = Rect::from_min_max(pos2(plot.rect.right() + 16.0, plot.rect.top()), all.max);
    legend(ui, &painter, view, points, side, scale);
    tools(ui, &mut state.tool, side, scale);
}

fn axes(painter: &Painter, view: &ViewContext<'_>, plot: &Plot) {
    let theme = view.theme;
    let small = font(painter, 10.0);
    let tick = Stroke::new(1.0, theme.faint);
    let step = if plot.rect.width() > 420.0 { 200 } else { 400 };
    for ms in (0..=plot.range_ms.1 as i32).step_by(step).filter(|ms| *ms as f32 >= plot.range_ms.0) {
        let at = plot.pos(ms as f32, ms as f32);
        painter.vline(at.x, plot.rect.bottom()..=plot.rect.bottom() + 4.0, tick);
        painter.text(
            pos2(at.x, plot.rect.bottom() + 5.0),
            Align2::CENTER_TOP,
            ms,
            small.clone(),
            theme.faint,
        );
        painter.hline(plot.rect.left() - 4.0..=plot.rect.left(), at.y, tick);
        painter.text(
            pos2(plot.rect.left() - 6.0, at.y),
            Align2::RIGHT_CENTER,
            ms,
            small.clone(),
            theme.faint,
        );
    }
    let name = font(painter, 11.0);
    let bottom = pos2(plot.rect.center().x, plot.rect.bottom() + 18.0 * text_scale(painter.ctx()));
    painter.text(bottom, Align2::CENTER_TOP, "RR before the beat, ms", name.clone(), theme.ink);
    let top = pos2(plot.rect.left() - 38.0, plot.rect.top() - 5.0);
    painter.text(top, Align2::LEFT_BOTTOM, "RR after the beat, ms", name, theme.ink);
    painter.rect_stroke(plot.rect, 0.0, Stroke::new(1.0, theme.grid_bold), egui::StrokeKind::Outside);
    let at = plot.rect.lerp_inside(vec2(0.9, 0.1)) - vec2(10.0, 0.0);
    painter.text(at, Align2::RIGHT_CENTER, "equal intervals", font(painter, 9.5), theme.faint);
}

/// One line a class: sign, letter, count; a click selects the class.
fn legend(ui: &Ui, painter: &Painter, view: &mut ViewContext<'_>, points: &Points, side: Rect, scale: f32) {
    let mut y = side.top() + 34.0 * scale;
    for class in BeatClass::ALL {
        let count = points.counts[class.index()];
        let row = Rect::from_min_size(pos2(side.left(), y), vec2(side.width() - 6.0, 22.0 * scale));
        y += 23.0 * scale;
        if count == 0 {
            continue;
        }
        let words = format!("{}, {}, {count} beats", class.letter(), picture::sign_words(class));
        let response = ui.interact(row, ui.scope_id().with(("scatter class", class.index())), Sense::click());
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("Select {words}")));
        if response.hovered() || response.has_focus() {
            painter.rect_filled(row, 3.0, view.theme.wash);
            focus_ring(painter, &response, view.theme);
        }
        sign(painter, view, class, pos2(row.left() + 12.0, row.center().y));
        let color = view.theme.class(class);
        let letter = painter.text(
            pos2(row.left() + 26.0, row.center().y),
            Align2::LEFT_CENTER,
            class.letter(),
            font(painter, 14.0),
            color,
        );
        let at = pos2(letter.left() + 20.0 * scale, row.center().y);
        painter.text(
            at,
            Align2::LEFT_CENTER,
            format!("{count}  {}", class.words()),
            font(painter, 11.0),
            view.theme.ink,
        );
        if response.clicked() {
            let beats = points.list.iter().filter(|p| p.class == class).map(|p| p.sample).collect();
            let words = format!("{} in the RR scatter", class.letter());
            let selection = chosen(view.selection, ui.input(|i| i.modifiers.shift), beats, None, words);
            view.acts.push(Act::Select { selection, go: true });
        }
    }
    for words in points.notes() {
        let galley = painter.layout(words, font(painter, 10.5), view.theme.faint, side.width() - 8.0);
        let height = galley.size().y;
        painter.galley(pos2(side.left() + 4.0, y + 8.0), galley, view.theme.faint);
        y += height + 6.0;
    }
}

fn sign(painter: &Painter, view: &ViewContext<'_>, class: BeatClass, at: Pos2) {
    let color = view.theme.class(class);
    let points = picture::sign_outline(class, at, 5.0);
    match class {
        BeatClass::N => drop(painter.circle_filled(at, 2.5, color)),
        BeatClass::Q => {
            for d in [vec2(4.0, 4.0), vec2(4.0, -4.0)] {
                painter.line_segment([at - d, at + d], Stroke::new(2.0, color));
            }
        }
        _ => drop(painter.add(Shape::convex_polygon(points, color, Stroke::NONE))),
    }
}

fn tools(ui: &mut Ui, tool: &mut Tool, side: Rect, scale: f32) {
    let width = 74.0 * scale;
    for (i, (which, words)) in
        [(Tool::Rectangle, "Rectangle"), (Tool::Lasso, "Lasso")].into_iter().enumerate()
    {
        let at = side.min + vec2(i as f32 * (width + 4.0), 0.0);
        let rect = Rect::from_min_size(at, vec2(width, 22.0 * scale));
        let text = egui::RichText::new(words).small();
        let help = "A drag over the points selects the beats; Shift adds them to what is selected.";
        if ui.put(rect, egui::Button::selectable(*tool == which, text)).on_hover_text(help).clicked() {
            *tool = which;
        }
    }
}
