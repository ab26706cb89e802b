//! How many are selected, as the bar and the figures say it: true at once after an edit, an undo and a find.

use super::by_hand::*;
use super::*;
use crate::app::act::Act;

#[test]
fn the_bar_says_how_many_of_which_class_are_selected_after_every_change() {
    let mut bench = mixed_day().on_the_desk();
    assert!(bench.shows("Nothing selected"));
    bench.select(&[1800, 2600, 3200]);
    assert!(bench.shows("by hand: 3 beats (2 N, 1 V)"));
    bench.key(Key::S).yes();
    assert!(bench.shows("by hand: 3 beats (3 S)"), "after a label");
    bench.ctrl(Key::Z);
    assert!(bench.shows("by hand: 3 beats (2 N, 1 V)"), "after an undo");
    bench.ctrl_shift(Key::Z);
    assert!(bench.shows("by hand: 3 beats (3 S)"), "after making it again");
    bench.edit(beatledger_core::review::Edit::RemoveBeats { beats: vec![2600, 4200] });
    assert!(bench.shows("by hand: 2 beats (2 S)"), "after taking one of them away");
    assert_eq!(bench.selected(), [1800, 3200]);
    bench.act(Act::Find("V".into()));
    assert!(bench.shows("V: 4 beats (4 V)"), "after a find");
    assert_eq!(bench.selected(), [8700, 9200, 9700, 10_200]);
    bench.key(Key::Delete).yes();
    assert!(bench.shows("Nothing selected"), "after taking all of them away");
}

#[test]
fn the_bar_says_how_long_a_span_is_and_how_many_beats_it_holds() {
    let mut bench = mixed_day().on_the_desk();
    bench.select_span(1800, 4200);
    assert!(bench.shows("by hand: span of 2.4 s with 3 beats"));
    bench.edit(beatledger_core::review::Edit::InsertBeat {
        sample: 2200,
        class: beatledger_core::model::BeatClass::V,
    });
    assert_eq!(bench.selected(), [2200], "the inserted beat is selected");
    bench.select_span(1800, 4200);
    assert!(bench.shows("by hand: span of 2.4 s with 4 beats"));
    bench.ctrl(Key::Z);
    assert!(bench.shows("by hand: span of 2.4 s with 3 beats"), "after an undo");
}

const NAME: &str = "Ventricular ectopic beats";

#[test]
fn the_figures_say_how_much_of_them_is_selected_after_every_change() {
    let mut bench = mixed_day().on_the_desk();
    bench.key(Key::Num4);
    assert!(bench.shows(&format!("{NAME}, 5")));
    bench.select(&[3200, 8700, 11_100]);
    assert!(bench.shows(&format!("{NAME}, 5, 2 selected")));
    bench.edit(beatledger_core::review::Edit::Relabel {
        beats: vec![11_100],
        class: beatledger_core::model::BeatClass::V,
    });
    assert!(bench.shows(&format!("{NAME}, 6, 3 selected")), "after an edit");
    bench.ctrl(Key::Z);
    assert!(bench.shows(&format!("{NAME}, 5, 2 selected")), "after an undo");
    bench.act(Act::Find("V rr < 550 ms".into()));
    assert!(bench.shows(&format!("{NAME}, 5, 4 selected")), "after a find");
    bench.key(Key::Escape);
    assert!(bench.shows(&format!("{NAME}, 5")) && !bench.shows(&format!("{NAME}, 5, ")), "after Esc");
}

#[test]
fn a_find_takes_the_place_of_what_was_selected_and_one_without_a_match_leaves_nothing_selected() {
    let mut bench = mixed_day().on_the_desk();
    bench.select_span(1800, 4200).act(Act::Find("S".into()));
    assert_eq!((bench.selected(), bench.desk().selection().span), (vec![5600], None));
    assert_eq!(bench.desk().notice().words, "'S' selects 1 beat");
    assert_eq!(bench.desk().place(), 5600);
    bench.act(Act::Find("F".into()));
    assert!(bench.desk().selection().is_empty(), "no key can act on what is no longer meant");
    assert_eq!(bench.desk().notice().words, "No beat matches 'F'; nothing is selected.");
    assert!(bench.desk().notice().wrong);
    bench.act(Act::Find("pauses".into()));
    assert_eq!(bench.desk().notice().words, "No event matches 'pauses'; nothing is selected.");
    assert!(bench.desk().selection().is_empty());
}
