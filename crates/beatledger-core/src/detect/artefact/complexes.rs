//! The selected beats as complexes in time, and how even their intervals are.

use std::ops::Range;

use crate::detect::calibration::disorder::MIN_INTERVAL_SAMPLES;
use crate::model::Rate;
use crate::statistics::upper_median;

/// The selected beats, sorted, before each has its sample.
pub struct Complexes<'a> {
    /// Middles of the complexes, samples.
    pub middles: &'a [i64],
    /// Similarity of each to its neighbours.
    pub similarity: &'a [f32],
}

impl Complexes<'_> {
    /// The complexes within `reach` samples of the middle of second `s`.
    pub fn around(&self, rate: Rate, s: usize, reach: i64) -> Range<usize> {
        let middle = rate.samples_from_seconds(s as f64 + 0.5);
        let from = self.middles.partition_point(|m| *m < middle - reach);
        from..self.middles.partition_point(|m| *m < middle + reach)
    }
}

/// Standard deviation of the intervals by their mean; 0 where there is none.
pub fn interval_spread(middles: &[i64]) -> f64 {
    let intervals: Vec<f64> = middles.windows(2).map(|w| (w[1] - w[0]) as f64).collect();
    if intervals.is_empty() {
        return 0.0;
    }
    let mean = intervals.iter().sum::<f64>() / intervals.len() as f64;
    let square = intervals.iter().map(|g| (g - mean).powi(2)).sum::<f64>() / intervals.len() as f64;
    square.sqrt() / mean.max(MIN_INTERVAL_SAMPLES)
}

/// Median change from one interval to the next; 0 where there is none.
pub fn median_interval_change(middles: &[i64]) -> f64 {
    let mut changes: Vec<f64> =
        middles.windows(3).map(|w| interval_change(w[1] - w[0], w[2] - w[1])).collect();
    upper_median(&mut changes).unwrap_or(0.0)
}

/// Change from one interval to the next as a fraction of their mean.
pub fn interval_change(before: i64, after: i64) -> f64 {
    2.0 * (after - before).abs() as f64 / (after + before).max(1) as f64
}
