//! The page of one frame: which rows stand where, and where a sample lies on them.

use beatledger_core::model::Span;
use egui::{Rect, pos2, vec2};

use super::rows::StripRows;

/// Room left of the rows for the clock and the change marks, points.
pub(super) const MARGIN_PT: f32 = 64.0;
/// Room right of the rows for the line that shows what has been read, points.
pub(super) const RIGHT_PT: f32 = 8.0;

/// The rows of one frame on the screen.
pub(super) struct Page {
    pub(super) rows: StripRows,
    /// Where the tracing is, points.
    pub(super) rect: Rect,
    pub(super) top_row: i64,
    pub(super) count: i64,
    pub(super) lead: usize,
    /// Points of height for 1 mV.
    pub(super) mv_pt: f32,
    /// Where 0 mV lies in a row, from its top.
    pub(super) zero_share: f32,
}

impl Page {
    pub(super) fn row_height(&self) -> f32 {
        self.rect.height() / self.count as f32
    }

    pub(super) fn row_rect(&self, row: i64) -> Rect {
        let top = self.rect.top() + (row - self.top_row) as f32 * self.row_height();
        Rect::from_min_size(pos2(self.rect.left(), top), vec2(self.rect.width(), self.row_height()))
    }

    pub(super) fn visible(&self) -> std::ops::Range<i64> {
        self.top_row..self.top_row + self.count
    }

    pub(super) fn span(&self) -> Span {
        Span::new(self.rows.span(self.top_row).start, self.rows.span(self.top_row + self.count - 1).end)
    }

    pub(super) fn x_from_sample(&self, row: i64, sample: i64) -> f32 {
        let span = self.rows.span(row);
        let share = (sample - span.start) as f64 / span.len().max(1) as f64;
        self.rect.left() + share.clamp(0.0, 1.0) as f32 * self.rect.width()
    }

    pub(super) fn sample_from_pos(&self, pos: egui::Pos2) -> i64 {
        let row = ((pos.y - self.rect.top()) / self.row_height()).floor() as i64;
        let span = self.rows.span(self.top_row + row.clamp(0, self.count - 1));
        let share = ((pos.x - self.rect.left()) / self.rect.width().max(1.0)).clamp(0.0, 1.0);
        span.start + (f64::from(share) * span.len() as f64) as i64
    }
}
