//! Means of the samples around a beat, from running sums.

use super::shape::{BEFORE, POST, PRE, STEP_MS, STEPS};
use super::shape::{POST_FROM_MS, POST_MS, PRE_BEFORE};
use crate::condition::raw::{Bridged, read_bridged};
use crate::model::{Recording, Span};

/// One end of a mean: so many whole samples from the beat, and a part of the next one.
pub type End = (i64, f64);

/// From where to where the means around a beat reach. Each is over a mains period, which takes mains and muscle
/// noise away at a fraction of the cost of filtering all samples.
pub struct Taps {
    /// Where the means of this part of a beat reach.
    pub shape: [(End, End); STEPS],
    /// Where the means of this part of a beat reach.
    pub before: [(End, End); PRE],
    /// Where the means of this part of a beat reach.
    pub after: [(End, End); POST],
    /// Samples that a mean covers.
    pub width: f64,
    /// Samples to either side of a beat that all means lie in.
    pub reach: i64,
    /// Samples to either side that have to be there.
    pub whole: i64,
}

impl Taps {
    /// The taps for a rate; mains of 0 Hz means off, and 50 Hz is taken.
    pub fn of(hz: f64, mains_hz: f64) -> Self {
        let period = 1.0 / if mains_hz > 0.0 { mains_hz.max(40.0) } else { 50.0 };
        let half = (period * hz / 2.0).max(0.5);
        // A sample covers its place and up to the next one, so its middle lies half a sample later.
        let at = |x: f64| (x.floor() as i64, x - x.floor());
        let tap = |ms: f64| {
            let middle = 0.5 + ms / 1000.0 * hz;
            (at(middle - half), at(middle + half))
        };
        let last_ms = POST_FROM_MS + POST as f64 * POST_MS;
        Self {
            shape: std::array::from_fn(|k| tap((k as f64 - BEFORE as f64) * STEP_MS)),
            before: std::array::from_fn(|k| tap((k as f64 - PRE_BEFORE as f64) * STEP_MS)),
            after: std::array::from_fn(|k| tap(POST_FROM_MS + k as f64 * POST_MS)),
            width: 2.0 * half,
            reach: (last_ms / 1000.0 * hz + half).ceil() as i64 + 2,
            whole: (0.28 * hz) as i64,
        }
    }
}

/// Running sums of the samples of one lead over a stretch: whole numbers, so exact.
pub struct Sums {
    sum: Vec<i64>,
    bridged: Bridged,
}

impl Sums {
    /// Sums over `span`; gaps are bridged by holding their edges for `hold` samples.
    pub fn of(recording: &Recording, lead: usize, span: Span, hold: i64) -> Self {
        let bridged = read_bridged(recording, lead, span, hold);
        let mut sum = Vec::with_capacity(bridged.raw.len() + 1);
        let mut total = 0i64;
        sum.push(0);
        sum.extend(bridged.raw.iter().map(|v| {
            total += i64::from(*v);
            total
        }));
        Self { sum, bridged }
    }

    /// Means around the beat at `at`, which lies at least the taps' reach inside the stretch.
    pub fn read(&self, at: i64, taps: &[(End, End)], mv_per_sum: f64, out: &mut [f32]) {
        let raw = &self.bridged.raw;
        for (out, (from, to)) in out.iter_mut().zip(taps) {
            let (a, b) = ((at + from.0) as usize, (at + to.0) as usize);
            let parts = f64::from(raw[b]) * to.1 - f64::from(raw[a]) * from.1;
            *out = (((self.sum[b] - self.sum[a]) as f64 + parts) * mv_per_sum) as f32;
        }
    }

    /// True when no sample is missing within `reach` of `at`.
    pub fn is_whole(&self, at: i64, reach: i64) -> bool {
        let gaps = &self.bridged.gaps;
        gaps.is_empty() || Span::new(at - reach, at + reach).covered_by(gaps) == 0
    }
}
