//! Irregular for another reason: ectopy, blocked beats, breathing. None of it is fibrillation, and true fibrillation is found.

use std::sync::Arc;

use beatledger_core::model::{BeatClass, EventKind, FigureId, FigureValue, Progress};
use beatledger_core::pipeline;
use beatledger_core::review::{Action, Edit};
use beatledger_core::session::{Session, Stamp};
use beatledger_core::settings::Settings;
use beatledger_testkit::Random;

use super::body::{Body, of};

/// Beats of a pattern over `minutes`: each pattern gives interval before the beat, whether it is ventricular, and the PR
/// interval where a P wave stands before it, s.
fn day(
    leads: usize,
    seed: u64,
    minutes: f64,
    mut next: impl FnMut(usize, &mut Random) -> (f64, bool, Option<f64>),
) -> Body {
    let mut random = Random::new(seed);
    let mut body = Body { leads, seed, beats: Vec::new(), p_waves: Vec::new(), ..Body::sinus(&[]) };
    let (mut at, mut i) = (0.5, 0);
    while at < minutes * 60.0 {
        let (rr, is_v, pr) = next(i, &mut random);
        at += rr;
        body.beats.push((at, is_v));
        body.p_waves.extend(pr.map(|pr| at - pr));
        i += 1;
    }
    body.seconds = at + 1.0;
    body
}

/// A little chance, as in any sinus rhythm.
fn jitter(random: &mut Random, share: f64) -> f64 {
    1.0 + share * (2.0 * random.share() - 1.0)
}

fn bigeminy(leads: usize, seed: u64) -> Body {
    day(leads, seed, 10.0, |i, r| match i % 2 {
        0 => (1.05 * jitter(r, 0.04), false, Some(0.16)),
        _ => (0.50 * jitter(r, 0.08), true, None),
    })
}

fn trigeminy(leads: usize, seed: u64) -> Body {
    day(leads, seed, 10.0, |i, r| match i % 3 {
        0 => (1.1 * jitter(r, 0.04), false, Some(0.16)),
        1 => (0.82 * jitter(r, 0.03), false, Some(0.16)),
        _ => (0.52 * jitter(r, 0.08), true, None),
    })
}

/// A third of the beats ventricular, at any time, with any coupling.
fn frequent(leads: usize, seed: u64) -> Body {
    let mut early = None::<f64>;
    day(leads, seed, 10.0, move |_, r| match early.take() {
        Some(coupling) => (1.64 - coupling, false, Some(0.16)),
        None if r.share() < 0.33 => {
            let coupling = 0.42 + 0.25 * r.share();
            early = Some(coupling);
            (coupling, true, None)
        }
        None => (0.82 * jitter(r, 0.03), false, Some(0.16)),
    })
}

/// Groups of three and four beats with PR that lengthens until a beat drops.
fn wenckebach(leads: usize, seed: u64) -> Body {
    let mut left = 0usize;
    let mut pr = 0.2;
    let mut body = day(leads, seed, 10.0, move |_, r| {
        if left == 0 {
            left = 3 + r.below(2) as usize;
            let before = pr;
            pr = 0.2;
            // Two sinus cycles, less what PR lost.
            return (1.56 - (before - pr), false, Some(pr));
        }
        left -= 1;
        let longer = if left + 1 == 3 { 0.1 } else { 0.04 };
        pr += longer;
        (0.78 + longer, false, Some(pr))
    });
    // The P wave that is not conducted: a sinus cycle after the last one before each long interval.
    let p = body.p_waves.clone();
    body.p_waves.extend(p.windows(2).filter(|w| w[1] - w[0] > 1.3).map(|w| w[0] + 0.78));
    body
}

/// The young asleep: intervals swing by a third within a breath.
fn breathing_young(leads: usize, seed: u64) -> Body {
    let mut at = 0.0f64;
    day(leads, seed, 10.0, move |_, r| {
        let depth = 0.17 * (1.0 + 0.2 * (at / 37.0).sin());
        let rr = 0.95 * (1.0 + depth * (at * std::f64::consts::TAU / 4.6).sin()) * jitter(r, 0.015);
        at += rr;
        (rr, false, Some(0.16))
    })
}

fn fibrillation(leads: usize, seed: u64) -> Body {
    day(leads, seed, 10.0, |_, r| {
        let rr = 0.4 + 0.12 * (r.share() + r.share() + r.share()) + 0.25 * r.share() * r.share();
        (rr, false, None)
    })
}

#[test]
fn ectopy_blocked_beats_and_breathing_are_no_fibrillation() {
    let mut wrong = Vec::new();
    type Make = fn(usize, u64) -> Body;
    let all: [(&str, Make); 5] = [
        ("bigeminy", bigeminy),
        ("trigeminy", trigeminy),
        ("frequent ectopy", frequent),
        ("Wenckebach groups", wenckebach),
        ("breathing", breathing_young),
    ];
    for (name, make) in all {
        for (leads, seed) in [(1, 1), (1, 2), (3, 3), (3, 4)] {
            let day = make(leads, seed).read();
            let letters: String = day.beats[100..130].iter().map(|b| b.class.letter()).collect();
            for event in of(&day, EventKind::AtrialFibrillation) {
                let s = day.recording.rate.seconds_from_samples(event.span.len());
                wrong.push(format!(
                    "{name}, {leads} leads, seed {seed}: {s:.0} s {letters} {:?}",
                    event.certainty
                ));
            }
            if name == "Wenckebach groups" {
                let early = day.beats.iter().filter(|b| b.class.letter() == 'S').count();
                if early * 50 > day.beats.len() {
                    wrong.push(format!(
                        "{name}, {leads} leads, seed {seed}: {early} S of {}",
                        day.beats.len()
                    ));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn fibrillation_is_found_and_certain() {
    for (leads, seed) in [(1, 1), (3, 2)] {
        let day = fibrillation(leads, seed).read();
        let found = of(&day, EventKind::AtrialFibrillation);
        let seconds: f64 = found.iter().map(|e| day.recording.rate.seconds_from_samples(e.span.len())).sum();
        assert!(seconds > 540.0, "{leads} leads: {seconds}");
        assert!(found.iter().all(|e| e.doubt().is_none()), "{found:?}");
    }
}

/// What is doubtful and must be read is in no figure until a reader has spoken.
#[test]
fn doubtful_fibrillation_counts_once_a_reader_keeps_it_and_not_before() {
    let body = fibrillation(1, 3);
    let (recording, settings) = (Arc::new(body.recording()), Settings::default());
    let mut found = pipeline::find(&recording, &settings, &Progress::default()).unwrap();
    // A third of its beats as if a pacemaker had begun them.
    found.beats.iter_mut().step_by(3).for_each(|b| b.class = BeatClass::Q);
    let mut session = Session::new(recording, settings, Arc::new(found), &[]);
    let number = |session: &Session, id| session.snapshot().summary.number(id).unwrap();
    let count =
        |session: &Session| match &session.snapshot().summary.figure(FigureId::AfEpisodes).unwrap().value {
            FigureValue::Count(n) => *n,
            other => panic!("{other:?}"),
        };
    let before = session.snapshot();
    let doubtful: Vec<_> = of(&before, EventKind::AtrialFibrillation).into_iter().cloned().collect();
    assert!(!doubtful.is_empty() && doubtful.iter().all(|e| e.critical && e.doubt().is_some()));
    for id in [FigureId::AfMin, FigureId::AfPercent] {
        assert_eq!(number(&session, id), 0.0, "{id}");
    }
    assert_eq!((count(&session), before.unread_critical().len()), (0, doubtful.len()));
    let stamp = Stamp { reader: "A. Reader".into(), at_utc_ms: 0, utc_offset_min: 0 };
    for event in &doubtful {
        let entry = session.entry(Action::Do(Edit::KeepEvent { kind: event.kind, span: event.span }), &stamp);
        session.push(&entry);
    }
    assert!(number(&session, FigureId::AfMin) > 5.0);
    assert_eq!(count(&session), doubtful.len() as u64);
}
