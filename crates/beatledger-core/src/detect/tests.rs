//! Beats of made tracings, whose places are known.

use std::sync::Arc;

use beatledger_testkit::Random;

use super::*;
use crate::condition;
use crate::model::{Identity, Lead, Rate, SecondQuality, Unit};

/// What a made tracing is like.
#[derive(Clone, Copy)]
struct Form {
    rate_hz: u32,
    seconds: usize,
    r_mv: f64,
    t_mv: f64,
    p_mv: f64,
    seed: u32,
}

const USUAL: Form = Form { rate_hz: 250, seconds: 120, r_mv: 1.2, t_mv: 0.3, p_mv: 0.12, seed: 1 };

/// Times of beats: about 70 a minute with some variation.
fn times_s(seconds: usize) -> Vec<f64> {
    let mut at_s = 0.6;
    let mut out = Vec::new();
    while at_s < seconds as f64 - 0.5 {
        out.push(at_s);
        at_s += 0.85 + 0.06 * (out.len() as f64 * 0.9).sin();
    }
    out
}

fn bell(t_s: f64, sigma_s: f64) -> f64 {
    (-0.5 * (t_s / sigma_s).powi(2)).exp()
}

fn wave(form: Form, beats_s: &[f64]) -> Vec<i16> {
    let mut random = Random::new(u64::from(form.seed));
    let mut out: Vec<f64> = (0..form.seconds * form.rate_hz as usize)
        .map(|i| {
            let breath = 0.1 * (i as f64 / f64::from(form.rate_hz) * 1.6).sin();
            breath + (random.share() - 0.5) * 0.03
        })
        .collect();
    for beat_s in beats_s {
        let from = ((beat_s - 0.5) * f64::from(form.rate_hz)).max(0.0) as usize;
        let to = (((beat_s + 0.6) * f64::from(form.rate_hz)) as usize).min(out.len());
        for (i, v) in out.iter_mut().enumerate().take(to).skip(from) {
            let t_s = i as f64 / f64::from(form.rate_hz) - beat_s;
            *v += form.p_mv * bell(t_s + 0.16, 0.02) + form.r_mv * bell(t_s, 0.011)
                - 0.2 * form.r_mv * bell(t_s - 0.03, 0.01)
                + form.t_mv * bell(t_s - 0.27, 0.045);
        }
    }
    out.into_iter().map(|v| (v * 200.0).round() as i16).collect()
}

fn recording(rate_hz: u32, leads: Vec<Vec<i16>>) -> Recording {
    let samples = leads[0].len() as i64;
    let lead = |s: Vec<i16>| Lead {
        name: "any".into(),
        unit: Unit::Millivolt,
        adc_per_mv: 200.0,
        adc_zero: 0.0,
        missing: Some(-32768),
        rails: None,
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
        leads: leads.into_iter().map(lead).collect(),
        others: vec![],
        diary: vec![],
        warnings: vec![],
    }
}

fn found(recording: &Recording) -> Detected {
    let (settings, progress) = (Settings::default(), Progress::default());
    let quality = condition::quality(recording, &settings, &progress);
    detect(recording, &quality, &settings, &progress)
}

/// Asserts that the beats are those at `beats_s`, each within 12 ms.
fn assert_beats(found: &Detected, beats_s: &[f64], rate_hz: u32) {
    assert_eq!(found.samples.len(), beats_s.len());
    for (sample, beat_s) in found.samples.iter().zip(beats_s) {
        assert!((*sample as f64 / f64::from(rate_hz) - beat_s).abs() < 0.012, "{sample} for {beat_s} s");
    }
}

#[test]
fn every_beat_is_found_in_place_at_any_rate_and_in_either_direction() {
    let beats_s = times_s(60);
    for rate_hz in [100, 128, 250, 360, 500, 1000] {
        for r_mv in [1.2, -1.2, 0.25] {
            let form = Form { rate_hz, seconds: 60, r_mv, t_mv: 0.2 * r_mv, p_mv: 0.1 * r_mv, ..USUAL };
            assert_beats(&found(&recording(rate_hz, vec![wave(form, &beats_s)])), &beats_s, rate_hz);
        }
    }
}

#[test]
fn a_tall_t_wave_is_no_beat() {
    let beats_s = times_s(120);
    let tall = Form { t_mv: 1.1, ..USUAL };
    assert_beats(&found(&recording(250, vec![wave(tall, &beats_s)])), &beats_s, 250);
}

/// Adds a bell of `mv` at `at_s`.
fn add_bell(wave: &mut [i16], rate_hz: f64, at_s: f64, sigma_s: f64, mv: f64) {
    for (i, v) in wave.iter_mut().enumerate() {
        *v += (200.0 * mv * bell(i as f64 / rate_hz - at_s, sigma_s)).round() as i16;
    }
}

#[test]
fn an_early_wide_beat_is_no_t_wave() {
    use super::envelope::{Candidate, Candidates};
    let mut all = Candidates { shape_len: 3, lead_len: 3, ..Candidates::default() };
    let mut add = |step: i64, height: f32, sharpness: f32, shape: [i8; 3]| {
        all.places.push(Candidate { step, height, background: 0.07, sharpness, clearness: 0.9 });
        all.shapes.extend(shape);
    };
    for k in 0..24 {
        add(100 * k, 1.0, 1.0, [-20, 127, -20]);
        if k == 12 {
            // Blunt and half as high, 0.43 s after a beat; a pause follows.
            add(100 * k + 54, 0.58, 0.31, [-127, -40, 90]);
        } else {
            add(100 * k + 33, 0.15, 0.06, [60, 127, 60]);
        }
    }
    let chosen = super::select::select(&all, 125.0, 0.2);
    assert_eq!(chosen.beats.len(), 25);
    assert!(chosen.beats.contains(&25));
}

/// A wide ectopic complex of 0.1 s whose trough runs on, as deep, into ST and T.
#[test]
fn a_wide_beat_lies_on_its_complex_and_not_in_the_trough_after_it() {
    let mut beats_s = times_s(120);
    beats_s.retain(|t| !(59.5..60.6).contains(t));
    let mut one = wave(USUAL, &beats_s);
    add_bell(&mut one, 250.0, 60.0, 0.025, -1.0);
    add_bell(&mut one, 250.0, 60.15, 0.06, -1.1);
    let out = found(&recording(250, vec![one]));
    let near: Vec<f64> =
        out.samples.iter().map(|s| *s as f64 / 250.0).filter(|t| (59.7..60.4).contains(t)).collect();
    assert!(matches!(near[..], [t] if (t - 60.0).abs() < 0.06), "{near:?}");
}

/// Motion from 60 to 90 s: deflections as sharp as beats and slow ones, two to seven a second.
fn add_motion(wave: &mut [i16]) {
    let mut random = Random::new(5);
    let mut next = |from: f64, to: f64| from + (to - from) * random.share();
    let mut at_s = 60.2;
    while at_s < 89.6 {
        let sigma_s = if next(0.0, 1.0) < 0.6 { next(0.012, 0.034) } else { next(0.07, 0.2) };
        let mv = next(0.5, 2.2) * if next(0.0, 1.0) < 0.5 { -1.0 } else { 1.0 };
        add_bell(wave, 250.0, at_s, sigma_s.min((at_s - 60.0).min(90.0 - at_s) / 2.5), mv);
        at_s += next(0.13, 0.48);
    }
}

#[test]
fn motion_that_imitates_beats_is_unreadable_up_to_its_edges() {
    let beats_s = times_s(150);
    let mut one = wave(Form { seconds: 150, ..USUAL }, &beats_s);
    add_motion(&mut one);
    let out = found(&recording(250, vec![one]));
    let spans = out.quality.clone().unwrap().unreadable;
    assert_eq!(spans.len(), 1, "{spans:?}");
    let (from_s, to_s) = (spans[0].start as f64 / 250.0, spans[0].end as f64 / 250.0);
    assert!((58.0..=60.0).contains(&from_s) && (90.0..=92.0).contains(&to_s), "{from_s} to {to_s} s");
    let outside: Vec<f64> = beats_s.into_iter().filter(|t| !(from_s..to_s).contains(t)).collect();
    assert_beats(&out, &outside, 250);
}

#[test]
fn a_fast_run_of_large_wide_beats_is_read() {
    let mut beats_s = times_s(120);
    beats_s.retain(|t| !(60.0..64.0).contains(t));
    let mut one = wave(USUAL, &beats_s);
    let run_s: Vec<f64> = (0..10).map(|k| 60.1 + 0.36 * f64::from(k)).collect();
    for at_s in &run_s {
        add_bell(&mut one, 250.0, *at_s, 0.03, -2.2);
        add_bell(&mut one, 250.0, at_s + 0.19, 0.04, 0.5);
    }
    beats_s.extend(run_s);
    beats_s.sort_by(f64::total_cmp);
    let out = found(&recording(250, vec![one]));
    assert!(out.quality.clone().unwrap().unreadable.is_empty());
    assert_beats(&out, &beats_s, 250);
}

#[test]
fn a_pause_of_the_heart_stays_empty_and_readable() {
    let mut beats_s = times_s(120);
    beats_s.retain(|t| !(60.0..63.0).contains(t));
    let out = found(&recording(250, vec![wave(USUAL, &beats_s)]));
    assert_beats(&out, &beats_s, 250);
    assert!(out.quality.unwrap().unreadable.is_empty());
}

#[test]
fn lost_contact_on_one_lead_costs_no_beat_and_on_all_leads_invents_none() {
    let beats_s = times_s(120);
    let mut off = wave(USUAL, &beats_s);
    off[40 * 250..60 * 250].fill(12);
    let good = wave(Form { r_mv: 0.7, seed: 9, ..USUAL }, &beats_s);
    assert_beats(&found(&recording(250, vec![off.clone(), good])), &beats_s, 250);
    let alone = found(&recording(250, vec![off]));
    assert!(alone.samples.iter().all(|s| !(40 * 250..60 * 250).contains(s)));
    assert_eq!(alone.quality.unwrap().unreadable, vec![Span::new(40 * 250, 60 * 250)]);
}

#[test]
fn a_lead_full_of_noise_is_not_trusted_and_the_other_one_is() {
    let beats_s = times_s(120);
    let mut random = Random::new(7);
    let noise = (0..120 * 250).map(|i| (218.0 * random.share() + 100.0 * (f64::from(i) / 9.0).sin()) as i16);
    let out = found(&recording(250, vec![noise.collect(), wave(USUAL, &beats_s)]));
    assert_beats(&out, &beats_s, 250);
    let quality = out.quality.unwrap();
    assert_ne!(quality.leads[0].kind[60], SecondQuality::Good);
    assert!(quality.leads[1].score[60] > 2 * quality.leads[0].score[60]);
}

#[test]
fn a_lead_with_every_wave_down_looks_inverted_and_an_rs_complex_does_not() {
    let beats_s = times_s(60);
    let down = Form { seconds: 60, r_mv: -1.0, t_mv: -0.3, p_mv: -0.1, ..USUAL };
    let rs = Form { t_mv: 0.3, p_mv: 0.1, ..down };
    let out = found(&recording(250, vec![wave(down, &beats_s), wave(rs, &beats_s)]));
    assert_eq!(out.looks_inverted, [true, false]);
}

#[test]
fn one_thread_and_many_find_the_same() {
    let beats_s = times_s(700);
    let made = recording(128, vec![wave(Form { rate_hz: 128, seconds: 700, ..USUAL }, &beats_s)]);
    let on = |threads: usize| {
        rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap().install(|| found(&made))
    };
    let one = on(1);
    assert_beats(&one, &beats_s, 128);
    assert_eq!(one, on(3));
}

#[test]
fn empty_short_and_dead_recordings_give_no_beats_and_no_panic() {
    for n in [0, 1, 3, 40, 250, 2000] {
        assert!(found(&recording(250, vec![vec![5; n]])).samples.is_empty());
    }
    assert!(found(&recording(250, vec![vec![-32768; 5000]])).samples.is_empty());
    let mut extreme = vec![i16::MIN + 1; 5000];
    extreme.iter_mut().step_by(2).for_each(|v| *v = i16::MAX);
    found(&recording(250, vec![extreme]));
}
