//! Irregular and regular rhythms, made interval by interval.

use super::*;
use crate::rhythm::testing::{Made, irregular, made, sinus};

/// Regular rhythm, then irregular intervals that last about `seconds`, then regular rhythm again.
fn framed(seconds: f64) -> (Made, Span) {
    let mut rr = vec![800; 200];
    let (mut lasts, from) = (0, 160_000);
    for ms in irregular(10_000) {
        if lasts as f64 >= seconds * 1000.0 {
            break;
        }
        rr.push(ms);
        lasts += ms;
    }
    rr.extend([800; 200]);
    (sinus(&rr), Span::new(from, from + lasts))
}

fn found(day: &Made) -> Vec<Event> {
    fibrillation(&Columns::new(&day.reading()))
}

#[test]
fn an_irregular_minute_is_found_with_its_limits_and_must_be_read() {
    let (day, truth) = framed(60.0);
    let events = found(&day);
    assert_eq!(events.len(), 1);
    let span = events[0].span;
    assert!(
        (span.start - truth.start).abs() < 3000 && (span.end - truth.end).abs() < 3000,
        "{span:?} {truth:?}"
    );
    assert!(events[0].critical);
}

#[test]
fn a_shorter_stretch_than_the_minimum_is_not_reported() {
    assert!(found(&framed(25.0).0).is_empty());
    assert_eq!(found(&framed(34.0).0).len(), 1);
}

/// ESC 2016 (second hand): 30 s or more; 30 s exactly is enough.
#[test]
fn thirty_seconds_exactly_are_enough_and_unreadable_time_does_not_count() {
    for (last_rr, expected) in [(1000, true), (999, false)] {
        let mut rr = vec![1000; 60];
        rr[29] = last_rr;
        let day = sinus(&rr);
        assert_eq!(lasts(&Columns::new(&day.reading()), 0, 30), expected, "{last_rr}");
    }
    let day = sinus(&[1000; 60]).with_hole(10_100, 10_200);
    assert!(!lasts(&Columns::new(&day.reading()), 0, 30));
}

/// ESC 2020 (second hand): the entire tracing, or 30 s or longer of a single lead.
#[test]
fn a_tracing_too_short_for_the_minimum_must_be_in_fibrillation_as_a_whole() {
    let short = irregular(24);
    assert!(short.iter().sum::<i64>() < 20_000);
    assert_eq!(found(&sinus(&short)).len(), 1);
    let half: Vec<i64> = short.iter().copied().chain([700; 24]).collect();
    assert!(found(&sinus(&half)).is_empty());
}

#[test]
fn the_fainter_the_p_waves_the_less_irregular_fibrillation_may_be() {
    // Most intervals alike, one in three without order.
    let rr: Vec<i64> = irregular(200).into_iter().flat_map(|ms| [700, 700, 460 + ms / 2]).collect();
    let day = sinus(&rr);
    assert_eq!(found(&day.clone().with_p(0.0)).len(), 1, "no P at all");
    assert!(found(&day.clone().with_p(0.3)).is_empty(), "P stand there");
    assert!(found(&day).is_empty(), "nobody looked for P");
}

#[test]
fn at_short_cycles_p_waves_are_not_heard() {
    assert_eq!(p_worth(0.0, 340.0), 0.0);
    assert!(p_worth(0.0, 800.0) < p_worth(0.0, 450.0) && p_worth(0.0, 450.0) < 0.0);
    assert_eq!(p_worth(f32::NAN, 800.0), 0.0);
}

#[test]
fn rhythms_that_repeat_are_not_fibrillation() {
    let breathing: Vec<i64> = (0..600).map(|i| 900 + (120.0 * (f64::from(i) * 1.3).sin()) as i64).collect();
    let block: Vec<i64> = [700, 700, 720, 1400].repeat(150);
    for (name, day) in [
        ("regular", sinus(&[800; 600])),
        ("sinus arrhythmia", sinus(&breathing)),
        ("dropped beats", sinus(&block)),
        ("bigeminy", made(&"NV".repeat(300), &[500, 1100])),
        ("unlabelled bigeminy", sinus(&[500, 1100].repeat(300))),
        ("trigeminy", made(&"NNS".repeat(200), &[800, 500, 1000])),
        ("unlabelled trigeminy", sinus(&[800, 500, 1000].repeat(200))),
        (
            "supraventricular runs",
            made(&"NNNNNSSSSS".repeat(60), &[800, 800, 800, 800, 500, 400, 400, 400, 400, 900]),
        ),
    ] {
        assert!(found(&day).is_empty(), "{name}");
    }
}

#[test]
fn ectopy_without_order_in_sinus_rhythm_is_not_fibrillation() {
    let mut letters = String::new();
    let mut rr = Vec::new();
    for ms in irregular(600) {
        let letter = if ms % 2 == 0 { 'S' } else { 'V' };
        letters.extend(['N', 'N', 'N', letter]);
        rr.extend([800, 800, 350 + ms / 4, 1200 - ms / 4]);
    }
    assert!(found(&made(&letters, &rr)).is_empty());
}

#[test]
fn clear_p_waves_rule_fibrillation_out_and_absent_ones_do_not() {
    let (day, _) = framed(120.0);
    assert!(found(&day.clone().with_p(0.9)).is_empty());
    assert_eq!(found(&day.with_p(0.1)).len(), 1);
}

#[test]
fn s_labels_inside_fibrillation_hide_it_only_where_p_waves_are_clear() {
    let (mut day, _) = framed(120.0);
    day.beats.iter_mut().step_by(2).for_each(|b| b.class = BeatClass::S);
    assert!(found(&day.clone().with_p(0.9)).is_empty());
    assert_eq!(found(&day.with_p(0.1)).len(), 1);
}

#[test]
fn a_short_hole_does_not_end_an_episode_and_a_long_one_does() {
    let (day, truth) = framed(300.0);
    let middle = (truth.start + truth.end) / 2;
    assert_eq!(found(&day.clone().with_hole(middle, middle + 20_000)).len(), 1);
    assert_eq!(found(&day.with_hole(middle, middle + 40_000)).len(), 2);
}
