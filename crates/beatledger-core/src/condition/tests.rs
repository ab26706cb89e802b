//! What the filters and the quality do to made signals.

use std::f64::consts::PI;
use std::sync::Arc;

use beatledger_testkit::Random;

use super::*;
use crate::model::{Identity, Lead, Progress, Rate, Recording, SecondQuality, Span, Unit};
use crate::settings::Settings;

const RATES_HZ: [u32; 4] = [128, 250, 360, 1000];

fn recording(rate_hz: u32, leads: Vec<Vec<i16>>) -> Recording {
    let samples = leads[0].len() as i64;
    let lead = |(i, s): (usize, Vec<i16>)| Lead {
        name: format!("ECG {}", i + 1),
        unit: Unit::Millivolt,
        adc_per_mv: 1000.0,
        adc_zero: 0.0,
        missing: Some(-32768),
        rails: Some((-32767, 32767)),
        prefilter: String::new(),
        samples: Arc::new(s),
    };
    Recording {
        name: "made".into(),
        format: "memory".into(),
        sha256: String::new(),
        identity: Identity::default(),
        start: None,
        rate: Rate::whole_hz(rate_hz),
        samples,
        segments: vec![Span::new(0, samples)],
        leads: leads.into_iter().enumerate().map(lead).collect(),
        others: vec![],
        diary: vec![],
        warnings: vec![],
    }
}

/// Gain of the drawn tracing at `hz`: a sine of 5 mV in, the amplitude in the middle out.
fn gain_at(hz: f64, rate_hz: u32, settings: &Settings) -> f64 {
    let n = 20 * rate_hz as usize;
    let turn = |i: usize| 2.0 * PI * hz * i as f64 / f64::from(rate_hz);
    let wave = (0..n).map(|i| (5000.0 * turn(i).sin() + 3000.0).round() as i16).collect();
    let mut out = Vec::new();
    let middle = Span::new(8 * i64::from(rate_hz), 12 * i64::from(rate_hz));
    display_mv(&recording(rate_hz, vec![wave]), 0, middle, settings, &mut out);
    let (mut re, mut im) = (0.0, 0.0);
    for (i, v) in out.iter().enumerate() {
        re += f64::from(*v) * turn(i).cos();
        im += f64::from(*v) * turn(i).sin();
    }
    2.0 * re.hypot(im) / out.len() as f64 / 5.0
}

#[test]
fn the_drawn_tracing_has_the_response_that_its_settings_state() {
    let settings = Settings::default();
    for rate_hz in RATES_HZ {
        for (hz, low, high) in [
            (0.05, 0.0, 0.02),
            (0.5, 0.68, 0.74),
            (1.0, 0.95, 1.05),
            (10.0, 0.98, 1.02),
            (25.0, 0.97, 1.03),
            (40.0, 0.67, 0.74),
            (50.0, 0.0, 0.1),
        ] {
            let gain = gain_at(hz, rate_hz, &settings);
            assert!((low..=high).contains(&gain), "{gain:.3} at {hz} Hz, rate {rate_hz} Hz");
        }
    }
}

#[test]
fn mains_is_taken_out_of_a_wide_tracing_and_its_neighbours_stay() {
    let wide = Settings { lowpass_hz: 100.0, ..Settings::default() };
    for rate_hz in [250, 360, 1000] {
        assert!(gain_at(50.0, rate_hz, &wide) < 0.02, "rate {rate_hz} Hz");
        assert!(gain_at(60.0, rate_hz, &wide) > 0.95, "rate {rate_hz} Hz");
        assert!(gain_at(50.0, rate_hz, &Settings { mains_hz: 0.0, ..wide.clone() }) > 0.95);
        assert!(gain_at(60.0, rate_hz, &Settings { mains_hz: 60.0, ..wide.clone() }) < 0.02);
    }
}

#[test]
fn a_steady_offset_is_gone_and_a_symmetric_pulse_stays_in_place() {
    for rate_hz in RATES_HZ {
        let n = 10 * rate_hz as usize;
        let centre = n / 2;
        let pulse = |i: usize| {
            let t_s = (i as f64 - centre as f64) / f64::from(rate_hz);
            (1000.0 * (-(t_s / 0.02).powi(2)).exp() + 7000.0).round() as i16
        };
        let mut out = Vec::new();
        let made = recording(rate_hz, vec![(0..n).map(pulse).collect()]);
        display_mv(&made, 0, made.whole(), &Settings::default(), &mut out);
        let peak = (0..n).max_by(|a, b| out[*a].total_cmp(&out[*b])).unwrap();
        assert_eq!(peak, centre);
        assert!((1..rate_hz as usize).all(|k| (out[centre - k] - out[centre + k]).abs() < 1e-4));
        assert!(out[..rate_hz as usize].iter().all(|v| v.abs() < 0.001));
    }
}

#[test]
fn a_drawn_value_does_not_depend_on_the_stretch_and_gaps_are_not_a_number() {
    let mut wave: Vec<i16> = (0..5000).map(|i| ((i * 7919) % 2003) as i16 + 500).collect();
    wave[2000..2100].fill(-32768);
    wave[2900..4500].fill(-32768);
    let made = recording(250, vec![wave]);
    let (mut all, mut part) = (Vec::new(), Vec::new());
    display_mv(&made, 0, made.whole(), &Settings::default(), &mut all);
    for start in [-300, 0, 1, 777, 1990, 2050, 2890, 4490, 4900, 6000] {
        display_mv(&made, 0, Span::new(start, start + 321), &Settings::default(), &mut part);
        assert_eq!(part.len(), 321);
        for (i, v) in part.iter().enumerate() {
            let whole = usize::try_from(start + i as i64).ok().and_then(|i| all.get(i).copied());
            assert_eq!(v.to_bits(), whole.unwrap_or(f32::NAN).to_bits(), "sample {}", start + i as i64);
        }
    }
    assert!(all[2000..2100].iter().all(|v| v.is_nan()) && !all[1999].is_nan() && !all[2100].is_nan());
}

/// A lead with a spike-like beat every 0.8 s, some noise, and nothing in `silence` (seconds).
fn beating(silence: std::ops::Range<usize>, seconds: usize) -> Vec<i16> {
    let mut random = Random::new(1);
    (0..seconds * 250)
        .map(|i| {
            let noise = random.below(16) as i16 - 8;
            let phase = (i % 200) as f64 / 250.0 - 0.4;
            let beat =
                1200.0 * (-(phase / 0.012).powi(2)).exp() + 200.0 * (-((phase - 0.25) / 0.05).powi(2)).exp();
            if silence.contains(&(i / 250)) { noise } else { noise + beat as i16 }
        })
        .collect()
}

#[test]
fn a_pause_of_the_heart_stays_readable_and_lost_contact_does_not() {
    let settings = Settings::default();
    let pause = quality(&recording(250, vec![beating(20..25, 60)]), &settings, &Progress::default());
    assert!(pause.unreadable.is_empty());
    let mut off = beating(0..0, 60);
    off[20 * 250..30 * 250].fill(40);
    let lost = quality(&recording(250, vec![off]), &settings, &Progress::default());
    assert_eq!(lost.unreadable, vec![Span::new(5000, 7500)]);
    assert_eq!(lost.leads[0].kind[25], SecondQuality::Flat);
    assert_eq!(lost.leads[0].kind[10], SecondQuality::Good);
}

#[test]
fn rails_gaps_and_gross_movement_are_told_apart_and_one_good_lead_keeps_the_time_readable() {
    let mut bad = beating(0..0, 60);
    bad[10 * 250..15 * 250].fill(32767);
    bad[20 * 250..25 * 250].fill(-32768);
    for (i, v) in bad[30 * 250..35 * 250].iter_mut().enumerate() {
        *v = (20_000.0 * (i as f64 / 40.0).sin()) as i16;
    }
    let alone = quality(&recording(250, vec![bad.clone()]), &Settings::default(), &Progress::default());
    let kind = &alone.leads[0].kind;
    assert_eq!(
        [kind[12], kind[22], kind[32]],
        [SecondQuality::Railed, SecondQuality::Missing, SecondQuality::Unreadable]
    );
    assert_eq!(alone.unreadable.len(), 3);
    let two = recording(250, vec![bad, beating(0..0, 60)]);
    assert!(quality(&two, &Settings::default(), &Progress::default()).unreadable.is_empty());
}

#[test]
fn quality_of_an_empty_or_very_short_recording_is_no_panic() {
    for n in [0, 1, 5, 130] {
        let made = recording(250, vec![vec![3; n]]);
        let found = quality(&made, &Settings::default(), &Progress::default());
        assert_eq!(found.leads[0].kind.len(), n.div_ceil(250));
    }
}
