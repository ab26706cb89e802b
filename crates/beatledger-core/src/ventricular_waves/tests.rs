//! Drawn waves, beats and noise.

use super::*;
use crate::model::testing::drawn;

const HZ: usize = 1000;

/// A lead of one minute: beats of 1 mV at 75/min, with `from_s..to_s` drawn by `wave` instead.
fn minute(from_s: usize, to_s: usize, wave: impl Fn(f64) -> f64) -> (Recording, Vec<i64>) {
    let rr = 800;
    let inside = |i: usize| (from_s * HZ..to_s * HZ).contains(&i);
    let beat = |i: usize| {
        let at = (i % rr as usize) as f64 - 400.0;
        (-(at / 12.0).powi(2)).exp() + 0.25 * (-((at - 250.0) / 60.0).powi(2)).exp()
    };
    let draw = |i: usize| if inside(i) { wave(i as f64 / HZ as f64) } else { beat(i) };
    let mv: Vec<f64> = (0..60 * HZ).map(draw).collect();
    let beats = (0..75).map(|k| 400 + k * rr).filter(|b| !inside(*b as usize)).collect();
    (drawn(HZ as u32, &mv), beats)
}

fn found(recording: &Recording, beats: &[i64]) -> Vec<Span> {
    let quality =
        crate::condition::quality(recording, &crate::settings::Settings::default(), &Progress::default());
    swings(recording, &quality, beats, &[], &Progress::default()).ventricular
}

fn swing(per_min: f64, mv: f64) -> impl Fn(f64) -> f64 {
    move |s| mv * (2.0 * std::f64::consts::PI * per_min / 60.0 * s).sin()
}

#[test]
fn large_waves_one_after_the_other_are_ventricular_flutter_or_fibrillation() {
    for per_min in [200.0, 280.0, 400.0] {
        let (recording, beats) = minute(20, 32, swing(per_min, 0.8));
        let spans = found(&recording, &beats);
        assert_eq!(spans.len(), 1, "{per_min}");
        let s = |x: i64| x as f64 / HZ as f64;
        assert!(
            (s(spans[0].start) - 20.0).abs() <= 1.0 && (s(spans[0].end) - 32.0).abs() <= 1.0,
            "{spans:?}"
        );
    }
}

#[test]
fn waves_that_turn_in_height_and_rate_are_fibrillation_too() {
    let wave = |s: f64| {
        (0.5 + 0.3 * (1.9 * s).sin()) * (2.0 * std::f64::consts::PI * (5.0 * s + 0.3 * (2.1 * s).sin())).sin()
    };
    let (recording, beats) = minute(20, 35, wave);
    assert_eq!(found(&recording, &beats).len(), 1);
}

#[test]
fn a_pause_small_waves_and_a_few_seconds_are_not() {
    let (quiet, beats) = minute(20, 32, |_| 0.0);
    assert!(found(&quiet, &beats).is_empty(), "asystole");
    let (small, beats) = minute(20, 32, swing(330.0, 0.05));
    assert!(found(&small, &beats).is_empty(), "waves of the atria alone");
    let (short, beats) = minute(20, 22, swing(280.0, 0.8));
    assert!(found(&short, &beats).is_empty(), "two seconds");
}

#[test]
fn fast_beats_with_rest_between_them_are_no_flutter() {
    let tachycardia = |s: f64| {
        let at = (s % 0.32) - 0.16;
        (-(at / 0.012f64).powi(2)).exp() + 0.2 * (-((at - 0.1) / 0.03).powi(2)).exp()
    };
    let (recording, mut beats) = minute(20, 40, tachycardia);
    beats.extend((0..62).map(|k| 20_160 + k * 320));
    beats.sort_unstable();
    assert!(found(&recording, &beats).is_empty());
}

#[test]
fn drift_and_noise_without_order_are_not_fibrillation() {
    let mut state = 7u64;
    let noise: Vec<f64> = (0..60 * HZ)
        .map(|_| {
            state = state * 48_271 % 2_147_483_647;
            state as f64 / 2_147_483_647.0 - 0.5
        })
        .collect();
    let walk: Vec<f64> = noise
        .iter()
        .scan(0.0, |level, v| {
            *level = 0.995 * *level + 0.2 * v;
            Some(*level)
        })
        .collect();
    let (recording, beats) = minute(10, 50, |s| walk[(s * HZ as f64) as usize]);
    assert!(found(&recording, &beats).is_empty());
}
