//! The band in which beats are looked for, at a reduced rate.
//!
//! Samples are summed in steps to a working rate of 100 to 200 Hz; the band is a short moving average taken
//! twice less a long one taken twice. All sums run over whole numbers and steps are counted from sample 0 of
//! the recording, so a value never depends on where a block starts.

use super::boxcar::{highpass_width, triangle_sums};
use super::calibration::{BAND_LOW_HZ, MIN_WORKING_RATE_HZ, SHORT_AVERAGE_S, STEPS_PER_MV};
use super::raw::{Bridged, read_bridged};
use crate::model::{Recording, Span};

/// The band for one rate.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Band {
    /// Samples per step of the working rate.
    pub step: i64,
    /// The working rate, Hz.
    pub rate_hz: f64,
    short: usize,
    long: usize,
}

/// One lead in the band, with the raw stretch that it came from.
pub(crate) struct Banded {
    /// Banded values at the working rate, [`STEPS_PER_MV`] a millivolt; about zero in gaps.
    pub values: Vec<i32>,
    /// The raw samples of exactly the stretch asked for, and its gaps.
    pub raw: Bridged,
}

impl Band {
    /// The band for a recording at `rate_hz`.
    pub fn new(rate_hz: f64) -> Self {
        let step = (rate_hz / MIN_WORKING_RATE_HZ).floor().max(1.0);
        let slow_hz = rate_hz / step;
        Self {
            step: step as i64,
            rate_hz: slow_hz,
            short: ((SHORT_AVERAGE_S * slow_hz).round() as usize).max(1),
            long: highpass_width(BAND_LOW_HZ, slow_hz),
        }
    }

    /// Steps that `seconds` last.
    pub fn steps(&self, seconds: f64) -> usize {
        (seconds * self.rate_hz).round().max(1.0) as usize
    }

    /// Number of steps in the whole recording; a last part of a step is left out.
    pub fn len(&self, recording: &Recording) -> i64 {
        recording.samples / self.step
    }

    /// Banded values of the steps `span` (may reach beyond the recording).
    pub fn read(&self, recording: &Recording, lead: usize, span: Span) -> Banded {
        let reach = (self.long - 1 + self.short - 1) as i64;
        let hold = reach * self.step;
        let margin = 3 * reach;
        let wide = Span::new((span.start - margin) * self.step, (span.end + margin) * self.step);
        let bridged = read_bridged(recording, lead, wide, hold);
        let step = self.step as usize;
        let sums = step_sums(&bridged.raw, step);
        let seen = &sums[2 * reach as usize..(4 * reach + span.len()) as usize];
        let adc_per_mv = recording.leads.get(lead).map_or(1.0, |l| l.adc_per_mv);
        let values = self.apply(seen, STEPS_PER_MV / (adc_per_mv * self.step as f64));
        let (from, to) = ((margin * self.step) as usize, ((margin + span.len()) * self.step) as usize);
        let inside = Span::new(from as i64, to as i64);
        let gaps = bridged.gaps.iter().map(|g| g.overlap(inside)).filter(|g| !g.is_empty());
        let gaps = gaps.map(|g| Span::new(g.start - inside.start, g.end - inside.start)).collect();
        let mut raw = bridged.raw;
        raw.truncate(to);
        raw.drain(..from);
        Banded { values, raw: Bridged { raw, gaps } }
    }

    fn apply(&self, sums: &[i64], scale: f64) -> Vec<i32> {
        let (mut short, mut long) = (Vec::new(), Vec::new());
        triangle_sums(sums, self.short, &mut short);
        triangle_sums(&short, self.long, &mut long);
        let area = (self.long * self.long) as i64;
        let scale = scale / (area as f64 * (self.short * self.short) as f64);
        // A saturating cast: values beyond +-130 V are no tracing.
        long.iter()
            .zip(&short[self.long - 1..])
            .map(|(l, s)| ((s * area - l) as f64 * scale) as i32)
            .collect()
    }
}

/// Sums of `step` samples each; a last part of a step is left out. The usual steps are written out so that the
/// compiler can work on several sums at a time.
pub(crate) fn step_sums(raw: &[i32], step: usize) -> Vec<i64> {
    fn fixed<const STEP: usize>(raw: &[i32]) -> Vec<i64> {
        raw.as_chunks::<STEP>().0.iter().map(|c| c.iter().map(|v| i64::from(*v)).sum()).collect()
    }
    match step {
        1 => raw.iter().map(|v| i64::from(*v)).collect(),
        2 => fixed::<2>(raw),
        3 => fixed::<3>(raw),
        4 => fixed::<4>(raw),
        5 => fixed::<5>(raw),
        10 => fixed::<10>(raw),
        _ => raw.chunks_exact(step.max(1)).map(|c| c.iter().map(|v| i64::from(*v)).sum()).collect(),
    }
}

/// The largest of values that are not negative, 0 of none; several at a time.
pub(crate) fn largest(values: &[f32]) -> f32 {
    let (eights, rest) = values.as_chunks::<8>();
    let mut most = [0.0f32; 8];
    let larger = |m: &mut f32, v: &f32| *m = if *v > *m { *v } else { *m };
    for eight in eights {
        most.iter_mut().zip(eight).for_each(|(m, v)| larger(m, v));
    }
    most.iter().chain(rest).copied().fold(0.0, f32::max)
}

/// Size of the banded signal: the mean of its absolute value over `width` steps around each step; `width` is
/// odd, and nothing is known of the outermost steps (0). Sums are whole numbers, so they are exact.
pub(crate) fn envelope(values: &[i32], width: usize) -> Vec<f32> {
    let mut out = vec![0.0; values.len()];
    let half = width / 2;
    if values.len() < width {
        return out;
    }
    let share = 1.0 / width as f32;
    let mut sum: i64 = values[..width].iter().map(|v| i64::from(v.unsigned_abs())).sum();
    out[half] = sum as f32 * share;
    let inner = out[half + 1..].iter_mut();
    for (to, (enters, leaves)) in inner.zip(values[width..].iter().zip(values)) {
        sum += i64::from(enters.unsigned_abs()) - i64::from(leaves.unsigned_abs());
        *to = sum as f32 * share;
    }
    out
}

/// Second differences of the banded signal over `distance` steps: large where it bends sharply, as QRS
/// complexes do and T waves do not; 0 at the ends.
pub(crate) fn bends(values: &[i32], distance: usize) -> Vec<i32> {
    let n = values.len();
    let mut out = vec![0; n];
    if n > 2 * distance {
        let (before, after) = (&values[..n - 2 * distance], &values[2 * distance..]);
        for (i, to) in out[distance..n - distance].iter_mut().enumerate() {
            *to = before[i].saturating_add(after[i]).saturating_sub(values[i + distance].saturating_mul(2));
        }
    }
    out
}
