//! Marks of unreadable and readable stretches. The recording lasts 6000 samples, in three segments: 300 to 2000,
//! 2600 to 4800 and 5000 to 6000. The program found 1000 to 1500 unreadable.

use super::*;
use crate::model::{Found, Quality, Recording};
use crate::rhythm::testing::{Made, made};

fn day() -> Made {
    let mut day = made("NNNNNN", &[1000]);
    day.recording.samples = 6000;
    day.recording.segments = vec![span(300, 2000), span(2600, 4800), span(5000, 6000)];
    day
}

fn found(day: &Made) -> Found {
    Found { quality: Quality { unreadable: vec![span(1000, 1500)], ..Quality::default() }, ..day.found() }
}

fn in_force_of(recording: &Recording, edits: &[Edit]) -> Vec<(i64, i64)> {
    unreadable_in_force(recording, &found(&day()), &numbered(edits))
        .iter()
        .map(|s| (s.start, s.end))
        .collect()
}

fn in_force(edits: &[Edit]) -> Vec<(i64, i64)> {
    in_force_of(&day().recording, edits)
}

fn noise(start: i64, end: i64) -> Edit {
    Edit::MarkNoise { span: span(start, end) }
}

fn readable(start: i64, end: i64) -> Edit {
    Edit::UnmarkNoise { span: span(start, end) }
}

#[test]
fn what_was_found_and_every_gap_is_unreadable() {
    assert_eq!(in_force(&[]), [(0, 300), (1000, 1500), (2000, 2600), (4800, 5000)]);
    let mut cut_short = day().recording;
    cut_short.samples = 6400;
    assert_eq!(in_force_of(&cut_short, &[readable(6100, 6400)])[3..], [(4800, 5000), (6000, 6400)]);
}

#[test]
fn gaps_stay_unreadable_whatever_is_marked_readable() {
    assert_eq!(in_force(&[readable(0, 6000)]), [(0, 300), (2000, 2600), (4800, 5000)]);
    assert_eq!(
        in_force(&[readable(2100, 2200), readable(4000, 5500), readable(-10, 5)]),
        [(0, 300), (1000, 1500), (2000, 2600), (4800, 5000)]
    );
}

#[test]
fn a_part_of_what_was_found_can_be_marked_readable() {
    assert_eq!(
        in_force(&[readable(1200, 1350)]),
        [(0, 300), (1000, 1200), (1350, 1500), (2000, 2600), (4800, 5000)]
    );
}

#[test]
fn of_marks_over_each_other_the_later_one_stands() {
    let whole = in_force(&[readable(3100, 3250), noise(3000, 3400)]);
    assert_eq!(whole, [(0, 300), (1000, 1500), (2000, 2600), (3000, 3400), (4800, 5000)]);
    let cut = in_force(&[noise(3000, 3400), readable(3100, 3250)]);
    assert_eq!(cut[3..], [(3000, 3100), (3250, 3400), (4800, 5000)]);
}

#[test]
fn marks_join_what_they_touch_and_end_with_the_recording() {
    assert_eq!(
        in_force(&[noise(1900, 2000), noise(5400, 9000), noise(-700, 310)]),
        [(0, 310), (1000, 1500), (1900, 2600), (4800, 5000), (5400, 6000)]
    );
    let mut without_gaps = day().recording;
    without_gaps.segments = vec![without_gaps.whole()];
    assert_eq!(in_force_of(&without_gaps, &[readable(0, 6000)]), []);
}

/// Beats were found at 0, 1000 and so on to 5000; those at 0 and 2000 lie in gaps, the one at 1000 in noise.
#[test]
fn beats_come_back_where_noise_is_marked_readable_and_never_in_a_gap() {
    let day = day();
    let found = found(&day);
    let beats = |edits: &[Edit]| {
        let edits = numbered(edits);
        let unreadable = unreadable_in_force(&day.recording, &found, &edits);
        let (beats, orphans) = apply_beats(&day.recording, &found, &unreadable, &edits);
        (beats.iter().map(|b| b.sample).collect::<Vec<_>>(), orphans)
    };
    assert_eq!(beats(&[]).0, [3000, 4000, 5000]);
    assert_eq!(beats(&[readable(0, 6000)]).0, [1000, 3000, 4000, 5000]);
    assert_eq!(beats(&[noise(3900, 4001)]).0, [3000, 5000]);
    let (stand, orphans) = beats(&[relabel(&[2000, 3000], BeatClass::V)]);
    assert_eq!(stand, [3000, 4000, 5000]);
    assert_eq!(told(&orphans), [(7, "2 beats labelled V", 1)], "the beat at 2000 lies in a gap");
}
