//! The tracing as it is drawn and measured: millivolts, zero-phase filtered.
//!
//! | part | kind | -3 dB | reach to either side |
//! |---|---|---|---|
//! | baseline | one minus a moving average taken twice (a triangle) | `highpass_hz` | 0.573 / `highpass_hz` s (1.15 s at 0.5 Hz) |
//! | high end | sine cardinal under a Hamming window | `lowpass_hz` | about 1 / (0.2 `lowpass_hz`) s (0.13 s at 40 Hz) |
//! | mains | one minus a cosine under a Hann window; left out where the high end takes `mains_hz` down by 26 dB already | 1.4 Hz to either side | 0.25 s |
//!
//! Every kernel is symmetric, so waves stay in place. The baseline filter has linear phase: unlike the
//! single-pole filter of the same corner it does not tilt the ST segment after a tall QRS.

use super::boxcar::{highpass_width, triangle_sums};
use super::calibration::{MAINS_LEFT, MIN_HIGHPASS_HZ};
use super::fir::Kernel;
use super::raw::read_bridged;
use crate::model::{Recording, Span};
use crate::settings::Settings;

/// The filters of the tracing for one rate.
struct Chain {
    baseline_width: usize,
    high_end: Kernel,
    mains: Kernel,
}

impl Chain {
    fn new(settings: &Settings, rate_hz: f64) -> Self {
        let high_end = Kernel::lowpass(settings.lowpass_hz, rate_hz);
        let is_left = settings.mains_hz > 0.0 && high_end.gain(settings.mains_hz, rate_hz).abs() > MAINS_LEFT;
        let mains = if is_left { Kernel::notch(settings.mains_hz, rate_hz) } else { Kernel::identity() };
        Self {
            baseline_width: highpass_width(settings.highpass_hz.max(MIN_HIGHPASS_HZ), rate_hz),
            high_end,
            mains,
        }
    }

    fn reach(&self) -> i64 {
        (self.baseline_width - 1 + self.high_end.reach() + self.mains.reach()) as i64
    }
}

/// One lead of `span` as it is drawn and measured: millivolts, zero-phase filtered by `highpass_hz`,
/// `lowpass_hz` and `mains_hz`; NaN where samples are missing. `out` gets exactly `span.len()` values, and
/// each value depends on the recording alone, not on where the span starts.
///
/// A whole day is best read in stretches of some minutes: each call reads about three seconds around its span.
pub fn display_mv(recording: &Recording, lead: usize, span: Span, settings: &Settings, out: &mut Vec<f32>) {
    out.clear();
    if span.is_empty() {
        return;
    }
    out.resize(span.len() as usize, f32::NAN);
    let inside = span.overlap(recording.whole());
    let Some(scale) = recording.leads.get(lead).map(|l| 1.0 / l.adc_per_mv).filter(|_| !inside.is_empty())
    else {
        return;
    };
    let chain = Chain::new(settings, recording.rate.hz());
    let reach = chain.reach();
    // Twice the reach more is read than the filters see, so that both edges of a gap are known.
    let wide = Span::new(inside.start - 3 * reach, inside.end + 3 * reach);
    let bridged = read_bridged(recording, lead, wide, reach);
    let seen = &bridged.raw[2 * reach as usize..(4 * reach + inside.len()) as usize];
    let level_mv = without_baseline(seen, chain.baseline_width, scale);
    let (mut smooth_mv, mut clean_mv) = (Vec::new(), Vec::new());
    chain.high_end.apply(&level_mv, &mut smooth_mv);
    let result = if chain.mains.reach() > 0 {
        chain.mains.apply(&smooth_mv, &mut clean_mv);
        clean_mv
    } else {
        smooth_mv
    };
    let at = (inside.start - span.start) as usize;
    out[at..at + result.len()].copy_from_slice(&result);
    for gap in &bridged.gaps {
        let gap = Span::new(gap.start + wide.start - span.start, gap.end + wide.start - span.start);
        let gap = gap.overlap(Span::new(0, span.len()));
        if !gap.is_empty() {
            out[gap.start as usize..gap.end as usize].fill(f32::NAN);
        }
    }
}

/// Millivolts with the baseline taken out; shorter than `raw` by `width - 1` on either side.
fn without_baseline(raw: &[i32], width: usize, mv_per_adc: f64) -> Vec<f32> {
    let wide: Vec<i64> = raw.iter().map(|v| i64::from(*v)).collect();
    let mut sums = Vec::new();
    triangle_sums(&wide, width, &mut sums);
    let (area, scale) = ((width * width) as i64, mv_per_adc / (width * width) as f64);
    sums.iter().zip(&wide[width - 1..]).map(|(sum, x)| ((x * area - sum) as f64 * scale) as f32).collect()
}
