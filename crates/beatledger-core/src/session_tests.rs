//! What a reading session shows after each entry: edits, undo and redo, the conclusion, what must be read before
//! signing, and that what is signed is whole.

use std::sync::Arc;

use crate::model::{
    BeatClass, DiaryEntry, DiaryKind, EventKind, EventState, FigureValue, Found, Quality, Span,
};
use crate::review::{Action, Edit, Entry, Signature};
use crate::rhythm::testing::{Made, irregular, made, sinus};
use crate::session::{Session, Snapshot, Stamp};
use crate::settings::Settings;
use crate::summarise::AWAITED;

fn opened(day: &Made, found: Found) -> Session {
    Session::new(Arc::new(day.recording.clone()), Settings::default(), Arc::new(found), &[])
}

fn stamp() -> Stamp {
    Stamp { reader: "A. Reader".into(), at_utc_ms: 5, utc_offset_min: 60 }
}

fn span(start: i64, end: i64) -> Span {
    Span::new(start, end)
}

fn act(session: &mut Session, action: Action) -> Arc<Snapshot> {
    let entry = session.entry(action, &stamp());
    session.push(&entry)
}

fn edit(session: &mut Session, edit: Edit) -> Arc<Snapshot> {
    act(session, Action::Do(edit))
}

fn undo(session: &mut Session) -> Arc<Snapshot> {
    let entry = session.undo_entry(&stamp()).unwrap();
    session.push(&entry)
}

fn redo(session: &mut Session) -> Arc<Snapshot> {
    let entry = session.redo_entry(&stamp()).unwrap();
    session.push(&entry)
}

fn conclude(text: &str) -> Edit {
    Edit::Conclude { text: text.into() }
}

fn sign() -> Action {
    Action::Sign(Signature {
        reader: "A. Reader".into(),
        role: "cardiologist".into(),
        meaning: "reviewed and approved".into(),
        manifest_sha256: "00".repeat(32),
    })
}

fn set(key: &str, value: f64) -> Edit {
    Edit::ChangeSetting { key: key.into(), value }
}

/// Twenty beats at 800 ms, the sixth and the eleventh and twelfth of them ventricular, and a pause of 2400 ms from
/// 11 200 to 13 600. 15 000 to 15 100 is unreadable.
fn small() -> (Made, Found) {
    let mut rr = [800; 19];
    rr[14] = 2400;
    let day = made("NNNNNVNNNNVVNNNNNNNN", &rr);
    let quality = Quality { unreadable: vec![span(15_000, 15_100)], ..Quality::default() };
    let found = Found { quality, looks_inverted: vec![false], ..day.found() };
    (day, found)
}

fn session() -> Session {
    let (day, found) = small();
    opened(&day, found)
}

/// State of the event of `kind` at `start`, when there is one.
fn state(now: &Snapshot, kind: EventKind, start: i64) -> Option<EventState> {
    now.events.iter().find(|e| e.kind == kind && e.span.start == start).map(|e| e.state)
}

type Seen = fn(&Snapshot) -> bool;

/// An edit of every kind, and what is seen when it is in force and at no other time.
fn one_of_each() -> Vec<(Edit, Seen)> {
    use EventKind::{AtrialFlutter, IdioventricularRun, Pause, VentricularCouplet};
    let couplet = span(8000, 8801);
    let diary =
        DiaryEntry { span: span(3000, 3000), kind: DiaryKind::Symptom, text: "dizzy on the stairs".into() };
    vec![
        (Edit::Relabel { beats: vec![4000], class: BeatClass::S }, |s| s.beats[5].class == BeatClass::S),
        (Edit::InsertBeat { sample: 12_350, class: BeatClass::N }, |s| s.beats[15].sample == 12_350),
        (Edit::RemoveBeats { beats: vec![4000] }, |s| s.beats.len() == 19 && s.beats[5].sample == 4800),
        (Edit::MoveBeat { from: 4000, to: 4080 }, |s| s.beats[5].sample == 4080),
        (Edit::MarkNoise { span: span(2000, 3000) }, |s| s.unreadable.contains(&span(2000, 3000))),
        (Edit::UnmarkNoise { span: span(14_000, 15_100) }, |s| s.unreadable.is_empty()),
        (Edit::KeepEvent { kind: VentricularCouplet, span: couplet }, |s| {
            state(s, VentricularCouplet, 8000) == Some(EventState::Kept)
        }),
        (Edit::DropEvent { kind: Pause, span: span(11_200, 13_601) }, |s| {
            state(s, Pause, 11_200) == Some(EventState::Dropped) && s.summary.number("pauses") == Some(0.0)
        }),
        (
            Edit::ChangeEvent {
                kind: VentricularCouplet,
                span: couplet,
                new_kind: IdioventricularRun,
                new_span: span(7200, 8801),
            },
            |s| state(s, IdioventricularRun, 7200) == Some(EventState::Changed),
        ),
        (Edit::AddEvent { kind: AtrialFlutter, span: span(100, 5000) }, |s| {
            state(s, AtrialFlutter, 100) == Some(EventState::Changed)
        }),
        (Edit::InvertLead { lead: 0, inverted: true }, |s| s.inverted == [true]),
        (Edit::AddDiary { entry: diary }, |s| s.diary.iter().any(|d| d.text == "dizzy on the stairs")),
        (set("pause_ms", 2401.0), |s| {
            s.settings.pause_ms == 2401.0 && state(s, EventKind::Pause, 11_200).is_none()
        }),
        (conclude("Sinus rhythm."), |s| s.conclusion == "Sinus rhythm."),
        (Edit::MarkRead { span: span(700, 900) }, |s| *s.read == [span(700, 900)]),
    ]
}

/// Place of the kind of `edit` in [`one_of_each`]. A new kind does not compile until it stands here.
fn place(edit: &Edit) -> usize {
    match edit {
        Edit::Relabel { .. } => 0,
        Edit::InsertBeat { .. } => 1,
        Edit::RemoveBeats { .. } => 2,
        Edit::MoveBeat { .. } => 3,
        Edit::MarkNoise { .. } => 4,
        Edit::UnmarkNoise { .. } => 5,
        Edit::KeepEvent { .. } => 6,
        Edit::DropEvent { .. } => 7,
        Edit::ChangeEvent { .. } => 8,
        Edit::AddEvent { .. } => 9,
        Edit::InvertLead { .. } => 10,
        Edit::AddDiary { .. } => 11,
        Edit::ChangeSetting { .. } => 12,
        Edit::Conclude { .. } => 13,
        Edit::MarkRead { .. } => 14,
    }
}

#[test]
fn an_edit_of_every_kind_stands_is_taken_back_and_stands_again() {
    let edits = one_of_each();
    assert_eq!(edits.iter().map(|(e, _)| place(e)).collect::<Vec<_>>(), (0..15).collect::<Vec<_>>());
    for (one, seen) in edits {
        let mut session = session();
        let before = session.snapshot();
        assert!(!seen(&before), "{} is not seen before", one.words());
        assert!(seen(&session.preview(&one)) && !seen(&session.snapshot()), "{} as preview", one.words());
        let after = edit(&mut session, one.clone());
        assert!(seen(&after) && after.orphans.is_empty(), "{} stands: {:?}", one.words(), after.orphans);
        let back = undo(&mut session);
        assert!(!seen(&back), "{} is taken back", one.words());
        assert_eq!((&back.beats, &back.events), (&before.beats, &before.events), "{}", one.words());
        assert_eq!((&back.summary, &back.unreadable), (&before.summary, &before.unreadable));
        let again = redo(&mut session);
        assert!(seen(&again), "{} stands again", one.words());
        assert_eq!((&again.beats, &again.summary), (&after.beats, &after.summary), "{}", one.words());
    }
}

/// Of two edits over each other the later counts, and an edit that is made again keeps its turn.
#[test]
fn undo_and_redo_keep_the_turn_of_edits_over_each_other() {
    let class = |s: &Snapshot| s.beats[5].class;
    let label = |class| Edit::Relabel { beats: vec![4000], class };
    let mut session = session();
    edit(&mut session, label(BeatClass::S));
    assert_eq!(class(&edit(&mut session, label(BeatClass::Q))), BeatClass::Q);
    assert_eq!(class(&undo(&mut session)), BeatClass::S);
    assert_eq!(class(&undo(&mut session)), BeatClass::V, "as found");
    // The second entry comes back first, then the first, which is older and does not count over it.
    assert_eq!(class(&act(&mut session, Action::Redo { seq: 2 })), BeatClass::Q);
    assert_eq!(class(&act(&mut session, Action::Redo { seq: 1 })), BeatClass::Q);
}

#[test]
fn edits_without_a_target_are_shown_whatever_they_were_meant_for() {
    let mut session = session();
    edit(&mut session, Edit::RemoveBeats { beats: vec![4000, 4001, 4002] });
    edit(&mut session, Edit::DropEvent { kind: EventKind::AtrialFibrillation, span: span(0, 5000) });
    let now = edit(&mut session, set("pause_ms", 1.0));
    let mut told: Vec<_> = now.orphans.iter().map(|o| (o.seq, o.words.as_str(), o.missing)).collect();
    told.sort();
    assert_eq!(
        told,
        [
            (1, "3 beats removed", 2),
            (2, "Atrial fibrillation dropped", 1),
            (3, "setting pause_ms set to 1", 1)
        ]
    );
    assert!(undo(&mut session).orphans.len() == 2 && undo(&mut session).orphans.len() == 1);
}

#[test]
fn the_last_conclusion_counts_and_undo_brings_the_one_before_back() {
    let mut session = session();
    assert_eq!(session.snapshot().conclusion, "");
    edit(&mut session, conclude("Sinus rhythm."));
    let now = edit(&mut session, conclude("Sinus rhythm, one pause."));
    assert_eq!(now.conclusion, "Sinus rhythm, one pause.");
    assert_eq!(edit(&mut session, Edit::MarkRead { span: span(0, 10) }).conclusion, now.conclusion);
    undo(&mut session);
    assert_eq!(undo(&mut session).conclusion, "Sinus rhythm.");
    assert_eq!(redo(&mut session).conclusion, "Sinus rhythm, one pause.");
    assert_eq!(edit(&mut session, conclude("")).conclusion, "", "it can be emptied");
}

#[test]
fn stretches_that_were_read_join_and_the_diary_is_in_order() {
    let mut session = session();
    for (start, end) in [(700, 900), (100, 300), (900, 1200)] {
        edit(&mut session, Edit::MarkRead { span: span(start, end) });
    }
    for (at, text) in [(5000, "third"), (200, "first"), (4000, "second")] {
        let entry = DiaryEntry { span: span(at, at), kind: DiaryKind::Note, text: text.into() };
        edit(&mut session, Edit::AddDiary { entry });
    }
    let now = session.snapshot();
    assert_eq!(*now.read, [span(100, 300), span(700, 1200)]);
    assert_eq!(now.diary.iter().map(|d| d.text.as_str()).collect::<Vec<_>>(), ["first", "second", "third"]);
}

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

/// Entries are numbered on from the last one, and who and when is taken from the stamp.
#[test]
fn a_session_goes_on_from_the_entries_it_was_opened_with() {
    let (day, found) = small();
    let mut first = opened(&day, found.clone());
    let entries: Vec<Entry> = ["a", "b"]
        .map(|text| {
            let entry = first.entry(Action::Do(conclude(text)), &stamp());
            first.push(&entry);
            entry
        })
        .into();
    assert_eq!(entries.iter().map(|e| e.seq).collect::<Vec<_>>(), [1, 2]);
    let session = Session::new(Arc::new(day.recording), Settings::default(), Arc::new(found), &entries);
    assert_eq!(session.snapshot().conclusion, "b");
    let undo = session.undo_entry(&stamp()).unwrap();
    assert_eq!((undo.seq, undo.action), (3, Action::Undo { seq: 2 }));
    assert_eq!((undo.reader.as_str(), undo.at_utc_ms, undo.utc_offset_min), ("A. Reader", 5, 60));
    assert!(session.redo_entry(&stamp()).is_none());
}

#[test]
fn settings_after_an_action_are_known_before_it_is_written() {
    let mut session = session();
    let after = session.settings_after(Action::Do(set("prematurity_percent", 30.0)));
    assert_eq!((after.prematurity_percent, session.snapshot().settings.prematurity_percent), (30.0, 20.0));
    edit(&mut session, set("prematurity_percent", 25.0));
    assert_eq!(
        session.settings_after(Action::Do(set("prematurity_percent", 51.0))).prematurity_percent,
        25.0
    );
    assert_eq!(session.settings_after(Action::Undo { seq: 1 }).prematurity_percent, 20.0);
}

fn awaited(now: &Snapshot) -> usize {
    let waits = |value: &FigureValue| *value == FigureValue::NotComputable(AWAITED.into());
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

/// Beats that were found anew stand at once.
#[test]
fn beats_found_anew_take_the_place_of_those_before() {
    let mut session = session();
    let found = Arc::new(made("NNNN", &[700]).found());
    let entry = session.entry(Action::Do(set("wide_qrs_ms", 110.0)), &stamp());
    let now = session.push_found(&entry, found.clone());
    assert!(Arc::ptr_eq(&now.found, &found));
    assert_eq!(now.beats.iter().map(|b| b.sample).collect::<Vec<_>>(), [0, 700, 1400, 2100]);
    assert_eq!(now.settings.wide_qrs_ms, 110.0);
    assert_eq!(undo(&mut session).beats.len(), 4, "what was found stays until it is found again");
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
    let shorter_than_asked = edit(&mut session, set("af_min_s", 60.0));
    assert_eq!(blocking(&shorter_than_asked), []);
    assert!(shorter_than_asked.events.iter().all(|e| e.kind != EventKind::AtrialFibrillation));
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

/// Ventricular waves of 6 s, in which 7 found beats lie: what a reader says moves beats, intervals and figures together.
#[test]
fn waves_that_a_reader_drops_leave_the_figures_and_their_beats_come_back() {
    let day = sinus(&[800; 59]);
    let mut session = opened(&day, Found { ventricular_waves: vec![span(10_000, 16_000)], ..day.found() });
    let told = |now: &Snapshot| {
        let number = |key| now.summary.number(key).unwrap();
        (number("beats_total"), number("vf_episodes"), number("vf_s"), number("pauses"))
    };
    let (kind, place) = (EventKind::VentricularFibrillation, span(10_000, 16_000));
    assert_eq!(told(&session.snapshot()), (53.0, 1.0, 6.0, 0.0));
    assert_eq!(told(&edit(&mut session, Edit::DropEvent { kind, span: place })), (60.0, 0.0, 0.0, 0.0));
    assert_eq!(told(&edit(&mut session, Edit::KeepEvent { kind, span: place })), (53.0, 1.0, 6.0, 0.0));
    let other =
        Edit::ChangeEvent { kind, span: place, new_kind: EventKind::VentricularTachycardia, new_span: place };
    let now = edit(&mut session, other);
    assert_eq!(told(&now), (60.0, 0.0, 0.0, 0.0));
    assert_eq!(now.summary.number("vt_runs"), Some(1.0));
    assert_eq!(
        now.events
            .iter()
            .filter(|e| e.span.touches(place) && e.origin == crate::model::Origin::Reader)
            .count(),
        1
    );
    assert_eq!(told(&undo(&mut session)), (53.0, 1.0, 6.0, 0.0));
}
