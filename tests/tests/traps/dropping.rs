//! When a reader drops one name, what the beats themselves make appears at once and must be read.

use std::sync::Arc;

use beatledger_core::model::{
    Beat, BeatClass, EventKind, Evidence, Found, FoundBeat, Progress, Quality, Span, Waves,
};
use beatledger_core::pipeline;
use beatledger_core::review::{Action, Edit};
use beatledger_core::session::{Session, Stamp};
use beatledger_core::settings::Settings;

use super::body::{Body, breathing, of};

fn stamp() -> Stamp {
    Stamp { reader: "A. Reader".into(), at_utc_ms: 0, utc_offset_min: 0 }
}

fn found_beat((sample, class): (i64, BeatClass)) -> FoundBeat {
    FoundBeat {
        sample,
        class,
        confidence: 0.95,
        group: Beat::NO_GROUP,
        waves: Waves::default(),
        evidence: Evidence::default(),
    }
}

/// 38 V beats at 230 a minute, from 40 s on, found as waves without beats.
#[test]
fn ventricular_waves_that_are_dropped_are_a_tachycardia_that_must_be_read() {
    let recording = Body::sinus(&breathing(0.8, 100)).recording();
    let (from, step) = (10_000, 65);
    let waves = Span::new(from - 20, from + 38 * step);
    let mut beats: Vec<(i64, BeatClass)> =
        (0..100).map(|i| (125 + 200 * i, BeatClass::N)).filter(|b| !waves.contains(b.0)).collect();
    beats.extend((0..38).map(|i| (from + step * i, BeatClass::V)));
    beats.sort_unstable();
    let found = Found {
        quality: Quality::default(),
        ventricular_waves: vec![waves],
        beats: beats.into_iter().map(found_beat).collect(),
        ..Found::default()
    };
    let mut session = Session::new(Arc::new(recording), Settings::default(), Arc::new(found), &[]);
    assert!(of(&session.snapshot(), EventKind::VentricularTachycardia).is_empty());
    let edit = Edit::DropEvent { kind: EventKind::VentricularFibrillation, span: waves };
    let entry = session.entry(Action::Do(edit), &stamp());
    session.push(&entry);
    let after = session.snapshot();
    let runs = of(&after, EventKind::VentricularTachycardia);
    assert_eq!(runs.iter().map(|e| (e.beat_count(), e.critical)).collect::<Vec<_>>(), [(38, true)]);
    assert_eq!(after.unread_critical().len(), 1);
}

/// A made minute called fibrillation in which the beats are a supraventricular run.
#[test]
fn fibrillation_that_is_dropped_shows_the_runs_inside_it() {
    let recording = Body::sinus(&breathing(0.8, 400)).recording();
    let (mut at, mut random) = (125, beatledger_testkit::Random::new(5));
    let mut beats = Vec::new();
    for i in 0..300i64 {
        at += if (100..220).contains(&i) { 90 + random.below(110) } else { 200 };
        let class = if (150..156).contains(&i) { BeatClass::S } else { BeatClass::N };
        beats.push(found_beat((at, class)));
    }
    let found = Found { beats, ..Found::default() };
    let mut session = Session::new(Arc::new(recording), Settings::default(), Arc::new(found), &[]);
    let before = session.snapshot();
    let episode = of(&before, EventKind::AtrialFibrillation)[0].span;
    assert!(of(&before, EventKind::SupraventricularRun).is_empty());
    let edit = Edit::DropEvent { kind: EventKind::AtrialFibrillation, span: episode };
    let entry = session.entry(Action::Do(edit), &stamp());
    session.push(&entry);
    let after = session.snapshot();
    assert_eq!(of(&after, EventKind::SupraventricularRun).len(), 1);
    assert!(after.orphans.is_empty());
}

/// No setting hides a pause of 3 s, a ventricular tachycardia of three beats or fibrillation of half a minute.
#[test]
fn no_setting_hides_what_must_be_read() {
    let mut settings = Settings::default();
    for (key, value) in
        [("pause_ms", 3001.0), ("critical_pause_ms", 3001.0), ("af_min_s", 31.0), ("run_rate_bpm", 101.0)]
    {
        assert!(settings.set(key, value).is_err(), "{key}");
    }
    settings.set("run_beats", 5.0).unwrap();
    settings.set("pause_ms", 3000.0).unwrap();
    let mut rr = breathing(0.82, 90);
    rr[50] = 3.1;
    let mut body = Body::sinus(&rr);
    let at = body.beats[30].0;
    body.beats.retain(|b| b.0 < at + 0.2 || b.0 > at + 1.9);
    body.p_waves.retain(|p| *p < at + 0.1 || *p > at + 1.8);
    body.beats.extend((0..3).map(|i| (at + 0.45 + 0.4 * f64::from(i), true)));
    body.beats.sort_by(|a, b| a.0.total_cmp(&b.0));
    let recording = body.recording();
    let found = pipeline::find(&recording, &settings, &Progress::default()).unwrap();
    let session = Session::new(Arc::new(recording), settings, Arc::new(found), &[]);
    let day = session.snapshot();
    assert_eq!(of(&day, EventKind::VentricularTachycardia).len(), 1, "{:?}", day.events);
    assert_eq!(of(&day, EventKind::Pause).iter().filter(|e| e.critical).count(), 1);
}
