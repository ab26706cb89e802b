//! The day laid over the plot of the band: where a sample lies.

use egui::Rect;

/// The day laid over the plot.
pub(super) struct BandPlot {
    pub(super) samples: i64,
    pub(super) plot: Rect,
}

impl BandPlot {
    pub(super) fn x_from_sample(&self, sample: i64) -> f32 {
        let share = (sample as f64 / self.samples as f64).clamp(0.0, 1.0);
        self.plot.left() + share as f32 * self.plot.width()
    }

    pub(super) fn sample_from_x(&self, x: f32) -> i64 {
        let share = f64::from((x - self.plot.left()) / self.plot.width().max(1.0)).clamp(0.0, 1.0);
        ((share * self.samples as f64) as i64).min(self.samples - 1)
    }
}
