//! The calipers, dragged over the paper of the lens and read as they are printed there.
//!
//! Paper scale is 25 mm/s and 10 mm/mV (common practice), a millimetre is 96 / 25.4 points: at 100 % a second is 94.488
//! points wide and a millivolt 37.795 points high, at 200 % twice as much.

use egui::{Pos2, Shape, vec2};

use super::by_hand::*;
use super::standing::printed;
use super::*;
use crate::app::act::Act;

const SECOND_PT: f32 = 94.488;
const MILLIVOLT_PT: f32 = 37.795;

/// What the calipers say, when they are on the paper.
fn reading(bench: &Bench) -> Option<String> {
    printed(bench).into_iter().find(|t| t.ends_with(" mV"))
}

/// Drags over the lens with the button of the pointer held.
fn drag(bench: &mut Bench, from: Pos2, to: Pos2) {
    bench.harness.drag_at(from);
    bench.harness.run();
    bench.harness.hover_at(from + (to - from) * 0.5);
    bench.harness.run();
    bench.harness.hover_at(to);
    bench.harness.run();
    bench.harness.drop_at(to);
    bench.rest();
}

/// The middles of the beats that the lens shows, from left to right.
fn beats(bench: &Bench) -> Vec<Pos2> {
    let mut beats: Vec<Pos2> =
        bench.harness.query_all_by_label_contains("Beat ").map(|n| n.rect().center()).collect();
    beats.sort_by(|a, b| a.x.total_cmp(&b.x));
    beats
}

/// The lens over beats 800 ms apart at 100 % or 200 %, with the calipers out.
fn lens(percent: u32) -> Bench {
    let mut bench = day(&"N".repeat(60), &[800]).on_the_desk();
    bench.act(Act::GoTo(20_200));
    if percent == 200 {
        bench.key(Key::Plus);
    }
    let zoom = format!(" · x{}", percent / 100);
    let caption = bench.harness.query_all_by_label_contains("Lens, ").next().unwrap();
    assert!(caption.accesskit_node().label().unwrap().contains(&zoom));
    bench.key(Key::X);
    bench
}

#[test]
fn a_drag_of_known_points_reads_as_the_ms_and_mv_of_paper_scale() {
    for (percent, right, up, reads) in [
        (100, SECOND_PT, MILLIVOLT_PT, "1000 ms · 60 bpm · 1.00 mV"),
        (100, SECOND_PT * 0.4, -MILLIVOLT_PT * 0.5, "400 ms · 150 bpm · -0.50 mV"),
        (100, -SECOND_PT * 2.0, MILLIVOLT_PT * 0.25, "2000 ms · 30 bpm · 0.25 mV"),
        (200, SECOND_PT, MILLIVOLT_PT, "500 ms · 120 bpm · 0.50 mV"),
        (200, SECOND_PT * 2.0, MILLIVOLT_PT * 2.0, "1000 ms · 60 bpm · 1.00 mV"),
    ] {
        let mut bench = lens(percent);
        // Between two beats, where the paper is free.
        let shown = beats(&bench);
        let from = shown[shown.len() / 2] + vec2(20.0, 0.0);
        drag(&mut bench, from, from + vec2(right, -up));
        let said = reading(&bench).unwrap();
        let ms = |text: &str| text.split(' ').next().unwrap().parse::<f64>().unwrap();
        // A place on the paper is one of the samples, 1 ms apart.
        assert!((ms(&said) - ms(reads)).abs() <= 1.0, "{percent} %: '{said}' instead of '{reads}'");
        let rest = |text: &str| text.split_once(" · ").unwrap().1.to_owned();
        assert_eq!(rest(&said), rest(reads), "{percent} %: '{said}' instead of '{reads}'");
        assert!(bench.desk().selection().is_empty(), "it selects nothing");
    }
}

#[test]
fn from_beat_to_beat_the_calipers_read_the_rr_interval_that_stands_above_them() {
    for percent in [100, 200] {
        let mut bench = lens(percent);
        let shown = beats(&bench);
        let middle = shown.len() / 2;
        assert!(printed(&bench).iter().any(|t| t == "800"), "the interval is printed");
        // A press on a beat goes to its button: the drag starts and ends 20 points right of each beat.
        let (from, to) = (shown[middle - 1] + vec2(20.0, 0.0), shown[middle] + vec2(20.0, 0.0));
        drag(&mut bench, from, to);
        let said = reading(&bench).unwrap();
        assert!(
            ["799 ms · 75 bpm · 0.00 mV", "800 ms · 75 bpm · 0.00 mV", "801 ms · 75 bpm · 0.00 mV"]
                .contains(&&*said),
            "{percent} %: {said}"
        );
        let millivolt = MILLIVOLT_PT * percent as f32 / 100.0;
        drag(&mut bench, from, to - vec2(0.0, millivolt));
        assert!(reading(&bench).unwrap().ends_with("75 bpm · 1.00 mV"), "{:?}", reading(&bench));
    }
}

#[test]
fn the_calibration_pulse_measures_one_millivolt() {
    let mut bench = lens(100);
    let left = bench.harness.query_all_by_label_contains("Lens, ").next().unwrap().rect().left();
    let faint = Desk::theme(&bench.harness.ctx).faint;
    let meshes = bench.harness.output().shapes.iter().filter_map(|s| match &s.shape {
        Shape::Mesh(mesh) => Some(mesh),
        _ => None,
    });
    // The pulse stands in the first 10 mm of the paper; it is the only line of this colour there.
    let is_pulse = |v: &&egui::epaint::Vertex| v.color == faint && v.pos.x < left + 37.0;
    let heights: Vec<f32> =
        meshes.flat_map(|m| m.vertices.iter().filter(is_pulse)).map(|v| v.pos.y).collect();
    let top = heights.iter().copied().fold(f32::INFINITY, f32::min);
    // Zero lines of neighbours are more than 14 mm apart: within 12 mm lies the pulse of the first lead alone.
    let bottom = heights.iter().copied().filter(|y| *y < top + 45.0).fold(0.0, f32::max);
    let x = beats(&bench)[4].x + 20.0;
    drag(&mut bench, egui::pos2(x, bottom), egui::pos2(x, top));
    let said = reading(&bench).unwrap();
    let mv: f32 = said.rsplit(' ').nth(1).unwrap().parse().unwrap();
    // Measured over the line itself, which is less than two points wide: 0.05 mV.
    assert!((1.0..=1.06).contains(&mv), "{said}");
}

#[test]
fn esc_takes_the_reading_off_the_paper_and_alt_measures_without_the_calipers() {
    let mut bench = lens(100);
    let from = beats(&bench)[4] + vec2(20.0, 0.0);
    drag(&mut bench, from, from + vec2(SECOND_PT, 0.0));
    assert!(reading(&bench).is_some());
    bench.key(Key::Escape);
    assert_eq!(reading(&bench), None);
    drag(&mut bench, from, from + vec2(SECOND_PT, 0.0));
    assert_eq!(reading(&bench), None, "without them a drag selects");
    let span = bench.desk().selection().span.unwrap();
    assert!((999..=1001).contains(&span.len()), "{span:?}");
}
