//! Pointer, wheel and keys on the day strip.

use beatledger_core::model::Span;
use egui::{EventFilter, Key, Modifiers, Response, Ui};

use super::page::Page;
use super::state::StripState;
use crate::app::act::Act;
use crate::shell::view_context::ViewContext;
use crate::tracing::pick::{select_beat, select_span};

/// A click selects the nearest beat of the row, a drag the span and its beats; shift adds.
pub fn pointer(
    ui: &Ui,
    response: &Response,
    view: &mut ViewContext<'_>,
    state: &mut StripState,
    page: &Page,
) {
    let add = ui.input(|i| i.modifiers.shift);
    if response.drag_started() {
        let origin = ui.input(|i| i.pointer.press_origin());
        state.drag = origin.filter(|p| page.rect.contains(*p)).map(|p| {
            let sample = page.sample_from_pos(p);
            (sample, sample)
        });
    }
    if let (true, Some(drag), Some(pos)) =
        (response.dragged(), &mut state.drag, response.interact_pointer_pos())
    {
        drag.1 = page.sample_from_pos(pos);
    }
    if response.drag_stopped() {
        if let Some((a, b)) = state.drag.take() {
            let span = Span::new(a.min(b), a.max(b)).overlap(view.snapshot.recording.whole());
            select_span(view, span, add);
        }
    } else if response.clicked()
        && let Some(pos) = response.interact_pointer_pos()
    {
        response.request_focus();
        select_beat(view, page.sample_from_pos(pos), add);
    }
}

/// The wheel turns the page by rows and takes the place along; with Ctrl it changes the row length.
pub fn wheel(ui: &Ui, response: &Response, view: &mut ViewContext<'_>, state: &mut StripState, page: &Page) {
    if !response.contains_pointer() {
        return;
    }
    let (scroll_pt, zoom) = ui.input(|i| (i.smooth_scroll_delta().y, i.zoom_delta()));
    state.zoom *= zoom;
    if state.zoom > 1.25 {
        state.zoom_in();
        state.zoom = 1.0;
    } else if state.zoom < 0.8 {
        state.zoom_out();
        state.zoom = 1.0;
    }
    state.scroll_pt -= scroll_pt;
    let rows = (state.scroll_pt / page.row_height()).trunc();
    if rows != 0.0 {
        state.scroll_pt -= rows * page.row_height();
        turn(view, state, page, rows as i64);
    }
}

/// Moves page and place by `rows` rows.
fn turn(view: &mut ViewContext<'_>, state: &mut StripState, page: &Page, rows: i64) {
    let by = page.rows.span(page.top_row + rows).start - page.rows.span(page.top_row).start;
    let to = (view.place + by).clamp(0, (view.snapshot.recording.samples - 1).max(0));
    if to != view.place {
        state.top_row += rows;
        view.acts.push(Act::GoTo(to));
    }
}

/// Up and down move by a row, Home and End to the ends of the day.
pub fn keys(ui: &Ui, response: &Response, view: &mut ViewContext<'_>, state: &mut StripState, page: &Page) {
    if !response.has_focus() {
        return;
    }
    let filter = EventFilter { tab: false, horizontal_arrows: true, vertical_arrows: true, escape: false };
    ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    let pressed = |key| ui.input_mut(|i| i.consume_key(Modifiers::NONE, key));
    if pressed(Key::ArrowUp) {
        turn(view, state, page, -1);
    }
    if pressed(Key::ArrowDown) {
        turn(view, state, page, 1);
    }
    if pressed(Key::Home) {
        view.acts.push(Act::GoTo(0));
    }
    if pressed(Key::End) {
        view.acts.push(Act::GoTo((view.snapshot.recording.samples - 1).max(0)));
    }
}
