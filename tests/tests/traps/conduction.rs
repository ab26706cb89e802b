//! Two P waves to a beat are no slow sinus rhythm, and a slow sinus rhythm is no block.

use std::sync::Arc;

use beatledger_core::model::{EventKind, Progress};
use beatledger_core::pipeline;
use beatledger_core::review::{Action, Edit};
use beatledger_core::session::{Session, Stamp};
use beatledger_core::settings::Settings;

use super::body::{Body, breathing, of};

/// Four minutes with a beat after every second P wave.
fn blocked(cycle_s: f64, leads: usize, seed: u64) -> Body {
    let mut body = Body::sinus(&breathing(cycle_s, (240.0 / cycle_s) as usize));
    let p = body.p_waves.clone();
    body.p_waves.extend(p.windows(2).map(|w| (w[0] + w[1]) / 2.0));
    body.leads = leads;
    body.seed = seed;
    body
}

#[test]
fn two_p_waves_to_a_beat_are_told_as_block_and_never_as_a_slow_rate() {
    for (cycle_s, leads, seed) in [(1.5, 1, 1), (1.5, 3, 2), (1.7, 1, 3), (1.35, 3, 4), (1.9, 3, 5)] {
        let day = blocked(cycle_s, leads, seed).read();
        let told = of(&day, EventKind::AvBlock2To1);
        let seconds: f64 = told.iter().map(|e| day.recording.rate.seconds_from_samples(e.span.len())).sum();
        let early = day.beats.iter().filter(|b| b.class.letter() != 'N').count();
        assert!(seconds > 180.0, "{cycle_s} s, {leads} leads: {seconds} s told of 240");
        assert!(told.iter().all(|e| e.critical), "it must be read");
        assert!(of(&day, EventKind::Bradycardia).is_empty(), "{cycle_s} s, {leads} leads");
        assert_eq!(early, 0, "a conducted beat is never early");
    }
}

#[test]
fn block_that_is_dropped_is_a_slow_rate_again() {
    let (recording, settings) = (Arc::new(blocked(1.5, 1, 1).recording()), Settings::default());
    let found = pipeline::find(&recording, &settings, &Progress::default()).unwrap();
    let mut session = Session::new(recording, settings, Arc::new(found), &[]);
    let stamp = Stamp { reader: "A. Reader".into(), at_utc_ms: 0, utc_offset_min: 0 };
    for event in session.snapshot().events.iter().filter(|e| e.kind == EventKind::AvBlock2To1) {
        let entry = session.entry(Action::Do(Edit::DropEvent { kind: event.kind, span: event.span }), &stamp);
        session.push(&entry);
    }
    let after = session.snapshot();
    assert_eq!(of(&after, EventKind::Bradycardia).len(), 1);
    assert!(after.orphans.is_empty());
}

#[test]
fn a_slow_sinus_rhythm_is_no_block_with_a_u_wave_or_without() {
    for (cycle_s, leads, seed, u_mv) in
        [(1.5, 1, 1, 0.0), (1.4, 3, 2, 0.0), (1.3, 1, 3, 0.05), (1.5, 3, 4, 0.06)]
    {
        let body = Body { leads, seed, ..Body::sinus(&breathing(cycle_s, (240.0 / cycle_s) as usize)) };
        let day = Body { u_wave_mv: u_mv, ..body }.read();
        assert!(of(&day, EventKind::AvBlock2To1).is_empty(), "{cycle_s} s, {leads} leads, U {u_mv}");
        assert!(!of(&day, EventKind::Bradycardia).is_empty(), "{cycle_s} s is slow");
    }
}
