//! ST and alternans of made tracing, where both are known.

use std::sync::Arc;

use super::*;
use crate::model::{Lead, Rate, Span, Unit};

const RATE_HZ: i64 = 250;
const RR: i64 = 200;

/// Ten minutes at 75 bpm with an ST level of `st_uv` from 50 to 200 ms after the beat, a T wave of 300 uV that
/// alternates by `alternans_uv` from beat to beat, wander of `wander_uv`, and 500 units per mV.
fn made(st_uv: f64, alternans_uv: f64, wander_uv: f64) -> (Recording, Vec<i64>) {
    let beats: Vec<i64> = (0..750).map(|k| 100 + RR * k).collect();
    let n = 750 * RR;
    let value = |i: i64| {
        let k = (i - 100).div_euclid(RR);
        let ms = (i - 100).rem_euclid(RR) as f64 * 4.0;
        let bell = |at: f64, wide: f64| (-0.5 * ((ms - at) / wide).powi(2)).exp();
        let t_uv = 300.0 + if k % 2 == 0 { alternans_uv / 2.0 } else { -alternans_uv / 2.0 };
        let st = if (50.0..200.0).contains(&ms) { st_uv } else { 0.0 };
        let wander = wander_uv * (2.0 * std::f64::consts::PI * 0.15 * i as f64 / RATE_HZ as f64).sin();
        let qrs = 1000.0 * (bell(0.0, 10.0) + bell(800.0, 10.0));
        ((qrs + st + t_uv * bell(300.0, 35.0) + wander) / 2.0).round() as i16
    };
    let lead = Lead {
        name: "made".into(),
        unit: Unit::Millivolt,
        adc_per_mv: 500.0,
        adc_zero: 0.0,
        missing: None,
        rails: None,
        prefilter: String::new(),
        samples: Arc::new((0..n).map(value).collect::<Vec<i16>>()),
    };
    let recording = Recording {
        name: "made".into(),
        format: "memory".into(),
        sha256: String::new(),
        identity: Default::default(),
        start: None,
        rate: Rate::whole_hz(RATE_HZ as u32),
        samples: n,
        segments: vec![Span::new(0, n)],
        leads: vec![lead],
        others: vec![],
        diary: vec![],
        warnings: vec![],
    };
    (recording, beats)
}

fn measured(recording: &Recording, beats: &[i64]) -> Repolarisation {
    let waves = Waves { qrs_on: Some(-10), qrs_off: Some(10), ..Waves::default() };
    repolarisation(
        recording,
        &Settings::default(),
        beats,
        &vec![BeatClass::N; beats.len()],
        &vec![waves; beats.len()],
        &Progress::default(),
    )
}

#[test]
fn the_st_level_is_that_against_the_level_before_qrs() {
    for st_uv in [-200.0, 0.0, 150.0] {
        let (recording, beats) = made(st_uv, 0.0, 0.0);
        let found = &measured(&recording, &beats).st_uv[0];
        assert!(found[5..700].iter().all(|uv| (f64::from(*uv) - st_uv).abs() <= 4.0), "{:?}", &found[5..9]);
    }
}

/// A ramp of 1 uV per ms from the beat on tells where ST was measured: J + 80 ms, J + 60 ms when the rate is fast.
#[test]
fn st_is_measured_sooner_when_the_rate_is_fast() {
    let (mut recording, beats) = made(0.0, 0.0, 0.0);
    let ramp = |i: i64| match (i - 100).rem_euclid(RR) * 4 {
        ms if ms < 600 => (ms / 2) as i16,
        _ => 0,
    };
    recording.leads[0].samples = Arc::new((0..recording.samples).map(ramp).collect::<Vec<i16>>());
    assert_eq!(measured(&recording, &beats).st_uv[0][5..8], [120, 120, 120]);
    let settings = Settings { st_fast_bpm: 75.0, ..Settings::default() };
    let waves = vec![Waves { qrs_on: Some(-10), qrs_off: Some(10), ..Waves::default() }; beats.len()];
    let classes = vec![BeatClass::N; beats.len()];
    let found = repolarisation(&recording, &settings, &beats, &classes, &waves, &Progress::default());
    assert_eq!(found.st_uv[0][5..8], [100, 100, 100]);
}

/// J + 60 ms from 120 a minute on (Long-Term ST Database documentation; the limit is from memory). Sampled at 1000 Hz
/// the beat intervals are told to the millisecond; a ramp of 1 uV per ms tells where ST was measured.
#[test]
fn the_shorter_offset_begins_at_120_a_minute() {
    let of = |rr: i64| {
        let (mut recording, _) = made(0.0, 0.0, 0.0);
        recording.rate = Rate::whole_hz(1000);
        let ramp = |i: i64| match (i - 100).rem_euclid(rr) {
            ms if ms < 300 => (ms / 2) as i16,
            _ => 0,
        };
        recording.leads[0].samples = Arc::new((0..recording.samples).map(ramp).collect::<Vec<i16>>());
        let beats: Vec<i64> = (0..200).map(|k| 100 + rr * k).collect();
        let waves = vec![Waves { qrs_on: Some(-40), qrs_off: Some(40), ..Waves::default() }; beats.len()];
        let classes = vec![BeatClass::N; beats.len()];
        let (settings, quiet) = (Settings::default(), Progress::default());
        let found = repolarisation(&recording, &settings, &beats, &classes, &waves, &quiet);
        found.st_uv[0][50]
    };
    assert!((of(500) - 100).abs() <= 2, "120 a minute: {} uV", of(500));
    assert!((of(501) - 120).abs() <= 2, "below 120 a minute: {} uV", of(501));
}

#[test]
fn a_beat_whose_st_runs_into_the_next_has_none() {
    let (recording, mut beats) = made(0.0, 0.0, 0.0);
    beats.insert(6, beats[5] + 35);
    assert_eq!(measured(&recording, &beats).st_uv[0][5], Repolarisation::NO_LEVEL);
}

/// Nearing and Verrier 2002 tell made alternans to the microvolt; the steps of the recorder are 2 uV here.
#[test]
fn made_alternans_is_measured_with_and_without_wander() {
    for (alternans_uv, wander_uv) in [(0.0, 0.0), (20.0, 0.0), (60.0, 0.0), (60.0, 300.0)] {
        let (recording, beats) = made(0.0, alternans_uv, wander_uv);
        let found = &measured(&recording, &beats).alternans[0];
        assert!(found.len() >= 34, "{} windows", found.len());
        let off = found.iter().map(|w| (f64::from(w.uv) - alternans_uv).abs()).fold(0.0, f64::max);
        let allowed = if wander_uv > 0.0 { 6.0 } else { 2.0 };
        assert!(off <= allowed, "{alternans_uv} uV with wander {wander_uv}: off by {off}");
        // Beats taken two by two hold one of each kind, so that alternans cancels; steps of 1 uV and more leave averages
        // that lie less than 8 uV apart where they began.
        let control = found.iter().map(|w| w.control_uv).fold(0.0, f32::max);
        assert!(f64::from(control) <= 8.0 + allowed, "{alternans_uv} uV: control {control} uV");
    }
}

#[test]
fn a_recording_without_beats_or_leads_has_no_levels() {
    let (mut recording, beats) = made(0.0, 0.0, 0.0);
    assert_eq!(measured(&recording, &[]).alternans, [vec![]]);
    recording.leads.clear();
    assert_eq!(measured(&recording, &beats), Repolarisation::default());
}
