//! Changes of ST against a stable stretch, and changes of position that imitate them.

use std::sync::Arc;

use beatledger_core::model::{EventKind, FigureId, Progress, Span};
use beatledger_core::pipeline;
use beatledger_core::session::{Session, Snapshot};
use beatledger_core::settings::Settings;

use super::body::{Body, breathing, of};

/// Half an hour at 75.
fn body(leads: usize, seed: u64) -> Body {
    Body { leads, seed, ..Body::sinus(&breathing(0.8, 2250)) }
}

/// The file says that the recorder passed what ST needs.
fn read(body: &Body) -> Snapshot {
    let mut recording = body.recording();
    recording.leads.iter_mut().for_each(|lead| lead.prefilter = "HP:0.05Hz".into());
    let settings = Settings::default();
    let found = pipeline::find(&recording, &settings, &Progress::default()).unwrap();
    let session = Session::new(Arc::new(recording), settings, Arc::new(found), &[]);
    session.snapshot().as_ref().clone().whole()
}

#[test]
fn a_change_of_st_is_an_event_that_must_be_read_with_its_begin_extreme_and_end() {
    for (leads, seed, mv) in [(1, 1, -0.2), (3, 2, -0.25), (1, 3, 0.3), (3, 4, 0.22)] {
        let day = read(&Body { st: vec![(900.0, 1200.0, mv, 40.0)], ..body(leads, seed) });
        let told = of(&day, EventKind::StChange);
        assert!(!told.is_empty() && told.iter().all(|e| e.critical), "{leads} leads, {mv} mV");
        assert!(of(&day, EventKind::PositionChange).is_empty(), "{leads} leads, {mv} mV");
        let seconds = |sample: i64| day.recording.rate.seconds_from_samples(sample);
        let first = told[0];
        let ends = (seconds(first.span.start), seconds(first.span.end));
        assert!((890.0..960.0).contains(&ends.0) && (1140.0..1215.0).contains(&ends.1), "{ends:?}");
        let sign = if mv > 0.0 { "+0." } else { "-0." };
        let of_ii = told.iter().find(|e| e.note.starts_with("ECG II"));
        assert!(of_ii.is_some_and(|e| e.note.contains(&format!(": {sign}"))), "{}", first.note);
        assert_eq!(day.summary.number(FigureId::StChanges), Some(told.len() as f64));
    }
}

/// Most of the recording is the change; the reference is the stable stretch before it, not what is usual in it.
#[test]
fn a_depression_that_fills_most_of_the_recording_is_the_change() {
    let day = read(&Body { st: vec![(420.0, 1790.0, -0.25, 30.0)], ..body(1, 5) });
    let told = of(&day, EventKind::StChange);
    assert_eq!(told.len(), 1);
    let rate = day.recording.rate;
    let stretch = Span::new(rate.samples_from_seconds(460.0), rate.samples_from_seconds(1750.0));
    assert!(told[0].span.overlap(stretch).len() as f64 > 0.95 * stretch.len() as f64);
    let course = day.summary.st[0].course.as_ref().unwrap();
    assert!(
        course.reference_mv.abs() < 0.03 && rate.seconds_from_samples(course.reference_place.end) < 430.0
    );
}

#[test]
fn a_step_of_st_at_the_instant_at_which_qrs_changes_is_one_of_position() {
    for (leads, seed, factor, mv) in [(1, 6, 0.65, -0.2), (3, 7, 1.4, 0.22), (1, 8, 1.5, 0.25)] {
        let day = read(&Body { positions: vec![(900.0, 1300.0, factor, mv)], ..body(leads, seed) });
        assert!(!of(&day, EventKind::PositionChange).is_empty(), "{leads} leads, {factor} times");
        assert!(of(&day, EventKind::StChange).is_empty(), "{leads} leads, {factor} times");
        assert_eq!(day.summary.number(FigureId::StChanges), Some(0.0));
    }
}

#[test]
fn breathing_rate_and_a_long_quiet_tracing_are_no_change_of_st() {
    for (leads, seed) in [(1, 9), (3, 10)] {
        let faster: Vec<f64> = (0..3000).map(|i| if i < 1500 { 0.85 } else { 0.55 }).collect();
        let bodies =
            [Body { breathing_mv: 0.3, ..body(leads, seed) }, Body { leads, seed, ..Body::sinus(&faster) }];
        for body in bodies {
            let day = read(&body);
            assert!(
                of(&day, EventKind::StChange).is_empty() && of(&day, EventKind::PositionChange).is_empty()
            );
        }
    }
}
