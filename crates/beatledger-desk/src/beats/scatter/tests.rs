//! The RR scatter as a reader meets it: what it shows, and what it asks for.

use super::*;
use crate::tests::made::MadeDay;
use crate::tests::view_bench::ViewBench;
use egui::Modifiers;

#[test]
fn a_rectangle_around_early_beats_selects_them() {
    let mut bench = ViewBench::new(MadeDay::minutes(60).snapshot());
    let mut state = ScatterState::default();
    bench.settle(|ui, view| rr_scatter(ui, view, &mut state));
    let points = Points::of(&bench.snapshot);
    let plot_rect = Rect::from_min_size(pos2(46.0, 24.0), vec2(440.0, 440.0));
    let plot = Plot { rect: plot_rect, range_ms: points.range_ms };
    let early = points.list.iter().find(|p| p.class == BeatClass::V).unwrap();
    let middle = plot.pos(early.before_ms, early.after_ms);
    let acts =
        bench.drag(middle - vec2(30.0, 30.0), middle + vec2(30.0, 30.0), Modifiers::NONE, |ui, view| {
            rr_scatter(ui, view, &mut state);
        });
    let Some(Act::Select { selection, go: true }) = acts.first() else { panic!("{acts:?}") };
    let v: Vec<i64> = points.list.iter().filter(|p| p.class == BeatClass::V).map(|p| p.sample).collect();
    assert!(v.iter().filter(|s| selection.contains(**s)).count() * 10 > v.len() * 9, "{}", selection.words);
    assert!(selection.beats.len() < points.list.len() / 2);
}

#[test]
fn no_point_spans_unreadable_time_and_the_view_says_how_many_beats_have_none() {
    let day = MadeDay::minutes(60).snapshot();
    let points = Points::of(&day);
    let hole = day.unreadable[0];
    let rate = day.recording.rate;
    for p in &points.list {
        let after = p.sample + rate.samples_from_ms(f64::from(p.after_ms));
        assert!(!(p.sample < hole.start && after > hole.end));
    }
    assert_eq!(points.without, day.beats.len() - points.list.len());
    assert!(points.notes().iter().any(|n| n.contains("unreadable")));
    let mut bench = ViewBench::new(day);
    let mut state = ScatterState { tool: Tool::Lasso, ..ScatterState::default() };
    bench.settle(|ui, view| rr_scatter(ui, view, &mut state));
    assert!(bench.names.iter().any(|n| n.starts_with("Select V, squares, ")), "{:?}", bench.names);
    assert!(bench.names.iter().any(|n| n.starts_with("RR scatter, ")));
}
