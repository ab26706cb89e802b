//! Limits of made waves, which are known.

use std::sync::Arc;

use super::*;
use crate::model::{Lead, Rate, Span, Unit};

/// A smooth hump of `height` between two times, zero outside.
fn hump(t_ms: f64, from_ms: f64, to_ms: f64, height: f64) -> f64 {
    if t_ms <= from_ms || t_ms >= to_ms {
        return 0.0;
    }
    height * (0.5 - 0.5 * (2.0 * std::f64::consts::PI * (t_ms - from_ms) / (to_ms - from_ms)).cos())
}

/// Beats every 0.9 s with P 200..110 ms before, QRS of `width_ms` around, T 200..380 ms after the beat.
fn made(rate_hz: u32, width_ms: f64, with_p: bool) -> (Recording, Vec<i64>) {
    let n = 20 * rate_hz as usize;
    let value = |i: usize| {
        let t_ms = (1000.0 * i as f64 / f64::from(rate_hz)) % 900.0 - 450.0;
        let p = if with_p { hump(t_ms, -200.0, -110.0, 0.12) } else { 0.0 };
        let qrs = hump(t_ms, -width_ms / 2.0, width_ms / 2.0, 1.1);
        let t = hump(t_ms, 180.0, 380.0, 0.3);
        (200.0 * (p + qrs + t)).round() as i16 + 300
    };
    let lead = Lead {
        name: "II".into(),
        unit: Unit::Millivolt,
        adc_per_mv: 200.0,
        adc_zero: 0.0,
        missing: None,
        rails: None,
        prefilter: String::new(),
        samples: Arc::new((0..n).map(value).collect::<Vec<i16>>()),
    };
    let beats = (0..22).map(|k| (f64::from(rate_hz) * (0.45 + 0.9 * f64::from(k))).round() as i64);
    let recording = Recording {
        name: "made".into(),
        format: "memory".into(),
        sha256: String::new(),
        identity: Default::default(),
        start: None,
        rate: Rate::whole_hz(rate_hz),
        samples: n as i64,
        segments: vec![Span::new(0, n as i64)],
        leads: vec![lead],
        others: vec![],
        diary: vec![],
        warnings: vec![],
    };
    (recording, beats.collect())
}

fn waves(recording: &Recording, beats: &[i64]) -> Vec<Waves> {
    delineate(recording, &Quality::default(), beats, &Progress::default())
}

#[test]
fn limits_of_made_waves_are_found_at_every_rate() {
    for rate_hz in [128, 250, 500, 1000] {
        let (recording, beats) = made(rate_hz, 100.0, true);
        let middle = waves(&recording, &beats)[10];
        let ms = |o: Option<i16>| 1000.0 * f64::from(o.unwrap()) / f64::from(rate_hz);
        assert!((ms(middle.qrs_on) + 50.0).abs() < 14.0, "QRS begin {} at {rate_hz}", ms(middle.qrs_on));
        assert!((ms(middle.qrs_off) - 50.0).abs() < 14.0, "QRS end {} at {rate_hz}", ms(middle.qrs_off));
        assert!((ms(middle.p_peak) + 155.0).abs() < 10.0, "P {} at {rate_hz}", ms(middle.p_peak));
        assert!((ms(middle.p_on) + 200.0).abs() < 30.0, "P begin {} at {rate_hz}", ms(middle.p_on));
        assert!((ms(middle.t_peak) - 280.0).abs() < 10.0, "T {} at {rate_hz}", ms(middle.t_peak));
        assert!((ms(middle.t_off) - 370.0).abs() < 25.0, "T end {} at {rate_hz}", ms(middle.t_off));
    }
}

#[test]
fn a_wide_complex_measures_wider_than_a_narrow_one_by_the_difference() {
    let width = |ms: f64| {
        let (recording, beats) = made(250, ms, true);
        4.0 * waves(&recording, &beats)[9].qrs_samples().unwrap() as f64
    };
    assert!((width(150.0) - width(90.0) - 60.0).abs() <= 12.0, "{} {}", width(150.0), width(90.0));
}

#[test]
fn another_gain_changes_no_interval() {
    let (mut recording, beats) = made(250, 100.0, true);
    let before = waves(&recording, &beats);
    for adc_per_mv in [100.0, 320.0] {
        recording.leads[0].adc_per_mv = adc_per_mv;
        let after = waves(&recording, &beats);
        let intervals = |w: &[Waves]| -> Vec<_> {
            w.iter().map(|w| (w.pr_samples(), w.qrs_samples(), w.qt_samples())).collect()
        };
        assert_eq!(intervals(&before), intervals(&after), "{adc_per_mv}");
    }
}

#[test]
fn no_p_wave_is_claimed_where_there_is_none() {
    let (recording, beats) = made(250, 100.0, false);
    assert!(waves(&recording, &beats).iter().skip(1).all(|w| w.p_peak.is_none()));
}

#[test]
fn beats_at_the_very_edges_and_outside_are_no_panic() {
    let (recording, _) = made(250, 100.0, true);
    let last = recording.samples - 1;
    for sample in [i64::MIN / 4, -5, 0, 1, last, last + 1, last + 5000] {
        let _ = one(&recording, sample);
    }
    assert_eq!(waves(&recording, &[0, 1, 2, last]).len(), 4);
    assert!(one(&recording, 113).qrs_on.is_some());
}
