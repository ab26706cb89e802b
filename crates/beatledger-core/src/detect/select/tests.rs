//! Which candidates are beats, on candidates of known height, sharpness and shape.

use super::select;
use crate::detect::envelope::{Candidate, Candidates, LeadMarks};

const RATE_HZ: f64 = 100.0;
const BEAT: [i8; 5] = [-20, 60, 127, -40, 0];
const OTHER: [i8; 5] = [90, -127, -30, 100, 60];

/// A candidate among beats that come every second, alike and of height 1.
#[derive(Clone, Copy)]
struct Odd {
    step: i64,
    height: f32,
    sharpness: f32,
    clearness: f32,
    shape: [i8; 5],
    marks: LeadMarks,
}

impl Odd {
    fn new(step: i64, height: f32, shape: [i8; 5]) -> Self {
        Self { step, height, sharpness: height, clearness: 0.9, shape, marks: LeadMarks::default() }
    }
}

/// Steps of the beats found among 24 of them and the odd ones, without those at `skip`.
fn found(skip: &[i64], odd: &[Odd]) -> Vec<i64> {
    let usual = (0..24).filter(|k| !skip.contains(k)).map(|k| Odd::new(100 * k, 1.0, BEAT));
    let mut all: Vec<Odd> = usual.chain(odd.iter().copied()).collect();
    all.sort_by_key(|o| o.step);
    let mut candidates = Candidates { shape_len: 5, lead_len: 5, ..Candidates::default() };
    for Odd { step, height, sharpness, clearness, shape, marks } in all {
        candidates.places.push(Candidate { step, height, background: 0.07, sharpness, clearness });
        candidates.marks.push(marks);
        candidates.shapes.extend(shape);
    }
    select(&candidates, RATE_HZ, 0.2).beats.iter().map(|i| candidates.places[*i].step).collect()
}

fn every_second() -> Vec<i64> {
    (0..24).map(|k| 100 * k).collect()
}

#[test]
fn a_wide_early_beat_is_found_and_its_tall_t_wave_is_not() {
    let wide = Odd { sharpness: 0.8, ..Odd::new(1245, 0.9, OTHER) };
    let with = |sharpness: f32| found(&[], &[wide, Odd { sharpness, ..Odd::new(1275, 0.6, BEAT) }]);
    let beats = with(0.35);
    assert_eq!(beats.len(), 25);
    assert!(beats.contains(&1245) && !beats.contains(&1275));
    assert!(with(0.6).contains(&1275), "as sharp as a beat it is the next of a run");
}

#[test]
fn a_p_wave_that_looks_like_a_small_beat_is_none() {
    assert_eq!(found(&[], &[Odd::new(1178, 0.35, BEAT)]), every_second());
    assert_eq!(found(&[], &[Odd::new(1150, 0.35, BEAT)]).len(), 25, "half a second before it is a beat");
}

#[test]
fn a_small_blunt_wave_is_no_beat() {
    let with = |sharpness: f32| found(&[], &[Odd { sharpness, ..Odd::new(1250, 0.35, BEAT) }]);
    assert_eq!(with(0.25), every_second());
    assert_eq!(with(0.35).len(), 25);
}

#[test]
fn a_strange_beat_between_two_is_kept_in_calm_tracing_and_dropped_in_noise() {
    let with = |clearness: f32, second_height: f32| {
        let marks = LeadMarks { second_height, level_change: 0.0, is_compared: true };
        found(&[], &[Odd { clearness, marks, ..Odd::new(1250, 0.6, OTHER) }])
    };
    assert_eq!(with(0.9, 0.8).len(), 25);
    assert_eq!(with(0.6, 0.8), every_second());
    assert_eq!(with(0.9, 0.2), every_second(), "other leads hardly show it");
}

#[test]
fn a_large_step_on_one_lead_is_no_beat_even_where_one_is_missing() {
    let with = |second_height: f32| {
        let marks = LeadMarks { second_height, level_change: 9.0, is_compared: true };
        found(&[12], &[Odd { marks, ..Odd::new(1215, 0.95, OTHER) }])
    };
    assert_eq!(with(0.2).len(), 23);
    assert_eq!(with(0.6).len(), 24);
}
