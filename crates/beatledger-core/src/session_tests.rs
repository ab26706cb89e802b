//! What a reading session shows after each entry.

mod edits;
mod signing;

use std::sync::Arc;

use crate::model::{BeatClass, DiaryEntry, DiaryKind, EventKind, EventState, Found, Quality, Span};
use crate::review::{Action, Edit, Signature};
use crate::rhythm::testing::{Made, made};
use crate::session::{Session, Snapshot, Stamp};
use crate::settings::Settings;

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
