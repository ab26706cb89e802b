//! The event list: what it shows, how it is walked, and what is said about the chosen event.

use beatledger_core::model::{EventKind, EventState, Span};
use beatledger_core::review::Edit;

use super::by_hand::*;
use super::*;
use crate::app::act::Act;
use crate::lists::event_filter::EventFilter;

/// Two pauses of 2.5 s, a pause of 3.5 s, and a run of four V.
fn eventful_day() -> Day {
    let rr = [800, 2500, 800, 800, 3500, 800, 500, 500, 500, 500, 900, 2500, 800];
    day("NNNNNNNVVVVNNN", &rr)
}

const PAUSE: EventKind = EventKind::Pause;
const RUN: EventKind = EventKind::VentricularTachycardia;

/// Kind and start of the chosen event.
fn chosen(bench: &Bench) -> Option<(EventKind, i64)> {
    bench.desk().selection().event.map(|(kind, span)| (kind, span.start))
}

/// What the list shows.
fn shown(bench: &mut Bench) -> Vec<(EventKind, i64)> {
    let snapshot = bench.desk().snapshot().unwrap();
    let list = bench.harness.state_mut().shown.events.shown(&snapshot);
    list.iter().map(|i| &snapshot.events[*i as usize]).map(|e| (e.kind, e.span.start)).collect()
}

#[test]
fn the_list_is_narrowed_by_kind_and_by_what_nobody_spoke_about() {
    let mut bench = eventful_day().on_the_desk();
    let all = shown(&mut bench);
    assert!(all.windows(2).all(|w| w[0].1 <= w[1].1), "in order of time: {all:?}");
    bench.act(Act::Filter(EventFilter::Kind(PAUSE)));
    let pauses = [(PAUSE, 1800), (PAUSE, 5900), (PAUSE, 13_100)];
    assert_eq!(shown(&mut bench), pauses);
    assert!(bench.shows(&format!("events: Pause only, {} hidden", all.len() - 3)));
    bench.edit(Edit::KeepEvent { kind: PAUSE, span: Span::new(5900, 9401) });
    assert_eq!(shown(&mut bench), pauses, "what was kept is a pause still");
    bench.act(Act::Filter(EventFilter::Unread));
    assert_eq!(shown(&mut bench).len(), all.len() - 1);
    assert!(!shown(&mut bench).contains(&(PAUSE, 5900)));
    bench.ctrl(Key::Z);
    assert!(shown(&mut bench).contains(&(PAUSE, 5900)), "after an undo");
    bench.act(Act::Filter(EventFilter::All));
    assert_eq!(shown(&mut bench), all);
}

#[test]
fn events_are_walked_in_order_of_time_and_the_ends_say_so() {
    let mut bench = eventful_day().on_the_desk();
    bench.act(Act::Filter(EventFilter::Kind(PAUSE)));
    for start in [1800, 5900, 13_100] {
        bench.key(Key::E);
        assert_eq!((chosen(&bench), bench.desk().place()), (Some((PAUSE, start)), start));
    }
    bench.key(Key::E);
    assert_eq!(bench.desk().notice().words, "That is the last event of the list.");
    for start in [5900, 1800] {
        bench.keys(Modifiers::SHIFT, Key::E);
        assert_eq!(chosen(&bench), Some((PAUSE, start)));
    }
    bench.keys(Modifiers::SHIFT, Key::E);
    assert_eq!(bench.desk().notice().words, "That is the first event of the list.");
    // Without a chosen event the walk starts at the place.
    for (place, modifiers, start) in [
        (5900, Modifiers::NONE, 5900),
        (5901, Modifiers::NONE, 13_100),
        (5900, Modifiers::SHIFT, 1800),
        (5901, Modifiers::SHIFT, 5900),
    ] {
        bench.key(Key::Escape).act(Act::GoTo(place)).keys(modifiers, Key::E);
        assert_eq!(chosen(&bench), Some((PAUSE, start)), "from {place}");
    }
}

#[test]
fn a_find_line_of_events_selects_their_beats_and_leaves_the_list_as_it_was() {
    let mut bench = eventful_day().on_the_desk();
    let all = shown(&mut bench);
    bench.act(Act::Find("pauses".into()));
    assert_eq!(shown(&mut bench), all, "a filter is set and cleared on purpose");
    assert_eq!(bench.selected(), [1800, 4300, 5900, 9400, 13_100, 15_600]);
    assert_eq!(chosen(&bench), None, "several events are no chosen one");
    assert_eq!(bench.desk().notice().words, "'pauses' selects 3 events");
    bench.act(Act::Find("critical pauses".into()));
    assert_eq!((shown(&mut bench), chosen(&bench)), (all, Some((PAUSE, 5900))));
    assert_eq!(bench.selected(), [5900, 9400]);
    assert_eq!(bench.desk().notice().words, "'critical pauses' selects 1 event");
}

#[test]
fn keep_drop_and_change_say_so_of_the_chosen_event_alone() {
    let mut bench = eventful_day().on_the_desk();
    let state = |bench: &Bench, kind: EventKind, start: i64| {
        let day = bench.desk().snapshot().unwrap();
        day.events.iter().find(|e| e.kind == kind && e.span.start == start).map(|e| e.state)
    };
    bench.act(Act::Filter(EventFilter::Kind(PAUSE))).key(Key::E).key(Key::E).key(Key::K);
    let others = |bench: &Bench| {
        let day = bench.desk().snapshot().unwrap();
        day.events.iter().filter(|e| e.state == EventState::Unread).count()
    };
    let unread = others(&bench);
    assert_eq!(state(&bench, PAUSE, 5900), Some(EventState::Kept));
    bench.key(Key::D);
    assert_eq!((state(&bench, PAUSE, 5900), others(&bench)), (Some(EventState::Dropped), unread));
    bench.act(Act::Find("runs".into())).key(Key::C).click("Idioventricular run");
    assert_eq!(state(&bench, RUN, 10_700), None);
    assert_eq!(state(&bench, EventKind::IdioventricularRun, 10_700), Some(EventState::Changed));
    assert_eq!(chosen(&bench), Some((EventKind::IdioventricularRun, 10_700)), "it stays chosen");
    bench.key(Key::D);
    assert_eq!(state(&bench, EventKind::IdioventricularRun, 10_700), Some(EventState::Dropped));
}

#[test]
fn without_a_chosen_event_nothing_is_kept_and_the_line_says_how_to_choose_one() {
    let mut bench = eventful_day().on_the_desk();
    for key in [Key::K, Key::D, Key::C] {
        bench.key(key);
        assert_eq!(
            bench.desk().notice().words,
            "No event is chosen. Choose one in the event list, or press E."
        );
        assert!(bench.desk().open.day.as_ref().unwrap().entries.is_empty() && bench.desk().sheet().is_none());
    }
    for key in [Key::U, Key::A] {
        bench.key(key);
        let words = "No span is selected. Drag over the tracing, or choose an event, first.";
        assert_eq!(bench.desk().notice().words, words);
    }
    bench.key(Key::V);
    assert!(bench.desk().notice().words.starts_with("No beat is selected."));
    assert!(bench.desk().open.day.as_ref().unwrap().entries.is_empty());
}
