//! The day band as a reader meets it: what it shows, and what it asks for.

use super::input::what_is_at;
use super::*;
use crate::app::act::Act;
use crate::tests::made::MadeDay;
use crate::tests::view_bench::ViewBench;
use egui::Modifiers;

#[test]
fn a_click_moves_the_place_to_that_time_of_day() {
    let mut bench = ViewBench::new(MadeDay::minutes(60).snapshot());
    let mut state = BandState::default();
    let mut draw = |ui: &mut Ui, view: &mut ViewContext<'_>| day_band(ui, view, &mut state);
    bench.settle(&mut draw);
    let at = pos2(500.0, 30.0);
    let acts = bench.drag(at, at, Modifiers::NONE, &mut draw);
    let samples = bench.snapshot.recording.samples as f64;
    let Some(Act::GoTo(place)) = acts.last() else { panic!("{acts:?}") };
    assert!((*place as f64 / samples - 0.46).abs() < 0.04, "{place}");
}

#[test]
fn the_band_rests_says_what_it_is_and_names_what_lies_under_the_pointer() {
    let mut bench = ViewBench::new(MadeDay::minutes(60).snapshot());
    let mut state = BandState { frame: Some(Span::new(1000, 90_000)), ..BandState::default() };
    bench.settle(|ui, view| day_band(ui, view, &mut state));
    assert!(
        bench.names.iter().any(|n| n.starts_with("Day band, 1.0 hours from 21:30:00")),
        "{:?}",
        bench.names
    );
    assert!(bench.count(bench.theme.hatch) > 200, "unreadable time shows");
    assert!(bench.count(bench.theme.class(BeatClass::V)) > 200, "V beats show in their colour");
    assert!(bench.vertices < 6000, "{}", bench.vertices);
    let samples = bench.snapshot.recording.samples;
    let day = BandPlot { samples, plot: Rect::from_min_size(pos2(0.0, 0.0), vec2(800.0, 100.0)) };
    let words = what_is_at(&bench.snapshot, &day, 110.0);
    assert!(words.contains("Atrial fibrillation, unread"), "{words}");
    assert!(what_is_at(&bench.snapshot, &day, 410.0).contains("unreadable"));
    assert!(what_is_at(&bench.snapshot, &day, 200.0).contains("Diary: dizzy"));
}
