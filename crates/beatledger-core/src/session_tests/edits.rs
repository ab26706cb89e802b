//! Edits of every kind, undo and redo, edits without a target, the conclusion, and going on from a ledger.

use super::*;
use crate::model::FigureId;
use crate::review::Entry;
use crate::rhythm::testing::sinus;

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
        if matches!(one, Edit::MarkRead { .. }) {
            assert!(session.undo_entry(&stamp()).is_none(), "a look is not taken back");
            continue;
        }
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
    assert_eq!(undo(&mut session).conclusion, "Sinus rhythm.", "a look is not taken back");
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

/// Ventricular waves of 6 s, in which 7 found beats lie: what a reader says moves beats, intervals and figures together.
#[test]
fn waves_that_a_reader_drops_leave_the_figures_and_their_beats_come_back() {
    let day = sinus(&[800; 59]);
    let mut session = opened(&day, Found { ventricular_waves: vec![span(10_000, 16_000)], ..day.found() });
    let told = |now: &Snapshot| {
        let number = |key| now.summary.number(key).unwrap();
        (
            number(FigureId::BeatsTotal),
            number(FigureId::VfEpisodes),
            number(FigureId::VfS),
            number(FigureId::Pauses),
        )
    };
    let (kind, place) = (EventKind::VentricularFibrillation, span(10_000, 16_000));
    assert_eq!(told(&session.snapshot()), (53.0, 1.0, 6.0, 0.0));
    assert_eq!(told(&edit(&mut session, Edit::DropEvent { kind, span: place })), (60.0, 0.0, 0.0, 0.0));
    assert_eq!(told(&edit(&mut session, Edit::KeepEvent { kind, span: place })), (53.0, 1.0, 6.0, 0.0));
    let other =
        Edit::ChangeEvent { kind, span: place, new_kind: EventKind::VentricularTachycardia, new_span: place };
    let now = edit(&mut session, other);
    assert_eq!(told(&now), (60.0, 0.0, 0.0, 0.0));
    assert_eq!(now.summary.number(FigureId::VtRuns), Some(1.0));
    assert_eq!(
        now.events
            .iter()
            .filter(|e| e.span.touches(place) && e.origin == crate::model::Origin::Reader)
            .count(),
        1
    );
    assert_eq!(told(&undo(&mut session)), (53.0, 1.0, 6.0, 0.0));
}
