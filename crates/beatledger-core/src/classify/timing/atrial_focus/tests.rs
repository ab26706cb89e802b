//! Which stretches hold a second focus, from intervals.

use super::*;

/// Intervals of 160 beats, ms, all conducted the same way, as a stretch.
fn looked_at<T>(rr: impl Fn(usize) -> f32, look: impl Fn(&Stretch<'_>) -> T) -> Option<T> {
    let rr: Vec<f32> = (0..160).map(rr).collect();
    let one = [Cluster { mean: vec![1.0; crate::classify::shapes::calibration::STEPS], count: 160 }];
    Stretch::of(&rr, &[0; 160], &one, 1, 0..160).map(|stretch| look(&stretch))
}

/// Runs of five beats, then a slow one.
fn runs(run: f32, slow: f32) -> impl Fn(usize) -> f32 {
    move |i| if i.is_multiple_of(6) { slow } else { run + (i % 3) as f32 * 4.0 }
}

#[test]
fn slow_intervals_among_runs_come_and_go_at_once_and_those_of_a_breathing_rhythm_do_not() {
    assert_eq!(looked_at(runs(800.0, 1500.0), |s| s.changes_at_once()), Some(true));
    let breathing = |i: usize| 900.0 + 300.0 * (i as f32 * std::f32::consts::TAU / 9.0).sin();
    assert_eq!(looked_at(breathing, |s| s.changes_at_once()), Some(false));
}

#[test]
fn a_first_beat_that_comes_later_than_the_others_belongs_to_its_run() {
    let late_first = |i: usize| match i % 8 {
        0 | 7 => 1500.0,
        1 => 950.0,
        _ => 700.0,
    };
    let inside = looked_at(late_first, |s| (1..7).all(|i| s.is_run(i)) && !s.is_run(7));
    assert_eq!(inside, Some(true));
}

#[test]
fn the_sinus_interval_is_that_between_slow_beats_and_not_the_pause_after_a_run() {
    let overdriven = |i: usize| match i % 8 {
        0 => 2600.0,
        1 | 2 => 1200.0,
        _ => 600.0,
    };
    assert_eq!(looked_at(overdriven, |s| s.sinus_ms()), Some(1200.0));
    assert_eq!(looked_at(runs(800.0, 1500.0), |s| s.sinus_ms()), Some(1500.0), "no two beside each other");
}

#[test]
fn intervals_of_two_and_three_times_the_fast_ones_are_those_of_blocked_beats() {
    let two_or_three = |i: usize| if i.is_multiple_of(12) { 1500.0 } else { runs(500.0, 1000.0)(i) };
    assert_eq!(looked_at(two_or_three, |s| s.has_multiples()), Some(true));
    assert_eq!(looked_at(runs(500.0, 1270.0), |s| s.has_multiples()), Some(false));
}

#[test]
fn pauses_after_early_beats_are_not_slow_intervals() {
    let premature = |i: usize| match i % 6 {
        0 => 1250.0,
        5 => 500.0,
        _ => 800.0,
    };
    assert_eq!(looked_at(premature, |_| ()), None);
}
