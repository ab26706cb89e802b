//! Pointer and wheel on the lens: a drag selects or measures, a click goes there, the wheel moves or zooms.

use beatledger_core::model::Span;
use egui::{Response, Ui};

use super::calipers::Caliper;
use super::paper_area::{MM_PER_S, Paper};
use super::state::LensState;
use crate::app::act::Act;
use crate::shell::view_context::ViewContext;
use crate::tracing::pick;

/// Selects, measures, goes to a place, or moves the paper, as the pointer asks.
pub fn pointer(
    ui: &Ui,
    response: &Response,
    view: &mut ViewContext<'_>,
    state: &mut LensState,
    paper: &Paper,
) {
    let (shift, alt, origin) = ui.input(|i| (i.modifiers.shift, i.modifiers.alt, i.pointer.press_origin()));
    let pos = response.interact_pointer_pos();
    if response.drag_started()
        && let Some(from) = origin.filter(|p| paper.rect.contains(*p))
    {
        if state.calipers || alt {
            state.caliper = Caliper::start(paper, from);
        } else {
            let sample = paper.sample_from_x(from.x);
            state.drag = Some((sample, sample));
        }
    }
    if let (true, Some(pos)) = (response.dragged(), pos) {
        match (&mut state.drag, &mut state.caliper) {
            (Some(drag), _) => drag.1 = paper.sample_from_x(pos.x),
            (None, Some(caliper)) => caliper.stretch(paper, pos),
            _ => {}
        }
    }
    if response.drag_stopped() {
        if let Some((a, b)) = state.drag.take() {
            pick::select_span(view, Span::new(a.min(b), a.max(b)), shift);
        }
    } else if response.clicked()
        && let Some(pos) = pos
    {
        response.request_focus();
        state.caliper = None;
        view.acts.push(Act::GoTo(paper.sample_from_x(pos.x)));
    }
    if response.contains_pointer() {
        wheel(ui, view, state, paper);
    }
}

/// The wheel moves along the day and takes the place along; with Ctrl it zooms.
fn wheel(ui: &Ui, view: &mut ViewContext<'_>, state: &mut LensState, paper: &Paper) {
    let (scroll, zoom) = ui.input(|i| (i.smooth_scroll_delta(), i.zoom_delta()));
    state.pinch *= zoom;
    if state.pinch > 1.25 {
        state.closer();
        state.pinch = 1.0;
    } else if state.pinch < 0.8 {
        state.wider();
        state.pinch = 1.0;
    }
    state.scroll_pt -= scroll.x + scroll.y;
    let by = (f64::from(state.scroll_pt / paper.mm_pt / MM_PER_S) * paper.hz) as i64;
    if by != 0 {
        state.scroll_pt = 0.0;
        let to = (view.place + by).clamp(0, (view.snapshot.recording.samples - 1).max(0));
        state.start += to - view.place;
        view.acts.push(Act::GoTo(to));
    }
}
