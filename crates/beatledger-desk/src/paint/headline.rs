//! The line of words above a view, and the size of text that views draw themselves.

use std::sync::Arc;

use egui::{Painter, Rect};

use crate::paint::theme::Theme;

/// The line of words above a view: beside its switches where both fit, below them where they do not.
pub struct Headline {
    galley: Arc<egui::Galley>,
    row_pt: f32,
    beside: bool,
}

impl Headline {
    /// Lays `words` out for a view `width` points wide with switches that take `tools_pt` at 100 % text size.
    pub fn new(painter: &Painter, theme: &Theme, words: &str, width: f32, tools_pt: f32) -> Self {
        let scale = text_scale(painter.ctx());
        let lay = |wrap: f32| painter.layout(words.to_owned(), font(painter, 11.0), theme.faint, wrap);
        let line = lay(f32::INFINITY);
        let beside = line.size().x + tools_pt * scale + 16.0 <= width;
        let galley = if beside { line } else { lay((width - 12.0).max(40.0)) };
        Self { galley, row_pt: HEAD_PT * scale, beside }
    }

    /// Height that words and switches take, points.
    pub fn height_pt(&self) -> f32 {
        if self.beside { self.row_pt } else { self.row_pt + self.galley.size().y + 4.0 }
    }

    /// Draws the words at the top left of `rect`.
    pub fn draw(&self, painter: &Painter, theme: &Theme, rect: Rect) {
        let down = if self.beside { (self.row_pt - self.galley.size().y) * 0.5 } else { self.row_pt };
        painter.galley(rect.min + egui::vec2(6.0, down), self.galley.clone(), theme.faint);
    }
}

/// Height of a row of words or switches above a view at 100 % text size, points.
pub const HEAD_PT: f32 = 22.0;

/// Text size in force against the usual one; rooms for text grow with it.
pub fn text_scale(ctx: &egui::Context) -> f32 {
    let small =
        ctx.global_style().text_styles.get(&egui::TextStyle::Small).map_or(USUAL_SMALL_PT, |f| f.size);
    (small / USUAL_SMALL_PT).clamp(0.5, 4.0)
}

/// Size of small text at 100 %, points.
const USUAL_SMALL_PT: f32 = 11.5;

/// The text font at `points` times the text size in force.
pub fn font(painter: &Painter, points: f32) -> egui::FontId {
    egui::FontId::proportional(points * text_scale(painter.ctx()))
}
