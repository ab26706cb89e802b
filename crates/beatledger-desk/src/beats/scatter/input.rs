//! Pointer on the RR scatter: rectangle, lasso, a click on one beat, what is under the pointer.

use beatledger_core::model::BeatClass;
use beatledger_report::values::day_clock;
use egui::{Painter, Pos2, Rect, Response, Shape, Stroke, Ui};

use super::plot::{Plot, Tool};
use super::points::{Point, Points};
use crate::app::act::Act;
use crate::paint::theme::Theme;
use crate::shell::view_context::ViewContext;
use crate::tracing::pick::chosen;

/// A click takes the nearest beat within this, points.
const REACH_PT: f32 = 8.0;
/// Corners of a lasso stand at least this far apart, points.
const LASSO_STEP_PT: f32 = 3.0;

/// Selects by drag or click and tells what lies under the pointer.
pub fn pointer(
    ui: &Ui,
    response: &Response,
    view: &mut ViewContext<'_>,
    tool: Tool,
    drag: &mut Vec<Pos2>,
    points: &Points,
    plot: &Plot,
) {
    let (shift, origin) = ui.input(|i| (i.modifiers.shift, i.pointer.press_origin()));
    if response.drag_started() {
        *drag = origin.filter(|p| plot.rect.expand(20.0).contains(*p)).into_iter().collect();
    }
    if let (true, Some(pos), Some(last)) =
        (response.dragged(), response.interact_pointer_pos(), drag.last().copied())
    {
        if tool == Tool::Rectangle {
            drag.truncate(1);
        }
        if tool == Tool::Rectangle || last.distance(pos) >= LASSO_STEP_PT {
            drag.push(pos);
        }
    }
    if response.drag_stopped() {
        let corners = std::mem::take(drag);
        let inside = |p: Pos2| match tool {
            Tool::Rectangle => Rect::from_points(&corners).contains(p),
            Tool::Lasso => within(&corners, p),
        };
        let beats: Vec<i64> = points
            .list
            .iter()
            .filter(|p| inside(plot.pos(p.before_ms, p.after_ms)))
            .map(|p| p.sample)
            .collect();
        if !beats.is_empty() {
            let words = format!("{} beats in the RR scatter", beats.len());
            let selection = chosen(view.selection, shift, beats, None, words);
            view.acts.push(Act::Select { selection, go: true });
        }
    } else if response.clicked()
        && let Some(pos) = response.interact_pointer_pos()
    {
        response.request_focus();
        click(view, pos, shift, points, plot);
    } else if let Some(pos) = response.hover_pos().filter(|p| plot.rect.contains(*p) && drag.is_empty()) {
        response.clone().on_hover_text_at_pointer(under(pos, points, plot));
    }
}

fn click(view: &mut ViewContext<'_>, pos: Pos2, add: bool, points: &Points, plot: &Plot) {
    let far = |p: &Point| plot.pos(p.before_ms, p.after_ms).distance(pos);
    let nearest = points.list.iter().min_by(|a, b| far(a).total_cmp(&far(b)));
    if let Some(point) = nearest.filter(|p| far(p) <= REACH_PT) {
        let words =
            format!("beat {} at {}", point.class.letter(), day_clock(&view.snapshot.recording, point.sample));
        let selection = chosen(view.selection, add, vec![point.sample], None, words);
        view.acts.push(Act::Select { selection, go: true });
    }
}

fn under(pos: Pos2, points: &Points, plot: &Plot) -> String {
    let (before_ms, after_ms) = plot.ms(pos);
    let mut words = format!("RR before {before_ms:.0} ms, after {after_ms:.0} ms");
    let mut counts = [0; 5];
    let reach_ms = REACH_PT * 0.5 / plot.rect.width().max(1.0) * (plot.range_ms.1 - plot.range_ms.0);
    for p in &points.list {
        if (p.before_ms - before_ms).abs() <= reach_ms && (p.after_ms - after_ms).abs() <= reach_ms {
            counts[p.class.index()] += 1;
        }
    }
    for class in BeatClass::ALL.into_iter().filter(|c| counts[c.index()] > 0) {
        words += &format!("\n{} {}", counts[class.index()], class.letter());
    }
    words
}

/// True when `p` lies within the closed line through `corners` (even-odd rule).
fn within(corners: &[Pos2], p: Pos2) -> bool {
    let mut inside = false;
    let mut before = corners.len().wrapping_sub(1);
    for (i, a) in corners.iter().enumerate() {
        // `before` is a valid index whenever the loop runs: there is at least one corner.
        let b = corners[before];
        if (a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x {
            inside = !inside;
        }
        before = i;
    }
    inside
}

/// The shape being drawn.
pub fn outline(painter: &Painter, theme: &Theme, tool: Tool, drag: &[Pos2]) {
    if drag.len() < 2 {
        return;
    }
    let stroke = Stroke::new(1.5, theme.edge);
    match tool {
        Tool::Rectangle => {
            let rect = Rect::from_points(drag);
            painter.rect(rect, 0.0, theme.edge.gamma_multiply(0.15), stroke, egui::StrokeKind::Inside);
        }
        Tool::Lasso => drop(painter.add(Shape::closed_line(drag.to_vec(), stroke))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use egui::pos2;

    #[test]
    fn a_lasso_holds_what_it_surrounds_and_nothing_in_its_bay() {
        let u = [
            (0.0, 0.0),
            (30.0, 0.0),
            (30.0, 30.0),
            (20.0, 30.0),
            (20.0, 10.0),
            (10.0, 10.0),
            (10.0, 30.0),
            (0.0, 30.0),
        ]
        .map(|(x, y)| pos2(x, y));
        assert!(within(&u, pos2(5.0, 20.0)));
        assert!(within(&u, pos2(25.0, 20.0)));
        assert!(!within(&u, pos2(15.0, 20.0)));
        assert!(!within(&[], pos2(1.0, 1.0)));
    }
}
