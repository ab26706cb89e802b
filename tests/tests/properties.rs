//! What must hold for any day: days of random beats, holes and classes, each from its own seed, and made days through
//! the whole pipeline. A failing day is named by its seed.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::sync::Arc;

use beatledger_core::model::{
    BeatClass, FigureValue, Found, FoundBeat, LeadQuality, LocalTime, Progress, Quality, Recording,
    SecondQuality, Span, Summary, Waves,
};
use beatledger_core::pipeline;
use beatledger_core::review::{Action, Edit};
use beatledger_core::session::{Session, Snapshot, Stamp};
use beatledger_core::settings::Settings;
use beatledger_synth::{Request, Scenario};
use beatledger_testkit::Random;

const HZ: i64 = 250;

/// A recording without tracing of `seconds`, that starts at a random time of day.
fn recording(random: &mut Random, seconds: i64) -> Recording {
    let mut recording =
        beatledger_synth::make(&Request { hours: 0.1, leads: 1, ..Request::default() }).recording;
    recording.samples = seconds * HZ;
    recording.segments = vec![recording.whole()];
    recording.start = Some(LocalTime(1_700_000_000_000 + random.below(86_400_000)));
    recording.diary.clear();
    recording.leads[0].samples = Arc::new(vec![0i16; recording.samples as usize]);
    recording
}

/// Three to nine hours of beats: a sinus rhythm that wanders, ectopic beats of every class alone and in rows, irregular
/// stretches, long intervals, and stretches that cannot be read.
fn random_day(seed: u64) -> (Recording, Found) {
    let mut random = Random::new(seed);
    let seconds = 10_800 + random.below(21_600);
    let recording = recording(&mut random, seconds);
    let (mut beats, mut at, mut usual, mut row) = (Vec::new(), 50, 200, 0);
    let mut class = BeatClass::N;
    let mut irregular = 0;
    while at < recording.samples - HZ {
        beats.push(found_beat(at, class));
        usual = (usual + random.below(7) - 3).clamp(120, 320);
        row -= 1;
        if row <= 0 {
            let ectopic = [BeatClass::S, BeatClass::V, BeatClass::V, BeatClass::F, BeatClass::Q];
            let is_ectopic = random.below(12) == 0;
            class = if is_ectopic { ectopic[random.below(5) as usize] } else { BeatClass::N };
            row = if is_ectopic { 1 + random.below(4) } else { 0 };
        }
        irregular = if irregular > 0 { irregular - 1 } else { i64::from(random.below(4000) == 0) * 400 };
        let interval = match (irregular > 0, class) {
            (true, _) => usual / 2 + random.below(usual as u64),
            (_, BeatClass::N) => usual,
            _ => usual * 7 / 10,
        };
        at += if random.below(900) == 0 { 600 } else { interval };
    }
    let mut kind = vec![SecondQuality::Good; seconds as usize];
    let mut unreadable = Vec::new();
    for _ in 0..random.below(6) {
        let (from, length) = (random.below(seconds as u64 - 400), 5 + random.below(300));
        kind[from as usize..(from + length) as usize].fill(SecondQuality::Unreadable);
        unreadable.push(Span::new(from * HZ, (from + length) * HZ));
    }
    let unreadable = Span::merged(unreadable, 0);
    beats.retain(|b| !unreadable.iter().any(|u| u.contains(b.sample)));
    let quality = Quality { leads: vec![LeadQuality { kind, score: Vec::new() }], unreadable };
    (recording, Found { quality, beats, ..Found::default() })
}

fn found_beat(sample: i64, class: BeatClass) -> FoundBeat {
    let mut beat = FoundBeat {
        sample,
        class,
        confidence: 1.0,
        group: 0,
        waves: Waves { qrs_on: Some(-10), qrs_off: Some(12), ..Waves::default() },
        evidence: Default::default(),
    };
    beat.evidence.quality = 1.0;
    beat
}

fn read(recording: &Recording, found: &Found, settings: &Settings) -> Session {
    Session::new(Arc::new(recording.clone()), settings.clone(), Arc::new(found.clone()), &[])
}

fn summary(recording: &Recording, found: &Found, settings: &Settings) -> Arc<Summary> {
    read(recording, found, settings).snapshot().summary.clone()
}

/// Sums in another order differ in the last bits.
const LAST_BITS: f64 = 1e-9;

/// Figures of `a` that differ in `b` by more than a `share`, but for those that `may` differ.
fn differing(a: &Summary, b: &Summary, share: f64, may: impl Fn(&str) -> bool) -> Vec<String> {
    let alike = |x: &FigureValue, y: &FigureValue| match (x, y) {
        (FigureValue::Number(x, _), FigureValue::Number(y, _)) => (x - y).abs() <= share * x.abs().max(1.0),
        (x, y) => x == y,
    };
    let pairs = a.figures.iter().zip(&b.figures).filter(|(x, _)| !may(x.key));
    pairs
        .filter(|(x, y)| !alike(&x.value, &y.value))
        .map(|(x, y)| format!("{}: {:?} and {:?}", x.key, x.value, y.value))
        .collect()
}

#[test]
fn a_day_that_began_on_another_date_or_at_another_hour_has_the_same_figures() {
    for seed in 0..20 {
        let (recording, found) = random_day(seed);
        let plain = summary(&recording, &found, &Settings::default());
        let mut random = Random::new(seed + 1000);
        let days = 1 + random.below(400);
        let shifted = |ms: i64| {
            let mut shifted = recording.clone();
            shifted.start = shifted.start.map(|LocalTime(at)| LocalTime(at + ms));
            shifted
        };
        let later = summary(&shifted(days * 86_400_000), &found, &Settings::default());
        assert_eq!(
            differing(&plain, &later, LAST_BITS, |_| false),
            [""; 0],
            "seed {seed}, {days} days later"
        );
        assert_eq!((&plain.hours, &plain.day), (&later.hours, &later.day), "seed {seed}");
        // Two hours earlier with the night two hours earlier too: whole hours, so that clock hours stay the same.
        let early = Settings { night_from_h: 21.0, night_to_h: 5.0, ..Settings::default() };
        let earlier = summary(&shifted(-2 * 3_600_000), &found, &early);
        assert_eq!(
            differing(&plain, &earlier, LAST_BITS, |_| false),
            [""; 0],
            "seed {seed}, two hours earlier"
        );
        // By any time: what is told by the clock may move, and nothing else.
        let by_clock = |key: &str| ["waking", "night", "day_m", "hour"].iter().any(|part| key.contains(part));
        let moved = summary(&shifted(random.below(86_400_000)), &found, &Settings::default());
        assert_eq!(differing(&plain, &moved, LAST_BITS, by_clock), [""; 0], "seed {seed}, moved");
    }
}

#[test]
fn hours_of_any_day_add_up_to_the_day_and_to_the_figures() {
    for seed in 0..40 {
        let (recording, found) = random_day(seed);
        let told = summary(&recording, &found, &Settings::default());
        let sum = |of: fn(&beatledger_core::model::HourRow) -> f64| told.hours.iter().map(of).sum::<f64>();
        for (key, sum) in [
            ("beats_total", sum(|h| h.beats as f64)),
            ("s_beats", sum(|h| h.s_beats as f64)),
            ("s_singles", sum(|h| h.s_singles as f64)),
            ("s_couplets", sum(|h| h.s_couplets as f64)),
            ("s_runs", sum(|h| h.s_runs as f64)),
            ("v_beats", sum(|h| h.v_beats as f64)),
            ("v_singles", sum(|h| h.v_singles as f64)),
            ("v_couplets", sum(|h| h.v_couplets as f64)),
            ("v_runs", sum(|h| h.v_runs as f64)),
            ("pauses", sum(|h| h.pauses as f64)),
            ("af_min", sum(|h| h.af_s / 60.0)),
            ("readable_h", sum(|h| h.readable_s / 3600.0)),
        ] {
            let figure = told.number(key).unwrap();
            assert!((figure - sum).abs() < 1e-6, "seed {seed}, {key}: {figure}, the hours hold {sum}");
        }
        let most = |of: fn(&beatledger_core::model::HourRow) -> Option<f64>| {
            told.hours.iter().filter_map(of).fold(f64::MIN, f64::max)
        };
        assert_eq!(told.number("max_bpm"), Some(most(|h| h.max_bpm)), "seed {seed}");
        assert_eq!(told.number("longest_rr_ms"), Some(most(|h| h.longest_rr_ms)), "seed {seed}");
        let intervals =
            |rows: &[beatledger_core::model::HrvRow]| rows.iter().map(|r| r.intervals).sum::<u32>();
        assert_eq!(intervals(&told.hrv_hours), intervals(&told.hrv_windows), "seed {seed}");
        let both = |a: &str, b: &str| told.number(a).unwrap() + told.number(b).unwrap();
        assert_eq!(both("v_waking_beats", "v_night_beats"), told.number("v_beats").unwrap(), "seed {seed}");
        assert_eq!(both("s_waking_beats", "s_night_beats"), told.number("s_beats").unwrap(), "seed {seed}");
    }
}

/// NN intervals of a snapshot: the filters by jump and length are wide open, so that no other interval changes sides.
fn nn(snapshot: &Snapshot) -> (u64, u64) {
    let rows = &snapshot.summary.hrv_windows;
    let nn =
        |r: &beatledger_core::model::HrvRow| (r.nn_percent * f64::from(r.intervals) / 100.0).round() as u64;
    (rows.iter().map(|r| u64::from(r.intervals)).sum(), rows.iter().map(nn).sum())
}

#[test]
fn a_beat_that_is_no_longer_normal_takes_exactly_its_two_intervals_out_of_nn() {
    let open =
        Settings { nn_jump_percent: 100.0, nn_min_ms: 200.0, nn_max_ms: 3000.0, ..Settings::default() };
    let stamp = Stamp { reader: "property".to_owned(), at_utc_ms: 0, utc_offset_min: 0 };
    for seed in 0..20 {
        let mut random = Random::new(seed + 500);
        let recording = recording(&mut random, 3600);
        // A calm hour: no rhythm comes or goes with a single beat.
        let mut at = 50;
        let mut beats = Vec::new();
        while at < recording.samples - HZ {
            beats.push(found_beat(at, BeatClass::N));
            at += 190 + random.below(21);
        }
        let found = Found { beats, ..Found::default() };
        let mut session = read(&recording, &found, &open);
        let before = nn(&session.snapshot());
        assert_eq!(before.0, before.1, "seed {seed}");
        let chosen = 1 + random.below(found.beats.len() as u64 - 2) as usize;
        let class = [BeatClass::S, BeatClass::V, BeatClass::F, BeatClass::Q][random.below(4) as usize];
        let edit = Edit::Relabel { beats: vec![found.beats[chosen].sample], class };
        let after = nn(&session.push(&session.entry(Action::Do(edit), &stamp)));
        assert_eq!(after, (before.0, before.1 - 2), "seed {seed}, beat {chosen} becomes {class:?}");
    }
}

/// The tracing at another size: the same units for twice the millivolts, and twice the units for the same millivolts.
fn at_gain(recording: &Recording, units: f64, gain: f64) -> Recording {
    let mut out = recording.clone();
    for lead in &mut out.leads {
        let mut raw = vec![0; recording.samples as usize];
        lead.samples.read(0, &mut raw);
        let scaled = raw.iter().map(|v| (f64::from(*v) * units).round() as i32).collect::<Vec<_>>();
        lead.samples = Arc::new(scaled);
        lead.adc_per_mv *= units / gain;
        lead.adc_zero *= units;
        lead.rails = None;
        lead.missing = None;
    }
    out
}

/// Figures that measure height, not time.
fn is_height(key: &str) -> bool {
    key.starts_with("st_") || key.starts_with("twa_")
}

/// Waves below 25 and 40 microvolts are no P and T, so that at another size a P more in two thousand is seen.
const FAINT_WAVES: f64 = 1e-3;

/// The same of the share of beats whose T runs into the next P, which is of few beats.
fn is_height_or_few(key: &str) -> bool {
    is_height(key) || key == "qt_merged_percent"
}

/// The first beats that the other list does not hold within a sample: where two samples are equally high, rounding to
/// microvolts chooses.
fn apart(a: &[(i64, BeatClass)], b: &[(i64, BeatClass)]) -> Vec<(i64, BeatClass)> {
    let alone = |x: &[(i64, BeatClass)], y: &[(i64, BeatClass)]| {
        let near = |(at, class): &(i64, BeatClass)| {
            (at - 1..=at + 1)
                .any(|near| y.binary_search_by_key(&near, |b| b.0).is_ok_and(|i| y[i].1 == *class))
        };
        x.iter().filter(|beat| !near(beat)).take(5).copied().collect::<Vec<_>>()
    };
    [alone(a, b), alone(b, a)].concat()
}

#[test]
fn the_size_of_the_tracing_changes_no_interval() {
    for (scenario, seed) in [(Scenario::Quiet, 3), (Scenario::Patch, 5), (Scenario::WorkingDay, 11)] {
        let request = Request { scenario, hours: 0.6, seed, ..Request::default() };
        let made = beatledger_synth::make(&request).recording;
        let plain = at_gain(&made, 1.0, 1.0);
        let quiet = Progress::default();
        // What is flat is told in millivolts: the limit grows with the tracing.
        let told = |recording: &Recording, gain: f64| {
            let settings = Settings { flat_mv: gain * Settings::default().flat_mv, ..Settings::default() };
            let found = pipeline::find(recording, &settings, &quiet).unwrap();
            let places: Vec<_> = found.beats.iter().map(|b| (b.sample, b.class)).collect();
            (places, summary(recording, &found, &settings))
        };
        let (beats, expected) = told(&plain, 1.0);
        let (same, finer) = told(&at_gain(&made, 4.0, 1.0), 1.0);
        assert_eq!(apart(&beats, &same), [], "{scenario:?}: four units in place of one");
        assert_eq!(
            differing(&expected, &finer, LAST_BITS, is_height),
            [""; 0],
            "{scenario:?}: four units in place of one"
        );
        for gain in [0.7, 1.5, 2.0] {
            let (scaled, figures) = told(&at_gain(&made, 1.0, gain), gain);
            assert_eq!(apart(&beats, &scaled), [], "{scenario:?} at {gain} times the size");
            assert_eq!(
                differing(&expected, &figures, FAINT_WAVES, is_height_or_few),
                [""; 0],
                "{scenario:?} at {gain} times the size"
            );
        }
    }
}
