//! What no heart makes: spikes, the edge of lost contact, motion, what all leads share.

use beatledger_core::model::{BeatClass, EventKind, FigureId};

use super::body::{Body, Loss, breathing, of};

/// Ten minutes of sinus rhythm at 70.
fn body(leads: usize, seed: u64) -> Body {
    Body { leads, seed, ..Body::sinus(&breathing(0.85, 700)) }
}

/// Beats that are not normal, and how many of them the program is sure of.
fn ectopic(day: &beatledger_core::session::Snapshot) -> (usize, usize) {
    let ectopic = day.beats.iter().filter(|b| b.class != BeatClass::N);
    (ectopic.clone().count(), ectopic.filter(|b| b.confidence >= 0.8).count())
}

fn unreadable_s(day: &beatledger_core::session::Snapshot) -> f64 {
    let unreadable = day.found.quality.unreadable.iter().map(|s| s.len()).sum();
    day.recording.rate.seconds_from_samples(unreadable)
}

#[test]
fn a_spike_of_24_ms_is_no_beat() {
    for (leads, seed, mv) in [(1, 1, 1.5), (1, 2, -2.0), (1, 3, 3.0), (3, 4, 1.5), (3, 5, -1.0)] {
        let mut body = body(leads, seed);
        body.spikes = (0..25).map(|k| (20.3 + 23.17 * f64::from(k), mv, 0.024)).collect();
        let day = body.read();
        // A spike may touch a QRS complex, as that of a pacemaker would, or stand on a T wave.
        let (all, _) = ectopic(&day);
        assert!(
            day.beats.len().abs_diff(701) <= 2 && all <= 1,
            "{leads} leads, {mv} mV: {} beats, {all} ectopic",
            day.beats.len()
        );
    }
}

#[test]
fn the_edge_of_lost_contact_is_no_ventricular_beat() {
    for loss in [Loss::Flat, Loss::Rails, Loss::Decay, Loss::Muscle] {
        for (leads, seed) in [(1, 1), (3, 2)] {
            let mut body = body(leads, seed);
            body.losses =
                (0..8).map(|k| (60.0 + 60.37 * f64::from(k), 75.0 + 60.0 * f64::from(k), loss)).collect();
            assert_eq!(ectopic(&body.read()), (0, 0), "{leads} leads, {loss:?}");
        }
    }
}

/// The chest is pressed 110 times a minute, over a heart that beats or does not: nothing is told of that minute, and no
/// ventricular rhythm before or after it.
#[test]
fn motion_as_of_a_chest_that_is_pressed_is_no_ventricular_rhythm() {
    for (leads, seed, per_min, mv) in
        [(1, 1, 110.0, 0.8), (1, 2, 110.0, 2.5), (1, 3, 100.0, 1.5), (3, 4, 110.0, 0.8), (3, 5, 120.0, 2.0)]
    {
        for beats in [true, false] {
            let plain = body(leads, seed);
            let mut body = if beats { plain } else { plain.silent(200.0, 260.0) };
            body.motion = vec![(200.0, 260.0, per_min, mv)];
            let day = body.read();
            let what = format!("{leads} leads, {per_min} a minute, {mv} mV, beats {beats}");
            assert_eq!(ectopic(&day), (0, 0), "{what}");
            for kind in [EventKind::VentricularTachycardia, EventKind::AtrialFibrillation, EventKind::Pause] {
                assert!(of(&day, kind).is_empty(), "{what}: {}", kind.words());
            }
            let sure = of(&day, EventKind::VentricularFibrillation).iter().any(|e| e.doubt().is_none());
            let unreadable = unreadable_s(&day);
            assert!(!sure && (40.0..70.0).contains(&unreadable), "{what}: {unreadable} s");
        }
    }
}

/// The same waves at the same height on all leads at once are a disturbance; on one lead alone nobody can tell.
#[test]
fn waves_that_all_leads_share_are_no_fibrillation_and_those_of_one_lead_are_doubtful() {
    for seed in [1, 2] {
        let quiet = |leads| body(leads, seed).silent(200.0, 260.0);
        let shared = Body { motion: vec![(200.0, 260.0, 240.0, 1.0)], ..quiet(3) }.read();
        assert!(of(&shared, EventKind::VentricularFibrillation).is_empty());
        let told = |day: Body| {
            let day = Body { fibrillation: vec![(200.0, 230.0)], ..day }.read();
            let told = of(&day, EventKind::VentricularFibrillation);
            assert!(told.len() == 1 && told[0].critical, "{}", told.len());
            told[0].doubt().map(str::to_owned)
        };
        assert_eq!(told(body(3, seed)), None);
        assert!(told(body(1, seed)).is_some_and(|why| why.contains("one lead alone")));
    }
}

/// Wide complexes at 110 to 130 a minute are a rhythm, however large they are.
#[test]
fn a_slow_ventricular_tachycardia_is_no_motion() {
    for (leads, seed, rr_s, height_mv) in
        [(1, 1, 0.54, 1.0), (3, 2, 0.5, 1.0), (1, 3, 0.47, 2.0), (3, 4, 0.54, 1.8)]
    {
        let mut body = body(leads, seed);
        body.height_mv = height_mv;
        body.beats.retain(|b| !(199.5..241.0).contains(&b.0));
        body.p_waves.retain(|p| !(199.0..241.0).contains(p));
        body.beats.extend((0..).map(|k| (200.0 + rr_s * f64::from(k), true)).take_while(|b| b.0 < 240.2));
        body.beats.sort_by(|a, b| a.0.total_cmp(&b.0));
        let day = body.read();
        let told = of(&day, EventKind::VentricularTachycardia);
        let what = format!("{leads} leads, RR {rr_s} s, {height_mv} mV");
        assert!(told.len() == 1 && told[0].beat_count() > 60, "{what}: {} told", told.len());
        assert_eq!(unreadable_s(&day), 0.0, "{what}");
    }
}

#[test]
fn couplets_of_beats_in_doubt_are_in_doubt() {
    let mut body = body(1, 1);
    // Long, and followed by nothing: hardly a beat.
    body.spikes = (0..25).map(|k| (20.3 + 23.17 * f64::from(k), 0.8, 0.06)).collect();
    let day = body.read();
    let couplets = [EventKind::SupraventricularCouplet, EventKind::VentricularCouplet];
    let told: Vec<_> = day.events.iter().filter(|e| couplets.contains(&e.kind)).collect();
    assert!(!told.is_empty());
    for event in told {
        let beats = &day.beats[event.beats.0 as usize..event.beats.1 as usize];
        let mean = beats.iter().map(|b| b.confidence).sum::<f32>() / beats.len() as f32;
        assert!(mean < 1.0 && event.certainty.share < 1.0);
        let is_v = event.kind == EventKind::VentricularCouplet;
        assert!(!is_v || mean > 0.9 || event.certainty.share < mean, "{mean}: {}", event.certainty.share);
    }
}

#[test]
fn alternans_is_told_above_its_control_alone() {
    for (leads, seed) in [(1, 1), (1, 2), (3, 3), (3, 4)] {
        for noise_mv in [0.008, 0.03] {
            let day = Body { noise_mv, ..body(leads, seed) }.read();
            let why = day.summary.alternans.as_ref().unwrap().as_ref().map(|_| ()).unwrap_err();
            assert!(why.contains("not above scatter"), "{leads} leads, {noise_mv} mV: {why}");
            assert_eq!(day.summary.number(FigureId::TwaUv), None);
        }
        let day = Body { alternans_mv: 0.06, ..body(leads, seed) }.read();
        let uv = day.summary.number(FigureId::TwaUv).unwrap();
        assert!((50.0..90.0).contains(&uv), "{leads} leads: {uv} uV");
    }
}
