//! The paper of one frame on the screen: where a sample and a voltage lie.

use std::sync::Arc;

use beatledger_report::strip::StripGeom;
use egui::{Rect, pos2};

/// Height of the clock along the lower edge of the paper at 100 % text size, points.
pub(super) const CLOCK_PT: f32 = 12.0;
/// Paper speed, mm/s.
pub(super) const MM_PER_S: f32 = 25.0;
/// Height of the line of beat letters, points.
pub(super) const LETTERS_PT: f32 = 20.0;

/// The paper on the screen.
pub(super) struct Paper {
    pub(super) geom: Arc<StripGeom>,
    /// Paper with tracing, without the line of letters above it.
    pub(super) rect: Rect,
    /// Points of one millimetre.
    pub(super) mm_pt: f32,
    pub(super) hz: f64,
    /// 0 mV of each lead shown, mm from the top of the paper.
    pub(super) baselines_mm: Vec<f32>,
}

impl Paper {
    pub(super) fn x(&self, mm: f32) -> f32 {
        self.rect.left() + mm * self.mm_pt
    }

    /// Height of `mv` on the lead at `index` of those shown.
    pub(super) fn y_from_mv(&self, index: usize, mv: f32) -> f32 {
        let zero_mm = self.baselines_mm.get(index).copied().unwrap_or(0.0);
        self.rect.top() + (zero_mm - mv * self.geom.mm_per_mv) * self.mm_pt
    }

    /// Place of a point of the geometry, mm, on the lead at `index` of those shown.
    pub(super) fn pos(&self, index: usize, point: &[f32; 2]) -> egui::Pos2 {
        let below_zero_mm = self.geom.leads.get(index).map_or(0.0, |l| point[1] - l.baseline_mm);
        pos2(self.x(point[0]), self.y_from_mv(index, 0.0) + below_zero_mm * self.mm_pt)
    }

    /// The lead nearest to a height on the screen.
    pub(super) fn lead_at(&self, y: f32) -> Option<usize> {
        let far = |i: usize| (self.y_from_mv(i, 0.0) - y).abs();
        (0..self.geom.leads.len()).min_by(|a, b| far(*a).total_cmp(&far(*b)))
    }

    /// True when some tracing leaves the paper.
    pub(super) fn is_cut(&self) -> bool {
        let outside = |y: f32| y < self.rect.top() || y > self.rect.bottom();
        let leads = self.geom.leads.iter().enumerate();
        leads.clone().any(|(_, l)| l.cut)
            || leads
                .flat_map(|(i, l)| l.polylines.iter().flatten().map(move |p| (i, p)))
                .any(|(i, p)| outside(self.pos(i, p).y))
    }

    pub(super) fn x_from_sample(&self, sample: i64) -> f32 {
        self.x(self.geom.x_from_sample(self.hz, sample))
    }

    pub(super) fn sample_from_x(&self, x: f32) -> i64 {
        let mm = f64::from((x - self.rect.left()) / self.mm_pt - self.geom.x0_mm);
        let sample = self.geom.span.start + (mm / f64::from(MM_PER_S) * self.hz).round() as i64;
        sample.clamp(self.geom.span.start, (self.geom.span.end - 1).max(self.geom.span.start))
    }
}
