//! Lost contact is no pause, and a pause is no lost contact.

use beatledger_core::model::{EventKind, FigureId, FigureValue};

use super::body::{Body, Loss, breathing, of};

const LOSSES: [Loss; 8] = [
    Loss::Hum(50.0, true),
    Loss::Hum(60.0, true),
    Loss::Hum(50.0, false),
    Loss::Hum(60.0, false),
    Loss::Flat,
    Loss::Rails,
    Loss::Decay,
    Loss::Muscle,
];

/// A minute and a half of sinus rhythm with nothing in contact from 40 s on.
fn lost(seconds: f64, loss: Loss, leads: usize, seed: u64) -> Body {
    let body = Body::sinus(&breathing(0.82, 130)).silent(40.0, 40.0 + seconds);
    Body { leads, seed, losses: vec![(40.0, 40.0 + seconds, loss)], ..body }
}

#[test]
fn all_leads_without_contact_are_no_pause_no_asystole_and_no_ventricular_rhythm() {
    let mut wrong = Vec::new();
    for loss in LOSSES {
        for seconds in [4.5, 8.0, 12.0, 37.0] {
            for (leads, seed) in [(1, 1), (3, 2)] {
                let day = lost(seconds, loss, leads, seed).read();
                for kind in [
                    EventKind::Pause,
                    EventKind::VentricularFibrillation,
                    EventKind::VentricularTachycardia,
                    EventKind::AtrialFibrillation,
                ] {
                    for event in of(&day, kind) {
                        wrong.push(format!("{loss:?} {seconds} s, {leads} leads: {kind:?} {:?}", event.span));
                    }
                }
                let longest = day.summary.figure(FigureId::LongestRrMs).map(|f| f.value.clone());
                if !matches!(longest, Some(FigureValue::Number(ms)) if ms < 1500.0) {
                    wrong.push(format!("{loss:?} {seconds} s, {leads} leads: longest RR {longest:?}"));
                }
                let told = [EventKind::ContactUncertain, EventKind::Unreadable];
                let covers = |e: &&beatledger_core::model::Event| {
                    told.contains(&e.kind)
                        && e.span
                            .overlap(beatledger_core::model::Span::new(
                                10_000,
                                10_000 + (seconds * 250.0) as i64,
                            ))
                            .len()
                            > 500
                };
                let unreadable: i64 = day.unreadable.iter().map(|s| s.len()).sum();
                if day.events.iter().filter(covers).count() == 0 && unreadable < 500 {
                    wrong.push(format!("{loss:?} {seconds} s, {leads} leads: nothing is said"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{} of 64:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn a_true_pause_stays_one_on_one_lead_and_on_three() {
    let mut wrong = Vec::new();
    for seconds in [2.2, 3.0, 4.0, 6.0, 8.0, 12.0] {
        for leads in [1, 3] {
            for seed in 1..4 {
                // The beat at about 40 s is followed by the pause.
                let mut rr = breathing(0.82, 120);
                rr[48] = seconds + 0.03 * seed as f64;
                let body = Body { leads, seed, ..Body::sinus(&rr) };
                let day = body.read();
                let pauses = of(&day, EventKind::Pause);
                let lengths: Vec<f64> = pauses
                    .iter()
                    .map(|p| day.recording.rate.seconds_from_samples(p.span.len() - 1))
                    .collect();
                if lengths.len() != 1 || (lengths[0] - rr[48]).abs() > 0.02 {
                    let uncertain = of(&day, EventKind::ContactUncertain).first().map(|e| e.note.clone());
                    wrong.push(format!("{seconds} s, {leads} leads, seed {seed}: {lengths:?} {uncertain:?}"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn what_is_dropped_as_lost_contact_is_a_pause_that_must_be_read() {
    use beatledger_core::review::{Action, Edit};
    use beatledger_core::session::Stamp;
    let body = lost(5.0, Loss::Hum(50.0, true), 1, 3);
    let recording = std::sync::Arc::new(body.recording());
    let settings = beatledger_core::settings::Settings::default();
    let progress = beatledger_core::model::Progress::default();
    let found = beatledger_core::pipeline::find(&recording, &settings, &progress).unwrap();
    let mut session =
        beatledger_core::session::Session::new(recording, settings, std::sync::Arc::new(found), &[]);
    let event = of(&session.snapshot(), EventKind::ContactUncertain).first().map(|e| e.span).unwrap();
    assert_eq!(session.snapshot().unread_critical().len(), 1, "it must be read before signing");
    let stamp = Stamp { reader: "A. Reader".into(), at_utc_ms: 0, utc_offset_min: 0 };
    let edit = Edit::DropEvent { kind: EventKind::ContactUncertain, span: event };
    let entry = session.entry(Action::Do(edit), &stamp);
    session.push(&entry);
    let after = session.snapshot();
    let pause = of(&after, EventKind::Pause);
    assert_eq!(pause.len(), 1);
    assert!(pause[0].critical && pause[0].span == event);
    assert!(after.orphans.is_empty(), "{:?}", after.orphans);
    assert_eq!(after.unread_critical().len(), 1, "the pause is the one to be read now");
}
