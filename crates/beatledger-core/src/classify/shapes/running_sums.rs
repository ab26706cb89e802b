//! Means of the samples around a beat, from running sums.

use super::calibration::{
    LEAST_MAINS_HZ, MAINS_OFF_HZ, P_STEPS, P_STEPS_BEFORE, STEP_MS, STEPS, STEPS_BEFORE, T_FROM_MS,
    T_STEP_MS, T_STEPS, WHOLE_S,
};
use crate::classify::calibration::MS_PER_S;
use crate::condition::raw::{Bridged, read_bridged};
use crate::model::{Recording, Span};

/// One end of a mean: so many whole samples from the beat, and a part of the next one.
pub type End = (i64, f64);

/// From where to where the means around a beat reach. Each is over a mains period, which takes mains and
/// muscle noise away at a fraction of the cost of filtering all samples.
pub struct MeanWindows {
    /// Windows of the steps of the shape.
    pub shape: [(End, End); STEPS],
    /// Windows of the steps where the P wave stands.
    pub p_stretch: [(End, End); P_STEPS],
    /// Windows of the steps where the T wave stands.
    pub t_stretch: [(End, End); T_STEPS],
    /// Samples that a mean covers.
    pub width: f64,
    /// Samples to either side of a beat that all windows lie in.
    pub reach: i64,
    /// Samples to either side of a beat that have to be there.
    pub whole: i64,
}

impl MeanWindows {
    /// The windows for a rate; mains of 0 Hz means that the mains filter is off.
    pub fn of(hz: f64, mains_hz: f64) -> Self {
        let period = 1.0 / if mains_hz > 0.0 { mains_hz.max(LEAST_MAINS_HZ) } else { MAINS_OFF_HZ };
        let half = (period * hz / 2.0).max(0.5);
        // A sample covers its place and up to the next one, so its middle lies half a sample later.
        let end = |x: f64| (x.floor() as i64, x - x.floor());
        let window = |ms: f64| {
            let middle = 0.5 + ms / MS_PER_S * hz;
            (end(middle - half), end(middle + half))
        };
        let last_ms = T_FROM_MS + T_STEPS as f64 * T_STEP_MS;
        Self {
            shape: std::array::from_fn(|k| window((k as f64 - STEPS_BEFORE as f64) * STEP_MS)),
            p_stretch: std::array::from_fn(|k| window((k as f64 - P_STEPS_BEFORE as f64) * STEP_MS)),
            t_stretch: std::array::from_fn(|k| window(T_FROM_MS + k as f64 * T_STEP_MS)),
            width: 2.0 * half,
            reach: (last_ms / MS_PER_S * hz + half).ceil() as i64 + 2,
            whole: (WHOLE_S * hz) as i64,
        }
    }
}

/// Running sums of the samples of one lead over a stretch: whole numbers, so exact.
pub struct RunningSums {
    sum: Vec<i64>,
    bridged: Bridged,
}

impl RunningSums {
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

    /// Means around the beat at `at`, which lies at least the reach of the windows inside the stretch.
    pub fn read(&self, at: i64, windows: &[(End, End)], mv_per_sum: f64, out: &mut [f32]) {
        let raw = &self.bridged.raw;
        for (out, (from, to)) in out.iter_mut().zip(windows) {
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
