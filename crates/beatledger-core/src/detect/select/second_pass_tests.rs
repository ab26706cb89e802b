//! The second pass, on candidates of known height and shape.

use super::select;
use crate::detect::envelope::{Candidate, Candidates, LeadMarks};

const RATE_HZ: f64 = 100.0;
const BEAT: [i8; 5] = [-20, 60, 127, -40, 0];
const OTHER: [i8; 5] = [90, -127, -30, 100, 60];
/// Two thirds like a beat (cosine 0.68).
const HALF: [i8; 5] = [-14, 41, 86, -27, 108];

/// Beats every second, alike, and whatever else is put between them.
#[derive(Default)]
struct Made(Vec<(Candidate, LeadMarks, [i8; 5])>);

impl Made {
    fn beats(skip: &[i64]) -> Self {
        let mut made = Self::default();
        (0..24)
            .filter(|k| !skip.contains(k))
            .for_each(|k| made.put(100 * k, 1.0, BEAT, LeadMarks::default()));
        made
    }

    fn put(&mut self, step: i64, height: f32, shape: [i8; 5], marks: LeadMarks) {
        let place = Candidate { step, height, background: 0.07, sharpness: height, clearness: 0.9 };
        self.0.push((place, marks, shape));
    }

    /// Steps of the selected beats.
    fn selected(mut self) -> Vec<i64> {
        self.0.sort_by_key(|c| c.0.step);
        let mut all = Candidates { shape_len: 5, lead_len: 5, ..Candidates::default() };
        for (place, marks, shape) in self.0 {
            all.places.push(place);
            all.marks.push(marks);
            all.shapes.extend(shape);
        }
        select(&all, RATE_HZ, 0.2).beats.iter().map(|i| all.places[*i].step).collect()
    }
}

fn every_second() -> Vec<i64> {
    (0..24).map(|k| 100 * k).collect()
}

#[test]
fn what_one_of_several_leads_shows_alone_is_no_beat() {
    let with = |second_height: f32| {
        let mut made = Made::beats(&[]);
        made.put(1250, 0.95, OTHER, LeadMarks { second_height, level_change: 0.0, is_compared: true });
        made.selected()
    };
    assert_eq!(with(0.02), every_second());
    assert_eq!(with(0.6).len(), 25, "what two leads show is an interpolated beat");
}

#[test]
fn a_step_of_the_electrode_is_no_beat() {
    let with = |level_change: f32| {
        let mut made = Made::beats(&[]);
        made.put(1250, 0.95, OTHER, LeadMarks { second_height: 1.0, level_change, is_compared: false });
        made.selected()
    };
    assert_eq!(with(8.0), every_second());
    assert_eq!(with(1.0).len(), 25);
}

#[test]
fn p_waves_nearly_as_high_as_their_beats_are_no_beats() {
    let mut made = Made::beats(&[]);
    for k in 3..9 {
        made.put(100 * k - 20, 0.75, OTHER, LeadMarks::default());
    }
    assert_eq!(made.selected(), every_second());
}

#[test]
fn a_beat_at_once_after_another_has_to_look_like_one() {
    let with = |shape: [i8; 5]| {
        let mut made = Made::beats(&[]);
        made.put(1223, 0.75, shape, LeadMarks::default());
        made.selected()
    };
    assert_eq!(with(HALF), every_second());
    assert_eq!(with(BEAT).len(), 25, "a run may be as fast");
}

#[test]
fn a_beat_hardly_above_the_noise_is_found_where_one_is_missing() {
    let with = |shape: [i8; 5]| {
        let mut made = Made::beats(&[12]);
        made.put(1203, 0.12, shape, LeadMarks::default());
        made.selected().len()
    };
    assert_eq!(with(BEAT), 24);
    assert_eq!(with(OTHER), 23, "unlike the others it is noise");
}

#[test]
fn of_two_places_too_close_the_one_that_looks_like_a_beat_stays() {
    let mut made = Made::beats(&[12]);
    made.put(1188, 1.0, OTHER, LeadMarks::default());
    made.put(1200, 0.8, BEAT, LeadMarks::default());
    assert_eq!(made.selected(), every_second());
}
