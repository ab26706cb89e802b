//! What the day strip keeps between frames, and how it lays out the page of a frame.

use std::sync::Arc;

use beatledger_core::model::Span;
use beatledger_core::session::Snapshot;
use egui::{Rect, vec2};

use super::columns::Columns;
use super::page::{MARGIN_PT, Page, RIGHT_PT};
use super::paint::RowsKey;
use super::rows::StripRows;
use crate::paint::canvas::{KeptPicture, snapped};
use crate::paint::headline::HEAD_PT;
use crate::shell::view_context::ViewContext;
use crate::tracing::pyramid::Pyramid;

/// Row lengths, s, and the height of such a row at 100 % text size, points.
pub(super) const ROW_LENGTHS: [(f64, f32); 7] =
    [(10.0, 104.0), (20.0, 84.0), (30.0, 70.0), (60.0, 54.0), (120.0, 44.0), (300.0, 36.0), (600.0, 30.0)];

/// What the day strip keeps between frames: the page, options and pictures, no facts.
pub struct StripState {
    /// What the lens shows; drawn as a bracket below the tracing.
    pub lens: Option<Span>,
    pub(super) length: usize,
    pub(super) lead: usize,
    pub(super) gain: f32,
    pub(super) top_row: i64,
    pub(super) last: Option<(i64, usize)>,
    pub(super) shown: Option<Span>,
    pub(super) scroll_pt: f32,
    pub(super) head_pt: f32,
    pub(super) zoom: f32,
    pub(super) drag: Option<(i64, i64)>,
    pub(super) pyramid: Option<Arc<Pyramid>>,
    pub(super) columns: Columns,
    pub(super) kept: KeptPicture<RowsKey>,
}

impl Default for StripState {
    fn default() -> Self {
        Self {
            lens: None,
            length: 3,
            lead: 0,
            gain: 1.0,
            top_row: 0,
            last: None,
            shown: None,
            scroll_pt: 0.0,
            head_pt: HEAD_PT,
            zoom: 1.0,
            drag: None,
            pyramid: None,
            columns: Columns::default(),
            kept: KeptPicture::default(),
        }
    }
}

impl StripState {
    /// Takes over the pyramid of the recording on show. Until then the rows are read directly.
    pub fn set_pyramid(&mut self, pyramid: Arc<Pyramid>) {
        self.pyramid = Some(pyramid);
        self.columns = Columns::default();
    }

    /// Forgets the pyramid: another recording or other filters are on show.
    pub fn clear_pyramid(&mut self) {
        self.pyramid = None;
        self.columns = Columns::default();
    }

    /// Length of a row, s.
    pub fn row_seconds(&self) -> f64 {
        ROW_LENGTHS[self.length].0
    }

    /// Chooses the nearest row length from 10 s to 10 min.
    pub fn set_row_seconds(&mut self, seconds: f64) {
        let far = |(length, _): &(f64, f32)| (length / seconds.max(1e-3)).ln().abs();
        let nearest =
            (0..ROW_LENGTHS.len()).min_by(|a, b| far(&ROW_LENGTHS[*a]).total_cmp(&far(&ROW_LENGTHS[*b])));
        self.length = nearest.unwrap_or(self.length);
    }

    /// Shorter rows: closer.
    pub fn zoom_in(&mut self) {
        self.length = self.length.saturating_sub(1);
    }

    /// Longer rows: wider.
    pub fn zoom_out(&mut self) {
        self.length = (self.length + 1).min(ROW_LENGTHS.len() - 1);
    }

    /// Index of the lead shown.
    pub fn lead(&self) -> usize {
        self.lead
    }

    /// Shows a lead.
    pub fn set_lead(&mut self, lead: usize) {
        self.lead = lead;
    }

    /// Shows the next of `leads` leads, round and round.
    pub fn next_lead(&mut self, leads: usize) {
        self.lead = (self.lead + 1) % leads.max(1);
    }

    /// Makes the tracing taller (`by` 2) or lower (`by` 0.5), between a quarter and four times.
    pub fn scale_gain(&mut self, by: f32) {
        self.gain = (self.gain * by).clamp(0.25, 4.0);
    }

    /// Height of the tracing against the usual one.
    pub fn gain(&self) -> f32 {
        self.gain
    }

    /// The stretch of the day that the last frame showed.
    pub fn visible_span(&self) -> Option<Span> {
        self.shown
    }
}

impl StripState {
    /// Lays the page out so that the place in the day is on it; it moves only when the place left it.
    pub(super) fn page(
        &mut self,
        view: &ViewContext<'_>,
        rect: Rect,
        pixels_per_point: f32,
        scale: f32,
    ) -> Page {
        let (length_s, wanted_pt) = ROW_LENGTHS[self.length];
        let rows = StripRows::new(&view.snapshot.recording, length_s);
        let body = Rect::from_min_max(
            rect.min + vec2(MARGIN_PT * scale, self.head_pt),
            rect.max - vec2(RIGHT_PT, 2.0),
        );
        let count = (body.height() / (wanted_pt * scale.max(1.0).sqrt())).floor().max(1.0) as i64;
        let place_row = rows.row_of(view.place);
        let last_row = rows.row_of(view.snapshot.recording.samples - 1);
        match self.last {
            Some((_, length)) if length != self.length => {
                // After a zoom the place stays at about the same height of the page.
                self.top_row = place_row - count / 3;
            }
            Some((place, _)) if place == view.place => {}
            _ if (self.top_row..self.top_row + count).contains(&place_row) => {}
            _ => self.top_row = place_row - count / 3,
        }
        self.top_row = self.top_row.min(last_row + 1 - count).max(0);
        self.last = Some((view.place, self.length));
        let rect = snapped(body, pixels_per_point);
        let mv_pt = rect.height() / count as f32 * 0.3 * self.gain;
        let zero_share = zero_share(view.snapshot, self.lead);
        Page { rows, rect, top_row: self.top_row, count, lead: self.lead, mv_pt, zero_share }
    }
}

/// Where 0 mV lies in a row: lower where the usual beat points up, higher where it points down.
fn zero_share(snapshot: &Snapshot, lead: usize) -> f32 {
    let largest = snapshot.found.groups.iter().max_by_key(|g| g.count);
    let Some(mean_mv) = largest.and_then(|g| g.mean_mv.get(lead)) else { return 0.62 };
    let values = mean_mv.iter().filter(|v| v.is_finite());
    let (low, high) = values.fold((-0.05f32, 0.05f32), |(l, h), v| (l.min(*v), h.max(*v)));
    let inverted = snapshot.inverted.get(lead).copied().unwrap_or(false);
    let up = if inverted { -low } else { high };
    0.3 + 0.42 * up / (high - low)
}
