//! The morphology grid as a reader meets it: what it shows, and what it asks for.

use egui::pos2;

use super::*;
use crate::tests::made::MadeDay;
use crate::tests::view_bench::ViewBench;
use egui::{Event, Modifiers};

#[test]
fn cells_say_group_class_timing_and_count_and_put_ventricular_groups_first() {
    let mut bench = ViewBench::new(MadeDay::minutes(60).snapshot());
    let mut state = GridState::default();
    bench.settle(|ui, view| morphology_grid(ui, view, &mut state));
    assert_eq!(state.index.order, [1, 2, 0], "V, then S, then N");
    let says = |start: &str| bench.names.iter().find(|n| n.starts_with(start)).cloned().unwrap_or_default();
    let ventricular = says("Group 2, V ");
    assert!(ventricular.contains(", Q 1, early, "), "a relabelled member shows: {ventricular}");
    assert!(ventricular.ends_with("1 changed by a reader"), "{ventricular}");
    assert!(says("Group 3, S, early, ").contains(" beats, "));
    assert!(says("Group 1, N, on time, ").contains(" beats, "));
}

#[test]
fn a_click_selects_all_members_and_the_arrows_go_on_to_the_next_cell() {
    let mut bench = ViewBench::new(MadeDay::minutes(60).snapshot());
    let mut state = GridState::default();
    bench.settle(|ui, view| morphology_grid(ui, view, &mut state));
    let at = pos2(100.0, 100.0);
    let acts = bench.drag(at, at, Modifiers::NONE, |ui, view| morphology_grid(ui, view, &mut state));
    let Some(Act::Select { selection, go: true }) = acts.first() else { panic!("{acts:?}") };
    let members = bench.snapshot.beats.iter().filter(|b| b.group == 1).count();
    assert_eq!((selection.beats.len(), selection.words.as_str()), (members, "group 2"));

    bench.selection = selection.clone();
    bench.settle(|ui, view| morphology_grid(ui, view, &mut state));
    let press = Event::Key {
        key: Key::ArrowRight,
        physical_key: None,
        pressed: true,
        repeat: false,
        modifiers: Modifiers::NONE,
    };
    bench.frame(vec![press], |ui, view| morphology_grid(ui, view, &mut state));
    let Some(Act::Select { selection, .. }) = bench.acts.first() else { panic!("{:?}", bench.acts) };
    assert_eq!(selection.words, "group 3");
    bench.settle(|ui, view| morphology_grid(ui, view, &mut state));
    assert_eq!(state.cursor(), Some(2));
}

#[test]
fn selected_beats_are_counted_by_group() {
    let day = MadeDay::minutes(60).snapshot();
    let index = BeatsByGroup::of(&day);
    let some: Vec<i64> = day.beats.iter().filter(|b| b.group == 2).take(3).map(|b| b.sample).collect();
    let counts = index.selected(&day.beats, &[&[1][..], &some[..]].concat());
    assert_eq!(counts, [0, 0, 3]);
}
