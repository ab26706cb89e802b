//! Open items: which there are, in which order, which beats each holds, and how they are walked.

use beatledger_core::model::{BeatClass, EventKind, Span};
use beatledger_core::review::{Edit, Entry};

use super::by_hand::*;
use super::*;
use crate::app::act::Act;
use crate::app::derived::Derived;
use crate::lists::open_items::{ItemKey, open_items};
use crate::sheets::sheet::Sheet;

/// Words, reason and beats of every open item but the places that a review must have seen.
fn items(day: &Day, entries: &[Entry]) -> Vec<(String, &'static str, Vec<i64>)> {
    let list = open_items(&day.snapshot(entries));
    let list = list.into_iter().filter(|i| i.key != ItemKey::ForReview);
    list.map(|i| (i.words, i.why, i.beats.to_vec())).collect()
}

/// The whole day was on the screen.
fn seen() -> Edit {
    Edit::MarkRead { span: Span::new(0, 14_500) }
}

const RUN: [i64; 4] = [8700, 9200, 9700, 10_200];
const NOT_AGREED: &str = "labels not agreed yet";

#[test]
fn what_must_be_read_comes_first_then_v_then_s_then_uncertain_n() {
    let day = mixed_day().sure(4, 0.59).sure(5, 0.6);
    assert_eq!(
        items(&day, &[]),
        [
            ("Ventricular tachycardia 21:30:08".into(), "must be read before signing", RUN.to_vec()),
            ("Group 2: 5 beats V".into(), NOT_AGREED, vec![3200, 8700, 9200, 9700, 10_200]),
            ("Small groups: 1 beat S".into(), NOT_AGREED, vec![5600]),
            ("Uncertain: 1 beat N".into(), "confidence below 0.60", vec![4200]),
        ]
    );
}

#[test]
fn what_a_review_must_have_seen_is_one_item_that_goes_from_place_to_place() {
    let item = |entries: &[Entry]| {
        let list = open_items(&mixed_day().snapshot(entries));
        list.iter().position(|i| i.key == ItemKey::ForReview).map(|at| (at, list[at].words.clone()))
    };
    // The run that must be read and the longest interval; after the run itself, before beats.
    assert_eq!(item(&[]), Some((1, "For a review: 2 places not seen".into())));
    let seen = entry(1, Edit::MarkRead { span: Span::new(3000, 4300) });
    assert_eq!(item(&[seen]), Some((1, "For a review: 1 place not seen".into())));
    assert_eq!(item(&[entry(1, Edit::MarkRead { span: Span::new(0, 14_500) })]), None);
}

#[test]
fn three_beats_are_a_group_and_two_are_a_small_one() {
    let day = day("NNVNNVNNVNNSNNSNNQN", &[800]);
    let words: Vec<String> = items(&day, &[]).into_iter().map(|i| i.0).collect();
    let pattern = "Ventricular trigeminy: 1 not seen";
    assert_eq!(words, [pattern, "Group 2: 3 beats V", "Small groups: 2 beats S", "Small groups: 1 beat Q"]);
}

#[test]
fn a_run_of_s_need_not_be_read_and_comes_after_what_must() {
    // A pause of 3.5 s before the run of three S, a run of V after it.
    let rr = [800, 800, 3500, 800, 500, 500, 500, 900, 800, 500, 500, 500, 500, 900, 800];
    let day = day("NNNNNSSSNNVVVVNN", &rr);
    let list = items(&day, &[]);
    let words: Vec<(&str, &str)> = list.iter().map(|i| (&*i.0, i.1)).collect();
    assert_eq!(
        words[..3],
        [
            ("Ventricular tachycardia 21:30:10", "must be read before signing"),
            ("Pause 21:30:02", "must be read before signing"),
            ("Supraventricular run 21:30:07", "unread run"),
        ]
    );
    assert_eq!(list[1].2, [2600, 6100]);
    assert_eq!(list[2].2, [7400, 7900, 8400]);
}

#[test]
fn what_a_reader_spoke_about_is_open_no_more() {
    let (kind, span) = (EventKind::VentricularTachycardia, Span::new(8700, 10_201));
    let entries = [
        entry(1, Edit::DropEvent { kind, span }),
        entry(2, Edit::Relabel { beats: vec![8700, 9200], class: BeatClass::V }),
        entry(3, Edit::Relabel { beats: vec![5600], class: BeatClass::S }),
    ];
    let left = items(&mixed_day(), &entries);
    assert_eq!(left, [("Group 2: 3 beats V".to_owned(), NOT_AGREED, vec![3200, 9700, 10_200])]);
}

#[test]
fn an_edit_without_a_target_is_an_item_that_opens_the_ledger() {
    let mut bench = day("NNNN", &[800]).on_the_desk();
    bench.edit(seen()).edit(Edit::Relabel { beats: vec![1801], class: BeatClass::V }).key(Key::O);
    assert_eq!(bench.desk().pointed.item, Some((ItemKey::Orphans, 0)));
    assert_eq!(bench.desk().sheet(), Some(Sheet::History));
    let item = &bench.desk().open.day.as_ref().unwrap().derived.items[0];
    assert_eq!((&*item.words, item.agree()), ("1 edit without a target", None));
}

#[test]
fn agreeing_keeps_the_class_of_exactly_the_beats_of_the_item() {
    let list = open_items(&mixed_day().snapshot(&[entry(1, seen())]));
    assert_eq!(list[0].agree(), None, "an event is kept or dropped");
    let beats = vec![3200, 8700, 9200, 9700, 10_200];
    assert_eq!(list[1].agree(), Some(Edit::Relabel { beats, class: BeatClass::V }));
    assert_eq!(list[2].agree(), Some(Edit::Relabel { beats: vec![5600], class: BeatClass::S }));
}

#[test]
fn items_are_walked_round_and_a_settled_one_gives_its_place_to_the_next() {
    let mut bench = mixed_day().on_the_desk();
    bench.edit(seen());
    let at = |bench: &Bench| bench.desk().pointed.item.unwrap().1;
    for (modifiers, item, first) in [
        (Modifiers::NONE, 0, 8700),
        (Modifiers::NONE, 1, 3200),
        (Modifiers::NONE, 2, 5600),
        (Modifiers::NONE, 0, 8700),
        (Modifiers::SHIFT, 2, 5600),
        (Modifiers::SHIFT, 1, 3200),
    ] {
        bench.keys(modifiers, Key::O);
        assert_eq!((at(&bench), bench.selected()[0], bench.desk().place()), (item, first, first));
    }
    // The group of V is agreed with: the S item takes its place.
    bench.key(Key::Y).key(Key::O);
    assert_eq!((at(&bench), bench.selected()), (1, vec![5600]));
    bench.key(Key::Y).keys(Modifiers::SHIFT, Key::O);
    assert_eq!((at(&bench), bench.selected()), (0, RUN.to_vec()));
    bench.key(Key::K).key(Key::O);
    let words = |bench: &Bench| bench.desk().notice().words.clone();
    assert!(words(&bench).starts_with("Nothing is open."), "{}", words(&bench));
}

#[test]
fn what_follows_from_the_day_is_counted_by_hand() {
    let entries = [
        entry(1, Edit::Relabel { beats: vec![1800, 3200], class: BeatClass::F }),
        entry(2, Edit::MarkNoise { span: Span::new(11_600, 14_500) }),
        entry(3, Edit::MarkRead { span: Span::new(0, 2900) }),
    ];
    let snapshot = mixed_day().snapshot(&entries);
    let derived = Derived::of(&snapshot);
    // N S V F Q; three N lie in the unreadable time, a fifth of the recording.
    assert_eq!(derived.class_counts, [8, 1, 4, 2, 0]);
    assert_eq!((derived.changed_beats, derived.read_percent, derived.readable_percent), (2, 20.0, 80.0));
    let rr: Vec<f32> = derived.rr_ms.iter().copied().skip(1).take(4).collect();
    assert_eq!(rr, [800.0, 800.0, 600.0, 1000.0]);
    assert!(derived.rr_ms[0].is_nan());
    let kept =
        entry(4, Edit::KeepEvent { kind: EventKind::VentricularTachycardia, span: Span::new(8700, 10_201) });
    let after = Derived::of(&mixed_day().snapshot(&[&entries[..], &[kept]].concat()));
    assert_eq!(after.unread_events, derived.unread_events - 1);
}

#[test]
fn the_mix_of_many_selected_beats_is_that_of_a_few_at_a_time() {
    let snapshot = mixed_day().snapshot(&[]);
    let few: Vec<i64> = vec![999, 1000, 3200, 5600, 5601, 13_500];
    assert_eq!(crate::app::lookup::class_mix(&snapshot, &few), "2 N, 1 S, 1 V");
    // More than 64 places, most of which are no beats.
    let many: Vec<i64> = (0..145).map(|i| i * 100).collect();
    assert_eq!(crate::app::lookup::class_mix(&snapshot, &many), "12 N, 1 S, 5 V");
}

#[test]
fn an_open_item_is_chosen_by_its_place_in_the_list() {
    let mut bench = mixed_day().on_the_desk();
    bench.edit(seen());
    bench.act(Act::Item(2));
    assert_eq!((bench.selected(), bench.desk().selection().event), (vec![5600], None));
    bench.act(Act::Item(9));
    assert_eq!(bench.selected(), [5600], "there is no such item");
}
