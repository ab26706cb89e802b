//! The day strip as a reader meets it: what it shows, and what it asks for.

use std::sync::Arc;

use super::state::ROW_LENGTHS;
use super::*;
use crate::tests::made::MadeDay;
use crate::tests::view_bench::ViewBench;
use crate::tracing::pyramid::Pyramid;
use beatledger_core::model::{BeatClass, Progress};
use egui::{Modifiers, Pos2};

/// The middle of the row that shows `sample`, as the last frame laid it out.
fn pos_of(bench: &ViewBench, state: &mut StripState, sample: i64) -> Pos2 {
    let mut acts = Vec::new();
    let view = ViewContext {
        snapshot: &bench.snapshot,
        selection: &bench.selection,
        place: bench.place,
        theme: &bench.theme,
        acts: &mut acts,
    };
    // The view fills the window inside egui's outer margin, which is none here.
    let page = state.page(&view, Rect::from_min_size(Pos2::ZERO, bench.size.into()), 1.0, 1.0);
    let row = page.rows.row_of(sample);
    pos2(page.x_from_sample(row, sample), page.row_rect(row).center().y)
}

#[test]
fn a_click_on_a_beat_selects_it_and_shift_adds_another() {
    let mut bench = ViewBench::new(MadeDay::minutes(60).snapshot());
    let mut state = StripState::default();
    bench.settle(|ui, view| day_strip(ui, view, &mut state));
    let near =
        bench.snapshot.beats.iter().position(|b| b.sample > bench.place && b.class == BeatClass::V).unwrap();
    let [v, next] = [bench.snapshot.beats[near].sample, bench.snapshot.beats[near + 1].sample];
    let at = pos_of(&bench, &mut state, v);
    let acts = bench.drag(at, at, Modifiers::NONE, |ui, view| day_strip(ui, view, &mut state));
    let Some(Act::Select { selection, .. }) = acts.first() else { panic!("{acts:?}") };
    assert_eq!(*selection.beats, [v]);
    assert!(selection.words.starts_with("beat V at "), "{}", selection.words);
    assert_eq!(acts.last(), Some(&Act::GoTo(v)));

    bench.selection = selection.clone();
    bench.frame(vec![egui::Event::ModifiersChanged(Modifiers::SHIFT)], |ui, view| {
        day_strip(ui, view, &mut state)
    });
    let at = pos_of(&bench, &mut state, next);
    let acts = bench.drag(at, at, Modifiers::SHIFT, |ui, view| day_strip(ui, view, &mut state));
    let Some(Act::Select { selection, .. }) = acts.first() else { panic!("{acts:?}") };
    assert_eq!(*selection.beats, [v, next]);
}

#[test]
fn a_drag_selects_the_span_and_the_beats_in_it() {
    let mut bench = ViewBench::new(MadeDay::minutes(60).snapshot());
    let mut state = StripState::default();
    bench.settle(|ui, view| day_strip(ui, view, &mut state));
    let start = bench.place - bench.place % (60 * 128) + 5 * 128;
    let (from, to) = (pos_of(&bench, &mut state, start), pos_of(&bench, &mut state, start + 30 * 128));
    let acts = bench.drag(from, to, Modifiers::NONE, |ui, view| day_strip(ui, view, &mut state));
    let Some(Act::Select { selection, .. }) = acts.first() else { panic!("{acts:?}") };
    let span = selection.span.unwrap();
    assert!((span.len() - 30 * 128).abs() < 64, "{span:?}");
    let inside = bench.snapshot.beats.iter().filter(|b| span.contains(b.sample)).count();
    assert_eq!(selection.beats.len(), inside);
}

#[test]
fn the_page_follows_the_place_only_when_it_leaves_the_page() {
    let mut bench = ViewBench::new(MadeDay::minutes(60).snapshot());
    let mut state = StripState::default();
    bench.settle(|ui, view| day_strip(ui, view, &mut state));
    let first = state.visible_span().unwrap();
    bench.place += 128;
    bench.settle(|ui, view| day_strip(ui, view, &mut state));
    assert_eq!(state.visible_span(), Some(first));
    bench.place = first.end + 60 * 128;
    bench.settle(|ui, view| day_strip(ui, view, &mut state));
    assert!(state.visible_span().unwrap().contains(bench.place));
    state.zoom_out();
    bench.settle(|ui, view| day_strip(ui, view, &mut state));
    assert!(state.visible_span().unwrap().contains(bench.place));
}

#[test]
fn it_says_that_the_day_is_being_prepared_until_the_pyramid_is_there() {
    let mut bench = ViewBench::new(MadeDay::minutes(60).snapshot());
    let mut state = StripState::default();
    let waits = |bench: &ViewBench| bench.names.iter().any(|n| n.contains("preparing the whole day"));
    bench.settle(|ui, view| day_strip(ui, view, &mut state));
    assert!(waits(&bench), "{:?}", bench.names);
    let pyramid = Pyramid::build(&bench.snapshot.recording, &bench.snapshot.settings, &Progress::default());
    state.set_pyramid(Arc::new(pyramid.unwrap()));
    state.set_row_seconds(600.0);
    bench.settle(|ui, view| day_strip(ui, view, &mut state));
    assert!(!waits(&bench));
    assert!(
        bench.names.iter().any(|n| n.starts_with("Row 21:40:00, ") && n.contains(" V")),
        "{:?}",
        bench.names
    );
    assert!(bench.names.iter().any(|n| n.contains("1 changed by a reader")));
}

#[test]
fn unreadable_time_is_hatched_at_every_row_length() {
    let mut bench = ViewBench::new(MadeDay::minutes(60).snapshot());
    let hole = bench.snapshot.unreadable[0];
    for (length_s, _) in ROW_LENGTHS {
        let mut state = StripState::default();
        state.set_row_seconds(length_s);
        bench.place = hole.start + 128;
        bench.settle(|ui, view| day_strip(ui, view, &mut state));
        assert!(bench.count(bench.theme.hatch) > 300, "rows of {length_s} s");
    }
    let mut state = StripState::default();
    bench.place = 0;
    bench.settle(|ui, view| day_strip(ui, view, &mut state));
    assert_eq!(bench.count(bench.theme.hatch), 0, "readable time has no hatching");
}
