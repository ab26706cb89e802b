//! Which part of the window has the keyboard, and the ring that shows it.

use egui::{Painter, Response};

use crate::paint::theme::Theme;

/// Remembers where the keyboard goes for the part of the window with this name, until the next frame.
pub fn mark_part(response: &Response, name: &'static str) {
    response.ctx.data_mut(|d| d.insert_temp(part_key(name), response.id));
}

/// Gives the keyboard to a part that was drawn; false when it was not.
pub fn focus_part(ctx: &egui::Context, name: &'static str) -> bool {
    let id = ctx.data(|d| d.get_temp::<egui::Id>(part_key(name)));
    id.is_some_and(|id| {
        ctx.memory_mut(|m| m.request_focus(id));
        true
    })
}

/// The part that has the keyboard, of these.
pub fn focused_part(ctx: &egui::Context, names: &[&'static str]) -> Option<usize> {
    let focused = ctx.memory(|m| m.focused())?;
    names.iter().position(|name| ctx.data(|d| d.get_temp::<egui::Id>(part_key(name))) == Some(focused))
}

fn part_key(name: &str) -> egui::Id {
    egui::Id::unique(("part of the window", name))
}

/// Draws the focus ring of a view that has the keyboard.
pub fn focus_ring(painter: &Painter, response: &Response, theme: &Theme) {
    if response.has_focus() {
        let stroke = egui::Stroke::new(2.0, theme.edge);
        painter.rect_stroke(response.rect, 2.0, stroke, egui::StrokeKind::Inside);
    }
}
