//! A stretch of one lead from which means are taken quickly.

use std::ops::Range;

use super::calibration::{BEATS_READ, HALF_MS, LEVEL_GAP_MS, LEVEL_MS, MARGIN_S, READ_APART_S};
use crate::condition::raw::read_bridged;
use crate::model::{Recording, Span};

/// Stretches of consecutive beats that are read together.
pub(super) fn stretches(recording: &Recording, samples: &[i64]) -> Vec<Range<usize>> {
    let apart = recording.rate.samples_from_seconds(READ_APART_S);
    let mut parts = Vec::new();
    let mut start = 0;
    for i in 1..=samples.len() {
        if i == samples.len() || i - start == BEATS_READ || samples[i] - samples[i - 1] > apart {
            parts.push(start..i);
            start = i;
        }
    }
    parts
}

/// Running sums of one lead, uV.
pub(super) struct Trace {
    start: i64,
    uv_per_unit: f64,
    sums: Vec<i64>,
    rate_hz: f64,
}

impl Trace {
    /// Reads what lies around the beats of `part`, the beat after it included where it is near.
    pub(super) fn read(recording: &Recording, lead: usize, samples: &[i64], part: &Range<usize>) -> Self {
        let margin = recording.rate.samples_from_seconds(MARGIN_S);
        let near = recording.rate.samples_from_seconds(READ_APART_S);
        let last = samples[part.end - 1];
        let after = samples.get(part.end).copied().filter(|next| next - last <= near).unwrap_or(last);
        let span = Span::new(samples[part.start] - margin, after + margin);
        let raw = read_bridged(recording, lead, span, margin).raw;
        let mut sum = 0;
        let mut sums = Vec::with_capacity(raw.len() + 1);
        sums.push(0);
        sums.extend(raw.iter().map(|v| {
            sum += i64::from(*v);
            sum
        }));
        let uv_per_unit = recording.leads.get(lead).map_or(1.0, |l| 1000.0 / l.adc_per_mv);
        Self { start: span.start, uv_per_unit, sums, rate_hz: recording.rate.hz() }
    }

    /// Samples that `ms` last.
    pub(super) fn samples(&self, ms: f64) -> i64 {
        (ms / 1000.0 * self.rate_hz).round() as i64
    }

    /// Mean from sample `from` to before sample `to` of the recording, uV (against the unit's own zero); `None`
    /// outside what was read.
    pub(super) fn mean_uv(&self, from: i64, to: i64) -> Option<f64> {
        let sum = self.sum(from, to)?;
        Some(sum as f64 / (to - from) as f64 * self.uv_per_unit)
    }

    /// Sum of the raw values from sample `from` to before sample `to`.
    fn sum(&self, from: i64, to: i64) -> Option<i64> {
        let (a, b) = (from - self.start, to - self.start);
        if a < 0 || b <= a || b >= self.sums.len() as i64 {
            return None;
        }
        Some(self.sums[b as usize] - self.sums[a as usize])
    }

    /// What [`Trace::around_uv`] gives at each place of `places` (rising), as far as they were read and lie at or
    /// before `last`.
    pub(super) fn all_around_uv(
        &self,
        places: impl Iterator<Item = i64>,
        last: i64,
        mut to: impl FnMut(f64),
    ) {
        let half = self.samples(HALF_MS);
        let share = self.uv_per_unit / (2 * half + 1) as f64;
        for at in places.take_while(|at| *at <= last) {
            match self.sum(at - half, at + half + 1) {
                Some(sum) => to(sum as f64 * share),
                None => break,
            }
        }
    }

    /// Level before a QRS complex that begins at `onset`: a mean that ends just before it, uV.
    pub(super) fn before_qrs_uv(&self, onset: i64) -> Option<f64> {
        let end = onset - self.samples(LEVEL_GAP_MS);
        self.mean_uv(end - self.samples(LEVEL_MS).max(1), end)
    }

    /// Mean of some ms around `at`, uV.
    pub(super) fn around_uv(&self, at: i64) -> Option<f64> {
        let half = self.samples(HALF_MS);
        self.mean_uv(at - half, at + half + 1)
    }
}
