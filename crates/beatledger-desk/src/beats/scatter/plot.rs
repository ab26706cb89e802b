//! The plot on the screen, and the tools that select on it.

use egui::{Pos2, Rect, pos2};

/// How a drag selects.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Tool {
    /// A rectangle.
    #[default]
    Rectangle,
    /// A line drawn around the points.
    Lasso,
}

/// The plot on the screen.
pub(super) struct Plot {
    pub(super) rect: Rect,
    pub(super) range_ms: (f32, f32),
}

impl Plot {
    pub(super) fn pos(&self, before_ms: f32, after_ms: f32) -> Pos2 {
        let (low, high) = self.range_ms;
        let share = |ms: f32| ((ms - low) / (high - low)).clamp(0.0, 1.0);
        pos2(
            self.rect.left() + share(before_ms) * self.rect.width(),
            self.rect.bottom() - share(after_ms) * self.rect.height(),
        )
    }

    /// RR before and after, ms, at a place of the screen.
    pub(super) fn ms(&self, pos: Pos2) -> (f32, f32) {
        let (low, high) = self.range_ms;
        let x = (pos.x - self.rect.left()) / self.rect.width().max(1.0);
        let y = (self.rect.bottom() - pos.y) / self.rect.height().max(1.0);
        (low + x * (high - low), low + y * (high - low))
    }
}
