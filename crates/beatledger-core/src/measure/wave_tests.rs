//! PR, QRS and QT at the limits of what takes part, by the clock and by hour, and what ventricular beats meet of T.

use super::intervals::{Intervals, Part, by_hour, fridericia_ms, intervals};
use super::limits_tests::{dropped, said};
use super::*;
use crate::model::{BeatClass, Event, EventKind, Found, QtDoubt, Span, Waves};
use crate::rhythm::testing::{Made, made, sinus};

/// `rr` between N beats of fair signal with a PR of 150, a QRS of 90 and a QT of 400 ms.
fn day(rr: &[i64]) -> Made {
    let mut day = sinus(rr);
    for beat in &mut day.beats {
        beat.evidence.quality = 1.0;
        beat.waves = Waves {
            p_on: Some(-190),
            qrs_on: Some(-40),
            qrs_off: Some(50),
            t_peak: Some(250),
            t_off: Some(360),
            ..Waves::default()
        };
    }
    day
}

fn found(day: &Made) -> Found {
    day.found_averaged(Waves { qrs_on: Some(-40), t_off: Some(360), ..Waves::default() })
}

fn with(day: &Made, found: &Found, events: &[Event]) -> Intervals {
    let reading = day.reading().with_found(found);
    intervals(&Day::new(&reading, events))
}

fn of(day: &Made) -> Intervals {
    with(day, &found(day), &[])
}

fn starts(found: &Intervals) -> Vec<i64> {
    found.windows.iter().map(|w| w.span.start).collect()
}

/// Beats every second: 300 of them in five minutes. The first has no interval before it, the last none behind it.
#[test]
fn a_window_with_as_many_beats_as_asked_has_a_qt_and_one_with_one_less_has_none() {
    let mut steady = day(&[1000; 950]);
    steady.settings.qt_min_beats = 300.0;
    assert_eq!(starts(&of(&steady)), [300_000, 600_000]);
    assert_eq!(of(&steady).windows[0].beats, 300);
    steady.settings.qt_min_beats = 299.0;
    assert_eq!(starts(&of(&steady)), [0, 300_000, 600_000]);
}

/// 400 ms at 75 bpm are 431 ms by Fridericia; at 190 bpm they would be 587, at 210 bpm 607, and at 27 bpm 306.
#[test]
fn a_qt_for_the_rate_outside_320_to_600_ms_is_withheld_with_its_reason() {
    for (rr_ms, told) in [(800, true), (316, true), (286, false), (2200, false)] {
        let found = of(&day(&vec![rr_ms; 400_000 / rr_ms as usize]));
        assert_eq!(found.windows.is_empty(), !told, "{rr_ms} ms");
        assert_eq!(found.why_no_qt().is_some_and(|why| why.contains("320 to 600")), !told, "{rr_ms} ms");
    }
}

/// Two windows of four are enough, one is not; the reason that most of the others share is told.
#[test]
fn qt_is_told_where_half_of_the_averaged_beats_are_believed() {
    let day = day(&[800; 1499]);
    let why = |doubts: [Option<QtDoubt>; 4]| {
        let mut found = found(&day);
        found.averaged.iter_mut().zip(doubts).for_each(|(a, doubt)| a.doubt = doubt);
        with(&day, &found, &[]).why_no_qt()
    };
    let (two, merged) = (Some(QtDoubt::TwoWaves), Some(QtDoubt::MergesWithP));
    assert_eq!(why([two, None, None, merged]), None);
    let reason = why([two, merged, None, merged]).unwrap();
    assert_eq!(reason, "the next P wave begins before T is over, in 2 of 4 windows of five minutes");
}

/// PR and QRS need as many beats as QT of a window; quality at the limit and QRS of 120 ms: fair, and wide.
#[test]
fn pr_and_qrs_need_the_set_number_of_beats_of_fair_signal() {
    for (beats, expected) in [(29, None), (30, Some(150.0))] {
        let found = of(&day(&vec![800; beats - 1]));
        assert_eq!((found.pr_ms, found.qrs_ms), (expected, expected.map(|_| 90.0)), "{beats} beats");
    }
    let with_quality = |quality: f32| {
        let mut day = day(&[800; 400]);
        day.beats.iter_mut().for_each(|b| b.evidence.quality = quality);
        of(&day).qrs_ms
    };
    assert_eq!((with_quality(0.5), with_quality(0.49)), (Some(90.0), None));
    let with_width = |off: i16| {
        let mut day = day(&[800; 400]);
        day.beats.iter_mut().for_each(|b| b.waves.qrs_off = Some(off));
        let found = of(&day);
        (found.wide_percent, found.windows.len())
    };
    assert_eq!((with_width(79), with_width(80)), ((Some(0.0), 1), (Some(100.0), 0)));
}

/// RR of 700 and 900 ms in turn; the intervals before the beats that follow 700 ms, which alone took part, are 700 ms.
#[test]
fn rr_of_a_window_is_the_mean_of_the_intervals_before_the_beats_of_its_average() {
    let day = day(&[700, 900].repeat(400));
    let mut found = found(&day);
    (0..found.in_average.len()).for_each(|i| found.in_average[i] = i % 2 == 1);
    found.averaged.iter_mut().for_each(|a| a.beats /= 2);
    let told = with(&day, &found, &[]);
    assert_eq!((told.windows[0].rr_s, told.windows[0].qt_ms), (0.7, 400.0));
    let rows = by_hour(&told, &[Span::new(0, 300_000), Span::new(300_000, 640_000)]);
    assert_eq!((rows[0].rr_ms, rows[0].windows, rows[1].windows), (Some(700.0), 1, 1));
}

/// 375 beats of 800 ms in five minutes, of which the first has no interval before it. Every V beat takes itself and the
/// N beat behind it out: 18 of them leave 338, just nine tenths of 375, 19 leave 336.
#[test]
fn a_beat_after_ectopy_or_beside_a_hole_takes_no_part_in_qt() {
    let standing = |v: usize| {
        let mut day = day(&[800; 374]);
        day.beats.iter_mut().skip(20).step_by(9).take(v).for_each(|b| b.class = BeatClass::V);
        // The last beat has no interval behind it.
        of(&day).windows.first().map(|w| w.beats + 1)
    };
    assert_eq!((standing(17), standing(18), standing(19)), (Some(340), None, None));
    let hole = of(&day(&[800; 374]).with_hole(8_100, 8_200));
    assert_eq!(hole.windows[0].beats, of(&day(&[800; 374])).windows[0].beats - 2, "before and behind it");
}

/// Of 300 beats of a window 270 are nine of ten: the average stands; with 269 it does not.
#[test]
fn an_average_stands_for_nine_of_ten_of_its_beats() {
    let told = |of_average: u32| {
        let day = day(&[1000; 300]);
        let mut found = found(&day);
        found.averaged[0].beats = of_average;
        with(&day, &found, &[]).windows.first().map(|w| (w.span.start, w.beats))
    };
    // 299 beats stand: of 332 they are 90.06 %, of 333 they are 89.8 %.
    assert_eq!((told(332), told(333)), (Some((0, 299)), None));
    // 270 of 300 is one in ten changed, no more.
    let day = day(&[1000; 300]);
    let mut found = found(&day);
    found.averaged[0].beats = 300;
    (1..30).for_each(|i| found.in_average[i] = false);
    assert_eq!(with(&day, &found, &[]).windows.first().map(|w| w.beats), Some(270));
}

#[test]
fn pr_in_fibrillation_and_fibrillation_that_a_reader_drops() {
    let plain = day(&[800; 400]);
    let mut day = plain.clone();
    day.beats.iter_mut().take(200).for_each(|b| b.waves.p_on = Some(-260));
    let af = said(EventKind::AtrialFibrillation, 0, 159_500);
    assert_eq!(with(&day, &found(&day), &[af]).pr_ms, Some(150.0));
    let no_af = dropped(EventKind::AtrialFibrillation, 0, 159_500);
    assert!(with(&day, &found(&day), &[no_af]).pr_ms.unwrap() > 180.0);
}

/// From 22:57: the first window begins before the night, also where most of it lies in the night. Its QT is 380 ms, that
/// of the night 400 ms; at 60 and 100 bpm the QTc is longest where QT is shorter.
#[test]
fn qt_is_told_apart_by_the_clock_and_the_longest_is_that_for_the_rate() {
    let day = day(&[vec![600; 500], vec![1000; 600]].concat()).starting_at(22 * 3_600_000 + 57 * 60_000);
    let mut found = found(&day);
    found.averaged[0].waves.t_off = Some(340);
    let told = with(&day, &found, &[]);
    assert_eq!(told.windows.iter().map(|w| w.night).collect::<Vec<_>>(), [false, true, true]);
    assert_eq!(told.mean(Part::Waking, |w| w.qt_ms), Some(380.0));
    assert_eq!(told.mean(Part::Night, |w| w.qt_ms), Some(400.0));
    // Fridericia 1920: 380 / 0.6^(1/3) = 450.5, 400 / 1 = 400.
    let longest = told.longest().unwrap();
    assert_eq!((longest.span.start, fridericia_ms(longest.qt_ms, longest.rr_s).round()), (0, 451.0));
    let rows = by_hour(&told, &[Span::new(0, 180_000), Span::new(180_000, 900_000)]);
    assert_eq!(
        (rows[0].windows, rows[1].windows, rows[1].qt_ms),
        (1, 2, Some(400.0)),
        "a window counts once"
    );
}

#[test]
fn only_beats_with_a_t_wave_run_into_the_next_p() {
    let mut day = day(&[800; 400]);
    for (i, beat) in day.beats.iter_mut().enumerate() {
        match i % 4 {
            0 => beat.waves.t_off = None,
            1 => (beat.waves.t_peak, beat.waves.t_off) = (None, None),
            _ => {}
        }
    }
    let told = of(&day);
    // Beats 4, 8 ... 396; the first and the last beat have no interval on one side.
    assert_eq!((told.merged_beats, told.qt_beats), (99, 200));
}

/// An hour needs the set number of beats with a P wave for PR, and with limits of QRS for QRS.
#[test]
fn conduction_by_hour_asks_for_enough_beats_of_each() {
    let row = |day: &Made, events: &[Event]| {
        let reading = day.reading();
        conduction::by_hour(&Day::new(&reading, events), &[Span::new(0, 3_600_000)]).remove(0)
    };
    for (beats, pr, qrs) in [(30, Some(150.0), Some(90.0)), (29, None, None)] {
        let told = row(&day(&vec![800; beats - 1]), &[]);
        assert_eq!((told.pr_ms, told.qrs_ms, told.qrs_beats), (pr, qrs, beats as u32));
    }
    let mut few = day(&[800; 29]);
    few.settings.qt_min_beats = 30.0;
    few.beats[0].waves.p_on = None;
    let told = row(&few, &[]);
    assert_eq!((told.pr_ms, told.pr_beats, told.qrs_ms), (None, 29, Some(90.0)));
    few.settings.qt_min_beats = 20.0;
    assert_eq!(row(&few, &[]).pr_ms, Some(150.0));
    let fair = |quality: f32| {
        let mut day = day(&[800; 40]);
        day.beats.iter_mut().for_each(|b| b.evidence.quality = quality);
        row(&day, &[]).qrs_beats
    };
    assert_eq!((fair(0.5), fair(0.49)), (41, 0));
}

/// Twenty beats with a PR of 160 and a QRS of 119 ms, twenty with 180 and 120 ms: the lower median is told, and half of
/// them are wide. In fibrillation none of them take part.
#[test]
fn the_lower_median_of_an_hour_is_told_and_120_ms_is_wide() {
    let mut day = day(&[800; 39]);
    for (i, beat) in day.beats.iter_mut().enumerate() {
        let is_long = i % 2 == 0;
        beat.waves.p_on = Some(if is_long { -220 } else { -200 });
        beat.waves.qrs_off = Some(if is_long { 80 } else { 79 });
    }
    let reading = day.reading();
    let row = |events: &[Event]| {
        conduction::by_hour(&Day::new(&reading, events), &[Span::new(0, 3_600_000)]).remove(0)
    };
    let told = row(&[]);
    assert_eq!((told.pr_ms, told.qrs_ms, told.wide_percent), (Some(160.0), Some(119.0), Some(50.0)));
    let af = row(&[said(EventKind::AtrialFibrillation, 0, 40_000)]);
    assert_eq!((af.pr_beats, af.qrs_beats, af.pr_ms), (0, 0, None));
}

/// Lown and Wolf 1971: earlier than 0.85 of QT, which is 340 of 400 ms after the onset 40 ms before the R peak.
#[test]
fn a_beat_at_the_limit_of_r_on_t_is_no_candidate_and_the_limit_is_set() {
    let told = |coupling: i64, ratio: f64, at: usize, quiet_from: usize| {
        let mut rr = vec![800; 800];
        rr[at] = coupling;
        let mut day = day(&rr);
        day.beats[at + 1].class = BeatClass::V;
        day.beats.iter_mut().skip(quiet_from).for_each(|b| b.evidence.quality = 0.1);
        day.settings.r_on_t_ratio = ratio;
        let found = found(&day);
        let reading = day.reading().with_found(&found);
        let laid = Day::new(&reading, &[]);
        premature::r_on_t(&laid, &intervals(&laid)).unwrap()
    };
    assert_eq!((told(299, 0.85, 50, 900), told(300, 0.85, 50, 900)), (vec![51], vec![]));
    assert_eq!((told(359, 1.0, 50, 900), told(360, 1.0, 50, 900)), (vec![51], vec![]));
    assert_eq!(told(250, 0.85, 375, 900), [376], "after a beat at the very start of five minutes");
    assert_eq!(told(250, 0.85, 600, 400), [0u32; 0], "five minutes without QT say nothing");
}

/// The night begins between two V beats, which count whatever their neighbours are.
#[test]
fn ectopic_beats_belong_to_the_night_from_its_hour_on() {
    let day = made("NNSVVN", &[1000]).starting_at(23 * 3_600_000 - 3_500);
    let reading = day.reading();
    let laid = Day::new(&reading, &[]);
    assert_eq!(premature::by_day_and_night(&laid, BeatClass::V), Some((vec![3], vec![4])));
    assert_eq!(premature::by_day_and_night(&laid, BeatClass::S), Some((vec![2], vec![])));
}
