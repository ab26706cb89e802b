//! What must be read before signing, that what is signed is whole, and that a later edit shows.

use super::*;
use crate::model::FigureValue;
use crate::rhythm::testing::{irregular, sinus};

#[test]
fn a_signed_day_shows_every_later_edit_as_a_change_until_it_is_signed_again() {
    let mut session = session();
    edit(&mut session, conclude("Sinus rhythm."));
    let of = |now: &Snapshot| (now.fold.signed.as_ref().map(|s| s.0), now.fold.changed_since_signing);
    assert_eq!(of(&session.snapshot()), (None, false));
    assert_eq!(of(&act(&mut session, sign())), (Some(2), false));
    assert_eq!(of(&edit(&mut session, conclude("Another."))), (Some(2), true));
    assert_eq!(of(&undo(&mut session)), (Some(2), true), "what is undone is in the ledger too");
    assert_eq!(of(&act(&mut session, sign())), (Some(5), false));
    assert_eq!(of(&redo(&mut session)), (Some(5), true));
}

fn awaited(now: &Snapshot) -> usize {
    let waits = |value: &FigureValue| *value == FigureValue::NotComputable(FigureValue::AWAITED.into());
    now.summary.figures.iter().filter(|f| waits(&f.value)).count()
}

/// What is signed or written is the snapshot after [`Session::finish`]: it holds no figure that is still to come.
#[test]
fn what_is_handed_out_for_signing_is_whole_after_every_kind_of_entry() {
    let mut session = session();
    assert!(session.snapshot().is_whole() && awaited(&session.snapshot()) == 0, "as opened");
    for (one, _) in one_of_each() {
        let first = session.push_first(&session.entry(Action::Do(one.clone()), &stamp()));
        assert!(!first.is_whole() && awaited(&first) > 20, "{}", one.words());
        let finished = session.finish();
        assert!(finished.is_whole() && session.snapshot().is_whole(), "{}", one.words());
        assert_eq!((awaited(&finished), awaited(&session.snapshot())), (0, 0), "{}", one.words());
        assert_eq!((&finished.beats, &finished.events), (&first.beats, &first.events));
    }
    assert!(session.preview(&conclude("x")).is_whole() && awaited(&session.preview(&conclude("x"))) == 0);
    let found = session.snapshot().found.clone();
    let again = session.push_found(&session.entry(Action::Do(set("wide_qrs_ms", 110.0)), &stamp()), found);
    assert!(again.is_whole() && awaited(&again) == 0);
}

/// Kinds of the events that block signing.
fn blocking(now: &Snapshot) -> Vec<EventKind> {
    now.unread_critical().iter().map(|i| now.events[*i].kind).collect()
}

/// A day whose only event of `kind` must be read first, however a reader reads it.
fn must_be_read(session: &Session, kind: EventKind) {
    let now = session.snapshot();
    assert_eq!(blocking(&now), [kind], "unread it blocks");
    let place = now.events.iter().find(|e| e.kind == kind).unwrap().span;
    let other = Edit::ChangeEvent { kind, span: place, new_kind: EventKind::Bradycardia, new_span: place };
    for said in [Edit::KeepEvent { kind, span: place }, Edit::DropEvent { kind, span: place }, other] {
        let mut session = session.clone();
        assert_eq!(blocking(&edit(&mut session, said.clone())), [], "{}", said.words());
        assert_eq!(blocking(&undo(&mut session)), [kind], "{} is taken back", said.words());
    }
    let looked_at = edit(&mut session.clone(), Edit::MarkRead { span: place });
    assert_eq!(blocking(&looked_at), [kind], "to have looked there is not to keep or drop it");
}

/// 120/min; three beats at 700 ms are no tachycardia.
#[test]
fn ventricular_tachycardia_must_be_read_before_signing_and_a_slow_run_or_a_couplet_not() {
    let day = made("NNNNNVVVVNNNNNNNNNNN", &[500]);
    must_be_read(&opened(&day, day.found()), EventKind::VentricularTachycardia);
    for (letters, rr) in
        [("NNNNNVVVNNNNNNNNNNNN", 700), ("NNNNNVVNNNNNNNNNNNNN", 500), ("NNNNNSSSSSNNNNNNNNNN", 500)]
    {
        let day = made(letters, &[rr]);
        assert_eq!(blocking(&opened(&day, day.found()).snapshot()), [], "{letters}");
    }
}

#[test]
fn flutter_or_fibrillation_of_the_ventricles_must_be_read_before_signing() {
    let day = sinus(&[800; 60]);
    let waves = Found { ventricular_waves: vec![span(10_000, 16_000)], ..day.found() };
    must_be_read(&opened(&day, waves), EventKind::VentricularFibrillation);
    assert_eq!(blocking(&opened(&day, day.found()).snapshot()), []);
}

/// Three minutes of sinus rhythm on either side of about 45 s without order.
#[test]
fn atrial_fibrillation_of_the_minimum_and_more_must_be_read_before_signing() {
    let mut lasts = 0;
    let wild = irregular(200).into_iter().take_while(|ms| (lasts += ms, lasts < 45_000).1);
    let rr: Vec<i64> = [800; 225].into_iter().chain(wild).chain([800; 225]).collect();
    let day = sinus(&rr);
    let mut session = opened(&day, day.found());
    must_be_read(&session, EventKind::AtrialFibrillation);
    let hidden = edit(&mut session, set("af_min_s", 60.0));
    assert_eq!(hidden.orphans.len(), 1, "no setting hides fibrillation of half a minute");
    assert_eq!(blocking(&hidden), [EventKind::AtrialFibrillation]);
}

#[test]
fn a_pause_of_the_critical_length_must_be_read_before_signing_and_a_shorter_one_not() {
    let paused = |ms: i64| {
        let mut rr = [800; 40];
        rr[20] = ms;
        let day = sinus(&rr);
        opened(&day, day.found())
    };
    must_be_read(&paused(3000), EventKind::Pause);
    let mut shorter = paused(2999);
    assert_eq!(blocking(&shorter.snapshot()), []);
    assert_eq!(blocking(&edit(&mut shorter, set("critical_pause_ms", 2999.0))), [EventKind::Pause]);
}

/// The numbers are those of the events as they stand: what is kept leaves the list, the other one stays.
#[test]
fn of_several_critical_events_each_must_be_read() {
    let mut rr = [500; 39];
    rr[25] = 3400;
    let day = made(&format!("NNNNVVVVV{}", "N".repeat(31)), &rr);
    let mut session = opened(&day, day.found());
    assert_eq!(blocking(&session.snapshot()), [EventKind::VentricularTachycardia, EventKind::Pause]);
    let kept = Edit::KeepEvent { kind: EventKind::VentricularTachycardia, span: span(2000, 4001) };
    let now = edit(&mut session, kept);
    let left = now.unread_critical();
    assert_eq!(left.len(), 1);
    assert_eq!(
        (now.events[left[0]].kind, now.events[left[0]].span),
        (EventKind::Pause, span(12_500, 15_901))
    );
}
