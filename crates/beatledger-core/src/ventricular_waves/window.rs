//! One window of one lead: how much it swings like a sine.

use std::f32::consts::PI;

use super::calibration::{
    LONG_S, MUCH, MUCH_GAIN, NEAR_ZERO_SHARE, QRS_SIDE_S, RATE_HZ, SAME, SAME_GAIN, SHARP_S, SHORT_S,
};
use crate::model::{Recording, Span};

/// What a window measures.
#[derive(Clone, Copy, Debug)]
pub(super) struct Measured {
    /// What is left when the window is shifted by half its mean period and added, 0 to 1.
    pub leakage: f32,
    /// Swings a second.
    pub per_second: f32,
    /// Share of the time near zero.
    pub rest_share: f32,
    /// Root mean square, mV.
    pub size_mv: f32,
    /// Share of the size that is quicker than a short mean.
    pub sharp_share: f32,
}

/// How alike the leads are in a window.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Alike {
    /// Each lead sees something of its own.
    No,
    /// Much the same stands on all leads.
    Much,
    /// The same stands on all leads.
    Same,
}

/// How alike these windows are, at the same height.
pub(super) fn alike(windows: &[&[f32]]) -> Alike {
    let product = |a: &[f32], b: &[f32]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f32>();
    let Some((first, others)) = windows.split_first() else { return Alike::No };
    let of = |other: &&[f32]| {
        let (a, b) = (product(first, first), product(other, other));
        let (gain, alike) = ((a / b).sqrt(), product(first, other) / (a * b).sqrt());
        match (gain.max(1.0 / gain), alike) {
            (gain, alike) if gain < SAME_GAIN && alike > SAME => Alike::Same,
            (gain, alike) if gain < MUCH_GAIN && alike > MUCH => Alike::Much,
            _ => Alike::No,
        }
    };
    others.iter().map(of).min().unwrap_or(Alike::No)
}

/// The filter for one rate.
#[derive(Clone, Copy, Debug)]
pub(super) struct WindowFilter {
    step: usize,
    rate_hz: f64,
    short: usize,
    long: usize,
}

impl WindowFilter {
    /// The filter for a recording at `hz`.
    pub fn new(hz: f64) -> Self {
        let step = (hz / RATE_HZ).floor().max(1.0);
        let rate_hz = hz / step;
        Self {
            step: step as usize,
            rate_hz,
            short: ((SHORT_S * rate_hz).round() as usize).max(1),
            long: (LONG_S * rate_hz).round() as usize | 1,
        }
    }

    /// Measures `span` of a lead without the QRS complexes of `beats` and gives it as it was filtered; `None` where samples are
    /// missing or nothing moves.
    pub fn measure(
        &self,
        recording: &Recording,
        lead: usize,
        span: Span,
        beats: &[i64],
    ) -> Option<(Measured, Vec<f32>)> {
        let reach = ((self.short + self.long) * self.step) as i64;
        let mut mv = Vec::new();
        recording.leads.get(lead)?.read_mv(Span::new(span.start - reach, span.end + reach), &mut mv);
        hold_edges(&mut mv, reach as usize)?;
        let side = (QRS_SIDE_S * recording.rate.hz()) as i64;
        beats.iter().for_each(|beat| bridge(&mut mv, (beat - span.start) + reach, side));
        let slow: Vec<f32> =
            mv.chunks_exact(self.step).map(|c| c.iter().sum::<f32>() / self.step as f32).collect();
        let short = mean_twice(&slow, self.short);
        let drift = mean_twice(&short, self.long);
        let skip = (short.len().saturating_sub(drift.len())) / 2;
        let window: Vec<f32> = drift.iter().zip(short.get(skip..)?).map(|(d, s)| s - d).collect();
        let smooth = mean_twice(&window, ((SHARP_S * self.rate_hz).round() as usize) | 1);
        let skip = (window.len() - smooth.len()) / 2;
        let sharp: f32 = smooth.iter().zip(&window[skip..]).map(|(s, v)| (v - s).abs()).sum();
        let measured = measured(&window, self.rate_hz as f32)?;
        let all: f32 = window[skip..skip + smooth.len()].iter().map(|v| v.abs()).sum();
        Some((Measured { sharp_share: sharp / all.max(f32::MIN_POSITIVE), ..measured }, window))
    }
}

/// Before the start and after the end of a recording the first and last value stand; `None` when a sample inside
/// is missing.
fn hold_edges(mv: &mut [f32], reach: usize) -> Option<()> {
    let inside = reach..mv.len().saturating_sub(reach);
    if inside.is_empty() || mv[inside].iter().any(|v| !v.is_finite()) {
        return None;
    }
    for i in (0..reach).rev() {
        if !mv[i].is_finite() {
            mv[i] = mv[i + 1];
        }
    }
    for i in mv.len() - reach..mv.len() {
        if !mv[i].is_finite() {
            mv[i] = mv[i - 1];
        }
    }
    Some(())
}

/// Draws a line from `side` samples before `at` to as many after it.
fn bridge(mv: &mut [f32], at: i64, side: i64) {
    let last = mv.len() as i64 - 1;
    let (from, to) = ((at - side).clamp(0, last) as usize, (at + side).clamp(0, last) as usize);
    let (first, slope) = (mv[from], (mv[to] - mv[from]) / (to - from).max(1) as f32);
    mv[from..to].iter_mut().enumerate().for_each(|(i, v)| *v = first + slope * i as f32);
}

/// Moving mean of `width` values taken twice; shorter than `x` by twice `width - 1`.
fn mean_twice(x: &[f32], width: usize) -> Vec<f32> {
    let once = |x: &[f32]| -> Vec<f32> {
        let mut sum: f64 = x.iter().take(width).map(|v| f64::from(*v)).sum();
        let mut out = Vec::with_capacity(x.len());
        if x.len() >= width {
            out.push((sum / width as f64) as f32);
        }
        for i in width..x.len() {
            sum += f64::from(x[i]) - f64::from(x[i - width]);
            out.push((sum / width as f64) as f32);
        }
        out
    };
    once(&once(x))
}

fn measured(window: &[f32], rate_hz: f32) -> Option<Measured> {
    let size: f32 = window.iter().map(|v| v.abs()).sum();
    let way: f32 = window.windows(2).map(|w| (w[1] - w[0]).abs()).sum();
    if size <= 0.0 || way <= 0.0 {
        return None;
    }
    // A sine of period T moves 2 pi / T times its mean size a sample.
    let period = 2.0 * PI * size / way;
    let half = (period / 2.0).round() as usize;
    if half == 0 || half >= window.len() / 2 {
        return None;
    }
    let (mut left, mut all) = (0.0f32, 0.0f32);
    for (a, b) in window.iter().zip(&window[half..]) {
        left += (a + b).abs();
        all += a.abs() + b.abs();
    }
    let n = window.len() as f32;
    let near = NEAR_ZERO_SHARE * size / n;
    Some(Measured {
        leakage: left / all.max(f32::MIN_POSITIVE),
        per_second: rate_hz / period,
        rest_share: window.iter().filter(|v| v.abs() < near).count() as f32 / n,
        sharp_share: 0.0,
        size_mv: (window.iter().map(|v| v * v).sum::<f32>() / n).sqrt(),
    })
}
