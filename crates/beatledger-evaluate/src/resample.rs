//! A record at another rate, so that what is learned does not hang on one recorder.

use std::f64::consts::PI;
use std::sync::Arc;

use beatledger_core::model::{Rate, Recording, Span};
use beatledger_score::Annotations;

/// Half of the filter's length, in periods of its limit.
const HALF: f64 = 12.0;
/// Its limit, as a share of half the lower of the two rates.
const LIMIT: f64 = 0.9;

/// The record and its reference at `hz` samples a second: a windowed sine cardinal (Blackman), which passes all below
/// nine tenths of half the lower rate.
pub fn at_rate(recording: &Recording, reference: &Annotations, hz: u32) -> (Recording, Annotations) {
    let ratio = f64::from(hz) / recording.rate.hz();
    let place = |sample: i64| (sample as f64 * ratio).round() as i64;
    let span = |s: &Span| Span::new(place(s.start), place(s.end));
    let mut out = recording.clone();
    out.rate = Rate::whole_hz(hz);
    out.samples = place(recording.samples);
    out.segments = vec![out.whole()];
    for (to, from) in out.leads.iter_mut().zip(&recording.leads) {
        let mut mv = Vec::new();
        from.read_mv(recording.whole(), &mut mv);
        let raw = |j: i64| {
            let value = between(&mv, j as f64 / ratio, ratio.min(1.0) * LIMIT);
            (value * from.adc_per_mv + from.adc_zero).round() as i32
        };
        let samples: Vec<i32> = (0..out.samples).map(raw).collect();
        (to.samples, to.rails) = (Arc::new(samples), None);
    }
    let beats = reference.beats.iter().map(|(sample, class)| (place(*sample), *class)).collect();
    let spans = |of: &[Span]| of.iter().map(span).collect();
    let reference = Annotations {
        shutdown: spans(&reference.shutdown),
        vf: spans(&reference.vf),
        af: spans(&reference.af),
        flutter: spans(&reference.flutter),
        ..Annotations::of_beats(beats)
    };
    (out, reference)
}

/// The value at `at` samples, band-limited to `limit` of half the rate.
fn between(mv: &[f32], at: f64, limit: f64) -> f64 {
    let half = HALF / limit;
    let (from, to) = ((at - half).ceil().max(0.0) as usize, ((at + half).floor() as usize).min(mv.len() - 1));
    let (mut sum, mut weights) = (0.0, 0.0);
    for (k, value) in mv.iter().enumerate().take(to + 1).skip(from) {
        let x = k as f64 - at;
        let sinc = if x.abs() < 1e-9 { 1.0 } else { (PI * limit * x).sin() / (PI * limit * x) };
        let along = PI * x / half;
        let weight = sinc * (0.42 + 0.5 * along.cos() + 0.08 * (2.0 * along).cos());
        if value.is_finite() {
            sum += weight * f64::from(*value);
            weights += weight;
        }
    }
    if weights.abs() < 1e-6 { 0.0 } else { sum / weights }
}
