//! The samples around one beat on its leads, ready for measuring.

use crate::condition::raw::read_bridged;
use crate::model::{Recording, Span};

/// Read this far before the beat, s.
const BEFORE_S: f64 = 0.45;
/// Read at most this far after the beat, s.
const AFTER_S: f64 = 0.8;
/// Interval assumed where a neighbour is not known, s.
const ASSUMED_S: f64 = 0.8;

/// The samples around one beat. Indices count from the start of the window.
#[derive(Clone, Debug, Default)]
pub(super) struct Window {
    /// Samples per second.
    pub rate_hz: f64,
    /// Index of the beat.
    pub beat: usize,
    /// Interval to the beat before, samples.
    pub before: f64,
    /// Interval to the beat after, samples.
    pub after: f64,
    /// The best lead, mV, as it is.
    pub best_mv: Vec<f32>,
    /// Speed of change of all leads together, mV per sample.
    pub speed: Vec<f32>,
    raw: Vec<f32>,
    smooth: Vec<f32>,
    scratch: Vec<f32>,
}

impl Window {
    /// Samples that `ms` last.
    pub fn samples(&self, ms: f64) -> usize {
        (ms / 1000.0 * self.rate_hz).round() as usize
    }

    /// Reads the samples around `sample`; `leads` are best first.
    pub fn read(
        &mut self,
        recording: &Recording,
        leads: &[usize],
        sample: i64,
        before: Option<i64>,
        after: Option<i64>,
    ) {
        let rate = recording.rate;
        self.rate_hz = rate.hz();
        self.before = before.map_or(ASSUMED_S * self.rate_hz, |b| (sample - b) as f64);
        self.after = after.map_or(ASSUMED_S * self.rate_hz, |a| (a - sample) as f64);
        let ahead = rate.samples_from_seconds(AFTER_S);
        let behind = rate.samples_from_seconds(BEFORE_S);
        let span = Span::new(sample - behind, sample + ahead);
        self.beat = behind as usize;
        self.speed.clear();
        self.speed.resize(span.len() as usize, 0.0);
        self.best_mv.clear();
        for (place, lead) in leads.iter().enumerate() {
            let Some(scale) = recording.leads.get(*lead).map(|l| (1.0 / l.adc_per_mv) as f32) else {
                continue;
            };
            let raw = read_bridged(recording, *lead, span, span.len()).raw;
            // Against the beat's own value, so that a large offset costs no digits.
            let zero = raw[self.beat];
            self.raw.clear();
            self.raw.extend(raw.iter().map(|v| (i64::from(*v) - i64::from(zero)) as f32 * scale));
            self.add_speed();
            if place == 0 {
                self.best_mv.extend(&self.raw);
            }
        }
        self.best_mv.resize(span.len() as usize, 0.0);
        self.speed.iter_mut().for_each(|v| *v = v.sqrt());
    }

    fn add_speed(&mut self) {
        let half = ((0.004 * self.rate_hz).round() as usize).max(1);
        smoothed(&self.raw, half, &mut self.scratch);
        smoothed(&self.scratch, half, &mut self.smooth);
        let k = ((0.004 * self.rate_hz).round() as usize).max(1);
        for i in k..self.raw.len().saturating_sub(k) {
            let change = (self.smooth[i + k] - self.smooth[i - k]) / (2 * k) as f32;
            self.speed[i] += change * change;
        }
    }

    /// The best lead under a moving average of `ms` taken twice, mV.
    pub fn smooth_best(&self, ms: f64) -> Vec<f32> {
        let half = (self.samples(ms) / 2).max(1);
        let (mut once, mut twice) = (Vec::new(), Vec::new());
        smoothed(&self.best_mv, half, &mut once);
        smoothed(&once, half, &mut twice);
        twice
    }
}

/// Moving average over `half` values to either side; fewer at the ends.
fn smoothed(x: &[f32], half: usize, out: &mut Vec<f32>) {
    out.clear();
    let n = x.len();
    let mut sum: f64 = x.iter().take(half).map(|v| f64::from(*v)).sum();
    for i in 0..n {
        if i + half < n {
            sum += f64::from(x[i + half]);
        }
        if i > half {
            sum -= f64::from(x[i - half - 1]);
        }
        let count = (i + half + 1).min(n) - i.saturating_sub(half);
        out.push((sum / count as f64) as f32);
    }
}

/// Mean of the values in a range, cut to what there is; 0 when nothing is.
pub(super) fn mean(x: &[f32], from: usize, to: usize) -> f32 {
    let part = &x[from.min(x.len())..to.min(x.len()).max(from.min(x.len()))];
    if part.is_empty() { 0.0 } else { part.iter().sum::<f32>() / part.len() as f32 }
}
