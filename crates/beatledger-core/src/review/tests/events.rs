//! Edits of events.

use super::*;
use crate::model::EventKind::*;
use crate::model::{Beat, Event, EventState, Origin};
use crate::rhythm::testing::made;

/// Beats at 0, 700, 1150, 2300, 2820, 4100.
fn beats() -> Vec<Beat> {
    made("NNNVVN", &[700, 450, 1150, 520, 1280]).beats
}

fn event(kind: EventKind, start: i64, end: i64) -> Event {
    Event {
        kind,
        span: span(start, end),
        beats: (0, 0),
        rate_bpm: None,
        state: EventState::Unread,
        origin: Origin::Found,
        critical: false,
        note: String::new(),
        certainty: crate::model::Certainty::sure(),
    }
}

fn after(events: &[Event], edits: &[Edit]) -> (Vec<Event>, Vec<Orphan>) {
    apply_events(events.to_vec(), &beats(), &numbered(edits))
}

fn states(events: &[Event]) -> Vec<EventState> {
    events.iter().map(|e| e.state).collect()
}

/// What keep, drop and change of 1500 to 2600 do to a couplet.
fn edits_of(start: i64, end: i64) -> [(Edit, EventState); 3] {
    [
        (keep(VentricularCouplet, start, end), EventState::Kept),
        (drop_event(VentricularCouplet, start, end), EventState::Dropped),
        (change((VentricularCouplet, start, end), (VentricularCouplet, start, end)), EventState::Changed),
    ]
}

/// They share 500, 700 and 100 samples with 1500 to 2600, each at least half of the shorter; the pause shares all.
#[test]
fn of_several_events_the_one_that_shares_most_is_meant() {
    let events = [
        event(VentricularCouplet, 1000, 2000),
        event(Pause, 1500, 2600),
        event(VentricularCouplet, 1900, 2601),
        event(VentricularCouplet, 2500, 2700),
    ];
    for (edit, state) in edits_of(1500, 2600) {
        for turned in [false, true] {
            let mut events = events.to_vec();
            if turned {
                events.reverse();
            }
            let (stand, orphans) = after(&events, std::slice::from_ref(&edit));
            let hit: Vec<_> = stand.iter().filter(|e| e.state != EventState::Unread).collect();
            assert_eq!((hit.len(), hit[0].state, orphans.len()), (1, state, 0), "{}", edit.words());
            let place = if state == EventState::Changed { span(1500, 2600) } else { span(1900, 2601) };
            assert_eq!((hit[0].kind, hit[0].span), (VentricularCouplet, place), "{}", edit.words());
            let others: Vec<_> =
                stand.iter().filter(|e| e.state == EventState::Unread).map(|e| e.span).collect();
            assert_eq!(others, [span(1000, 2000), span(1500, 2600), span(2500, 2700)]);
        }
    }
}

/// The event lasts 1000 samples. Half of the shorter of the two spans must be shared: 500 of a longer edit, 100 of an
/// edit of 200.
#[test]
fn an_edit_that_shares_less_than_half_of_the_shorter_span_has_no_target() {
    let events = [event(VentricularCouplet, 1000, 2000)];
    for (start, end, hits) in [
        (1500, 2700, true),
        (1501, 2701, false),
        (300, 1500, true),
        (300, 1499, false),
        (1900, 2100, true),
        (1901, 2101, false),
        (1500, 1500, false),
    ] {
        for (edit, state) in edits_of(start, end) {
            let (stand, orphans) = after(&events, std::slice::from_ref(&edit));
            let expected = if hits { state } else { EventState::Unread };
            assert_eq!((stand.len(), stand[0].state), (1, expected), "{} {start}..{end}", edit.words());
            assert_eq!(orphans.len(), usize::from(!hits), "{} {start}..{end}", edit.words());
        }
    }
}

#[test]
fn edits_without_a_target_are_kept_with_their_number_and_words_and_touch_nothing() {
    let events = [event(Pause, 1150, 2301), event(VentricularCouplet, 2300, 2821)];
    let edits = [
        drop_event(AtrialFibrillation, 1150, 2301),
        keep(Pause, 1150, 2301),
        keep(VentricularCouplet, 3500, 4000),
        change((VentricularTachycardia, 2300, 2821), (IdioventricularRun, 2300, 2821)),
    ];
    let (stand, orphans) = after(&events, &edits);
    assert_eq!(
        told(&orphans),
        [
            (7, "Atrial fibrillation dropped", 1),
            (15, "Ventricular couplet kept", 1),
            (19, "Ventricular tachycardia changed to Idioventricular run", 1),
        ]
    );
    assert_eq!(states(&stand), [EventState::Kept, EventState::Unread]);
    assert_eq!(stand[1], events[1]);
}

#[test]
fn what_is_said_last_of_an_event_stands_and_its_origin_is_the_program() {
    let events = [event(Pause, 1150, 2301)];
    let (yes, no) = (keep(Pause, 1150, 2301), drop_event(Pause, 1150, 2301));
    for (edits, state) in [
        (vec![yes.clone(), no.clone()], EventState::Dropped),
        (vec![no.clone(), yes.clone()], EventState::Kept),
        (vec![no.clone(), yes, no], EventState::Dropped),
    ] {
        let (stand, orphans) = after(&events, &edits);
        assert_eq!((states(&stand), orphans.len()), (vec![state], 0));
        assert_eq!((stand[0].counts(), stand[0].origin), (state == EventState::Kept, Origin::Found));
    }
}

#[test]
fn a_changed_event_has_its_new_kind_limits_and_beats_and_is_the_readers() {
    let events = [event(Pause, 1150, 2301), event(VentricularCouplet, 2300, 2821)];
    let (stand, _) =
        after(&events, &[change((VentricularCouplet, 2300, 2821), (SupraventricularRun, 700, 2820))]);
    assert_eq!((stand[0].kind, stand[0].span), (SupraventricularRun, span(700, 2820)));
    assert_eq!(stand[0].beats, (1, 4), "700, 1150 and 2300; 2820 is outside");
    assert_eq!((stand[0].state, stand[0].origin), (EventState::Changed, Origin::Reader));
    assert_eq!(stand[1], events[0], "it stands first now, and the other is as it was");
}

#[test]
fn a_second_edit_must_name_the_event_as_it_stands() {
    let events = [event(VentricularCouplet, 2300, 2821)];
    let to_run = change((VentricularCouplet, 2300, 2821), (SupraventricularRun, 100, 1200));
    let (stand, orphans) = after(&events, &[to_run.clone(), drop_event(SupraventricularRun, 100, 1200)]);
    assert_eq!((stand[0].state, stand[0].origin), (EventState::Dropped, Origin::Reader));
    assert!(orphans.is_empty());
    let (stand, orphans) = after(&events, &[to_run, drop_event(VentricularCouplet, 2300, 2821)]);
    assert_eq!(stand[0].state, EventState::Changed);
    assert_eq!(told(&orphans), [(11, "Ventricular couplet dropped", 1)]);
}

#[test]
fn an_added_event_is_the_readers_knows_its_beats_and_can_be_dropped_again() {
    let events = [event(Pause, 1150, 2301)];
    let add = Edit::AddEvent { kind: AtrialFlutter, span: span(700, 2301) };
    let (stand, orphans) = after(&events, std::slice::from_ref(&add));
    let added = &stand[0];
    assert_eq!((added.kind, added.span, added.beats), (AtrialFlutter, span(700, 2301), (1, 4)));
    assert_eq!((added.state, added.origin, added.critical), (EventState::Changed, Origin::Reader, false));
    assert_eq!((stand.len(), orphans.len()), (2, 0));
    let (stand, orphans) = after(&events, &[add.clone(), drop_event(AtrialFlutter, 800, 2301)]);
    assert_eq!((states(&stand), orphans.len()), (vec![EventState::Dropped, EventState::Unread], 0));
    let (stand, orphans) = after(&events, &[drop_event(AtrialFlutter, 800, 2301), add]);
    assert_eq!((states(&stand), orphans.len()), (vec![EventState::Changed, EventState::Unread], 1));
}

#[test]
fn events_stand_by_their_start_and_of_one_start_by_their_kind() {
    let add = |kind, start| Edit::AddEvent { kind, span: span(start, start + 400) };
    let events = [event(Pause, 1150, 2301), event(LongestRr, 1150, 2301)];
    let edits = [add(Unreadable, 3000), add(VentricularTachycardia, 1150), add(AtrialFlutter, 200)];
    let (stand, _) = after(&events, &edits);
    assert_eq!(
        stand.iter().map(|e| (e.kind, e.span.start)).collect::<Vec<_>>(),
        [
            (AtrialFlutter, 200),
            (VentricularTachycardia, 1150),
            (Pause, 1150),
            (LongestRr, 1150),
            (Unreadable, 3000)
        ]
    );
}
