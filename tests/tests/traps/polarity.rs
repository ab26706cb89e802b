//! Leads that are turned or plugged into each other's place in the middle of a recording.

use beatledger_core::model::{BeatClass, EventKind};

use super::body::{Body, breathing, of};

/// Twenty minutes at 70, a few of the beats ventricular.
fn body(leads: usize, seed: u64) -> Body {
    let mut body = Body { leads, seed, ..Body::sinus(&breathing(0.85, 1400)) };
    for k in (10..1390).step_by(97) {
        body.beats[k].0 -= 0.25;
        body.beats[k].1 = true;
        body.p_waves[k] = -10.0;
    }
    body
}

fn told(body: Body, expected_s: f64, words: &str) {
    let labels = |day: &beatledger_core::session::Snapshot| {
        let of = |class| day.beats.iter().filter(|b| b.class == class).count();
        (of(BeatClass::N), of(BeatClass::S), of(BeatClass::V))
    };
    let plain = Body { turned: vec![], swapped: vec![], ..body.clone() }.read();
    let day = body.read();
    let changes = of(&day, EventKind::PolarityChange);
    assert_eq!(changes.len(), 1, "{words}");
    let start = day.recording.rate.seconds_from_samples(changes[0].span.start);
    assert!((start - expected_s).abs() < 3.0, "{words}: {start} s");
    assert!(changes[0].note.contains(words), "{}", changes[0].note);
    let (before, after) = (labels(&plain), labels(&day));
    assert!(
        before.0.abs_diff(after.0) <= 2 && before.1.abs_diff(after.1) <= 2 && before.2.abs_diff(after.2) <= 2
    );
    for kind in [EventKind::StChange, EventKind::PositionChange] {
        assert!(of(&day, kind).is_empty(), "{words}: {}", kind.words());
    }
}

#[test]
fn a_lead_that_is_turned_in_the_middle_is_told_with_its_time_and_labels_and_st_follow() {
    for (leads, seed, lead) in [(1, 1, 0), (3, 2, 0), (3, 3, 1), (3, 4, 2)] {
        let name = ["ECG II", "ECG V1", "ECG V5"][lead];
        told(Body { turned: vec![(lead, 600.0, 1e9)], ..body(leads, seed) }, 600.0, name);
    }
}

#[test]
fn leads_that_change_places_are_told_with_their_time() {
    for seed in [1, 2] {
        told(Body { swapped: vec![(500.0, 1e9)], ..body(3, seed) }, 500.0, "ECG II and ECG V1");
    }
}

#[test]
fn a_lead_that_is_turned_back_is_told_from_when_to_when() {
    let day = Body { turned: vec![(0, 400.0, 800.0)], ..body(1, 5) }.read();
    let told = of(&day, EventKind::PolarityChange);
    let seconds = |sample| day.recording.rate.seconds_from_samples(sample);
    assert_eq!(told.len(), 1);
    let (from, to) = (seconds(told[0].span.start), seconds(told[0].span.end));
    assert!((from - 400.0).abs() < 3.0 && (to - 800.0).abs() < 3.0, "{from} to {to}");
}

#[test]
fn a_lead_that_is_upside_down_throughout_is_told_and_one_that_is_not_is_not() {
    let turned = Body { turned: vec![(2, 0.0, 1e9)], ..body(3, 6) }.read();
    let told = of(&turned, EventKind::PolarityChange);
    assert!(told.len() == 1 && told[0].note.contains("ECG V5"), "{:?}", told);
    assert!(of(&body(3, 7).read(), EventKind::PolarityChange).is_empty());
}
