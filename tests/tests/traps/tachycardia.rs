//! Fast regular rhythms: of the sinus node only where that shows.

use beatledger_core::model::EventKind;

use super::body::{Body, breathing, of};

/// Two minutes at 75, then `fast`, then two minutes at 75.
fn framed(fast: &[f64]) -> Vec<f64> {
    [breathing(0.8, 150), fast.to_vec(), breathing(0.8, 150)].concat()
}

/// The rate rises from 75 to `bpm` within a minute, stays for three, and falls.
fn exercise(bpm: f64) -> Vec<f64> {
    let mut rr = Vec::new();
    let mut at = 0.0;
    while at < 300.0 {
        let level = (at / 60.0f64).min(1.0).min((300.0 - at) / 60.0).max(0.0);
        let now = 75.0 + (bpm - 75.0) * level + 2.0 * (at / 19.0).sin();
        rr.push(60.0 / now * (1.0 + 0.01 * (at * 1.5).sin()));
        at += 60.0 / now;
    }
    rr
}

fn told(body: &Body) -> Vec<String> {
    let day = body.read();
    let kinds = [
        EventKind::Tachycardia,
        EventKind::RegularTachycardia,
        EventKind::AtrialFlutter,
        EventKind::SupraventricularRun,
    ];
    let rates = day.events.iter().filter(|e| kinds.contains(&e.kind));
    rates.map(|e| format!("{} {}", e.kind.key(), e.note)).collect()
}

#[test]
fn a_rate_that_rises_and_falls_with_p_waves_is_sinus_tachycardia() {
    for (leads, bpm) in [(1, 125.0), (3, 140.0), (1, 150.0)] {
        let body = Body { leads, ..Body::sinus(&framed(&exercise(bpm))) };
        let told = told(&body);
        assert!(told.len() == 1 && told[0].starts_with("tachycardia"), "{leads} leads, {bpm}: {told:?}");
    }
}

#[test]
fn a_sudden_regular_tachycardia_is_never_called_one_of_the_sinus_node() {
    for (leads, bpm) in [(1, 150.0), (3, 180.0), (1, 210.0)] {
        let fast = vec![60.0 / bpm; (180.0 * bpm / 60.0) as usize];
        let mut body = Body { leads, ..Body::sinus(&framed(&fast)) };
        let (from, to) = (120.0, 302.0);
        body.p_waves.retain(|p| *p < from || *p > to);
        let told = told(&body);
        assert!(!told.is_empty(), "{leads} leads, {bpm}");
        assert!(told.iter().all(|t| !t.starts_with("tachycardia")), "{leads} leads, {bpm}: {told:?}");
    }
}

#[test]
fn flutter_with_two_to_one_block_is_never_called_sinus_tachycardia() {
    for (leads, flutter) in [(1, 250.0), (3, 290.0), (1, 330.0)] {
        let bpm = flutter / 2.0;
        let body = Body::sinus(&vec![60.0 / bpm; (600.0 * bpm / 60.0) as usize]);
        let body = Body { leads, p_waves: Vec::new(), flutter: Some((flutter, 0.18)), ..body };
        let told = told(&body);
        assert!(!told.is_empty(), "{leads} leads, {flutter}");
        assert!(told.iter().all(|t| !t.starts_with("tachycardia")), "{leads} leads, {flutter}: {told:?}");
        let day = body.read();
        assert!(of(&day, EventKind::AtrialFibrillation).is_empty());
    }
}
