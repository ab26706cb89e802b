//! The lens as a reader meets it: what it shows, and what it asks for.

use super::state::{MM_PT, ZOOMS};
use super::*;
use crate::tests::made::MadeDay;
use crate::tests::view_bench::ViewBench;
use beatledger_core::model::BeatClass;
use egui::Modifiers;

fn bench() -> ViewBench {
    let mut bench = ViewBench::new(MadeDay::minutes(60).snapshot());
    bench.place =
        bench.snapshot.beats.iter().find(|b| b.sample > 100_000 && b.class == BeatClass::V).unwrap().sample;
    bench
}

#[test]
fn paper_keeps_its_aspect_and_a_second_is_25_mm_wide_in_every_zoom() {
    let bench = bench();
    let mut acts = Vec::new();
    let view = ViewContext {
        snapshot: &bench.snapshot,
        selection: &bench.selection,
        place: bench.place,
        theme: &bench.theme,
        acts: &mut acts,
    };
    let mut state = LensState::default();
    for (step, zoom) in ZOOMS.into_iter().enumerate() {
        state.set_zoom(step);
        let paper = state.lay_paper(&view, Rect::from_min_size(pos2(0.0, 0.0), vec2(1000.0, 400.0)), 1.0);
        let second_pt =
            paper.x_from_sample(paper.geom.span.start + 128) - paper.x_from_sample(paper.geom.span.start);
        let mv_pt = paper.y_from_mv(0, 0.0) - paper.y_from_mv(0, 1.0);
        assert!((second_pt - 25.0 * MM_PT * zoom).abs() < 0.01, "{second_pt}");
        assert!((second_pt / mv_pt - 2.5).abs() < 1e-3, "a second is 2.5 times a millivolt on paper");
        assert!(paper.geom.span.contains(view.place));
    }
}

#[test]
fn every_beat_is_a_button_that_says_what_it_is_and_a_click_selects_it() {
    let mut bench = bench();
    let mut state = LensState::default();
    bench.settle(|ui, view| lens(ui, view, &mut state));
    let clock = bench.snapshot.recording.clock(bench.place);
    let name = format!("Beat V at {clock}, RR 547 ms");
    assert!(bench.names.contains(&name), "no '{name}' in {:?}", bench.names);
    assert!(
        bench.names.iter().any(|n| n.contains("25 mm/s · 10 mm/mV") && n.contains("x1")),
        "{:?}",
        bench.names
    );
    let mut acts = Vec::new();
    let view = ViewContext {
        snapshot: &bench.snapshot,
        selection: &bench.selection,
        place: bench.place,
        theme: &bench.theme,
        acts: &mut acts,
    };
    let x = state
        .lay_paper(&view, Rect::from_min_size(pos2(0.0, 0.0), vec2(1000.0, 400.0)), 1.0)
        .x_from_sample(bench.place);
    let at = pos2(x, 200.0);
    let acts = bench.drag(at, at, Modifiers::NONE, |ui, view| lens(ui, view, &mut state));
    let Some(Act::Select { selection, .. }) = acts.first() else { panic!("{acts:?}") };
    assert_eq!(*selection.beats, [bench.place]);
}

#[test]
fn a_drag_with_the_calipers_measures_and_selects_nothing() {
    let mut bench = bench();
    let mut state = LensState { calipers: true, ..LensState::default() };
    bench.settle(|ui, view| lens(ui, view, &mut state));
    let acts = bench
        .drag(pos2(300.0, 200.0), pos2(394.5, 180.0), Modifiers::NONE, |ui, view| lens(ui, view, &mut state));
    assert_eq!(acts, []);
    assert!(state.caliper.is_some());
    state.clear_calipers();
    let acts = bench
        .drag(pos2(300.0, 200.0), pos2(600.0, 200.0), Modifiers::NONE, |ui, view| lens(ui, view, &mut state));
    assert!(
        matches!(acts.first(), Some(Act::Select { selection, .. }) if selection.span.is_some()),
        "{acts:?}"
    );
}
