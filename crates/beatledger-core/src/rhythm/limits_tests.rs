//! Rhythms at the very limits of their definitions, and under settings other than the usual ones.

use std::ops::Range;

use super::columns::Columns;
use super::*;
use crate::model::{BeatClass, EventKind, Found, Rate, Span};
use testing::{Made, kinds, made, sinus};

/// What `detect` appends for the beats of `day`, none of them in fibrillation.
fn told(day: &Made, detect: impl Fn(&Columns<'_>, &[bool], &mut Vec<Event>)) -> Vec<Event> {
    let reading = day.reading();
    let columns = Columns::new(&reading);
    let mut events = Vec::new();
    detect(&columns, &vec![false; columns.len()], &mut events);
    events
}

fn runs_of(day: &Made) -> Vec<Event> {
    told(day, |columns, in_af, events| {
        runs::ventricular(columns, events);
        runs::supraventricular(columns, in_af, events);
    })
}

fn rates_of(day: &Made) -> Vec<Event> {
    told(day, |columns, in_af, events| {
        let windows = rate::windows(columns, in_af);
        rate::extremes(columns, in_af, &windows, events);
        rate::episodes(columns, in_af, &windows, events);
    })
}

fn bpm_of(day: &Made, kind: EventKind) -> Option<f32> {
    rates_of(day).iter().find(|e| e.kind == kind).and_then(|e| e.rate_bpm)
}

/// Beats of `letters` every half second, with the V beats unsure of.
fn unsure(letters: &str, confidence: f32) -> Made {
    let mut day = made(letters, &[500]);
    day.beats.iter_mut().filter(|b| b.class == BeatClass::V).for_each(|b| b.confidence = confidence);
    day
}

/// ANSI/AAMI EC57 run classes with the setting for the shortest run: a couplet stays two beats, whatever makes a run, and
/// three ventricular beats are always one (2017 AHA/ACC/HRS).
#[test]
fn a_run_has_as_many_beats_as_set_and_a_couplet_has_two() {
    use EventKind::*;
    let v = |run_beats: f64, beats: usize| {
        let mut day = made(&format!("NN{}NN", "V".repeat(beats)), &[500]);
        day.settings.run_beats = run_beats;
        kinds(&runs_of(&day))
    };
    for run_beats in [3.0, 4.0, 5.0] {
        assert_eq!(v(run_beats, 1), []);
        assert_eq!(v(run_beats, 2), [VentricularCouplet]);
        assert_eq!(v(run_beats, 3), [VentricularTachycardia]);
        assert_eq!(v(run_beats, 4), [VentricularTachycardia]);
    }
    for (letter, couplet, run) in [("S", SupraventricularCouplet, SupraventricularRun)] {
        for (run_beats, beats, expected) in [
            (3.0, 1, vec![]),
            (3.0, 2, vec![couplet]),
            (3.0, 3, vec![run]),
            (4.0, 2, vec![couplet]),
            (4.0, 3, vec![]),
            (4.0, 4, vec![run]),
            (5.0, 2, vec![couplet]),
            (5.0, 4, vec![]),
            (5.0, 5, vec![run]),
            (5.0, 6, vec![run]),
        ] {
            let mut day = made(&format!("NN{}NN", letter.repeat(beats)), &[500]);
            day.settings.run_beats = run_beats;
            assert_eq!(kinds(&runs_of(&day)), expected, "{beats} of {letter}, {run_beats} make a run");
        }
    }
}

/// 107 bpm is tachycardia above 100/min and idioventricular where the limit is set to 110; 20 s are sustained where the
/// limit is set to 15 s.
#[test]
fn the_limits_of_ventricular_tachycardia_are_those_that_are_set() {
    let mut day = made(&format!("N{}N", "V".repeat(37)), &[560]);
    assert_eq!(runs_of(&day)[0].note, "non-sustained");
    day.settings.sustained_s = 15.0;
    assert_eq!(runs_of(&day)[0].note, "sustained");
    day.settings.run_rate_bpm = 110.0;
    assert_eq!(kinds(&runs_of(&day)), [EventKind::IdioventricularRun]);
}

#[test]
fn a_supraventricular_chain_that_touches_fibrillation_with_one_beat_is_no_run() {
    let day = made("NNSSSSNN", &[500]);
    let reading = day.reading();
    let columns = Columns::new(&reading);
    for inside in [0..3, 5..8] {
        let mut events = Vec::new();
        runs::supraventricular(&columns, &columns.marks(std::iter::once(inside)), &mut events);
        assert!(events.is_empty());
    }
}

/// Twenty sinus beats, then V beats from 10 s to 11 s: motion may go on for 5 s beside unreadable time.
#[test]
fn unsure_ventricular_beats_are_left_out_up_to_five_seconds_beside_unreadable_time() {
    let letters = format!("{}VVV{}", "N".repeat(20), "N".repeat(20));
    let day = || unsure(&letters, 0.7);
    for (hole, runs) in
        [((5_001, 5_100), 0), ((4_801, 4_999), 1), ((15_901, 15_999), 0), ((16_001, 16_100), 1)]
    {
        assert_eq!(runs_of(&day().with_hole(hole.0, hole.1)).len(), runs, "{hole:?}");
    }
    let pair = format!("{}VV{}", "N".repeat(20), "N".repeat(20));
    assert!(runs_of(&unsure(&pair, 0.7).with_hole(9_001, 9_100)).is_empty(), "a couplet too");
    assert_eq!(runs_of(&unsure(&pair, 0.8).with_hole(9_001, 9_100)).len(), 1, "0.8 is sure enough");
    let repeats = format!("{}VNVNVN{}", "N".repeat(20), "N".repeat(20));
    assert!(told(&unsure(&repeats, 0.7).with_hole(9_001, 9_100), pattern::repeats).is_empty());
    assert_eq!(told(&unsure(&repeats, 0.9).with_hole(9_001, 9_100), pattern::repeats).len(), 1);
}

/// The end of flutter or fibrillation is known to 3 s: what lies wholly within them is a part of it.
#[test]
fn ventricular_beats_within_three_seconds_after_waves_belong_to_them_and_others_do_not() {
    for (from, beats, runs) in [(19, 3, 0), (22, 5, 1), (24, 3, 1)] {
        let letters = format!("{}{}{}", "N".repeat(from), "V".repeat(beats), "N".repeat(10));
        let waves = Span::new(3_100, 9_000);
        let mut day = made(&letters, &[500]);
        day.beats.retain(|b| !waves.contains(b.sample));
        let found = Found { ventricular_waves: vec![waves], ..Found::default() };
        let reading = day.reading().with_found(&found);
        let mut events = Vec::new();
        runs::ventricular(&Columns::new(&reading), &mut events);
        assert_eq!(events.len(), runs, "{beats} beats from {} ms", from * 500);
    }
}

/// 257 samples in 2 s: beats 257 samples apart come every 2 s, which is 30 a minute.
#[test]
fn rates_are_those_of_seconds_where_the_sampling_rate_is_no_whole_number() {
    let mut day = made("NNNNNN", &[257]);
    day.recording.rate = Rate::new(257, 2).unwrap();
    let reading = day.reading();
    let columns = Columns::new(&reading);
    assert_eq!(columns.mean_bpm(0..6), Some(30.0));
    assert_eq!(columns.rr_ms[1], 2000.0);
}

/// Four intervals of 800 ms that can be read, and one of 1600 ms across a hole: 75 bpm.
#[test]
fn an_interval_across_unreadable_time_is_in_no_mean_rate() {
    let day = sinus(&[800, 800, 1600, 800, 800]).with_hole(2_000, 2_100);
    let reading = day.reading();
    assert_eq!(Columns::new(&reading).mean_bpm(0..6), Some(75.0));
}

fn dropped_of(letters: &str, rr: &[i64]) -> usize {
    told(&made(letters, rr), dropped_beats::dropped).len()
}

/// With a local interval of 1000 ms twice of it is a pause, which is told once.
#[test]
fn an_interval_at_the_pause_limit_is_no_dropped_beat_candidate() {
    for (long_ms, expected) in [(1999, 1), (2000, 0)] {
        let mut rr = [1000; 20];
        rr[9] = long_ms;
        assert_eq!(dropped_of(&"N".repeat(21), &rr), expected, "{long_ms} ms");
    }
}

#[test]
fn a_long_interval_that_touches_fibrillation_with_either_beat_is_no_candidate() {
    let mut rr = [700; 20];
    rr[9] = 1400;
    let day = sinus(&rr);
    let reading = day.reading();
    let columns = Columns::new(&reading);
    for (inside, expected) in [(0..10, 0), (10..21, 0), (11..21, 1)] {
        let mut events = Vec::new();
        dropped_beats::dropped(&columns, &columns.marks(std::iter::once(inside)), &mut events);
        assert_eq!(events.len(), expected);
    }
}

/// Of the sixteen intervals around the long one, those that touch a V beat do not count: six or five are left.
#[test]
fn the_local_interval_needs_six_intervals_that_touch_no_ectopic_beat() {
    let mut rr = [700; 20];
    rr[9] = 1400;
    // Intervals 8, 9 before the long one, which ends at beat 10; after it 11 to 14 in the first case, 11 to 13 in the
    // second.
    for (v_beats, expected) in [([2, 4, 6, 15, 17, 19], 1), ([2, 4, 6, 14, 16, 18], 0)] {
        let mut letters = ['N'; 21];
        v_beats.iter().for_each(|at| letters[*at] = 'V');
        let found = dropped_of(&letters.iter().collect::<String>(), &rr);
        assert_eq!(found, expected, "V at {v_beats:?}");
    }
}

/// Two long intervals in a row are two candidates; of intervals of 600 and 800 ms, eight each, the median is 700 ms.
#[test]
fn the_local_interval_is_the_median_and_its_neighbour_may_be_long_too() {
    let mut rr = [700; 20];
    rr[9..11].fill(1400);
    assert_eq!(dropped_of(&"N".repeat(21), &rr), 2);
    for (long_ms, expected) in [(1400, 1), (1259, 0), (1260, 1), (1540, 1), (1541, 0)] {
        let mut rr: Vec<i64> = (0..20).map(|i| if i % 2 == 0 { 600 } else { 800 }).collect();
        rr[8] = long_ms;
        assert_eq!(dropped_of(&"N".repeat(21), &rr), expected, "{long_ms} ms");
    }
}

/// No standard minimum; the setting says how many repeats make bigeminy and trigeminy.
#[test]
fn bigeminy_and_trigeminy_have_as_many_repeats_as_set_and_one_less_is_none() {
    use EventKind::*;
    for cycles in [2, 3, 5] {
        for (unit, kind) in [
            ("VN", VentricularBigeminy),
            ("VNN", VentricularTrigeminy),
            ("SN", SupraventricularBigeminy),
            ("SNN", SupraventricularTrigeminy),
        ] {
            for (repeats, expected) in [(cycles - 1, vec![]), (cycles, vec![kind]), (cycles + 1, vec![kind])]
            {
                let mut day = made(&format!("NNN{}NN", unit.repeat(repeats)), &[800]);
                day.settings.bigeminy_cycles = cycles as f64;
                assert_eq!(
                    kinds(&told(&day, pattern::repeats)),
                    expected,
                    "{repeats} {unit}, {cycles} asked"
                );
            }
        }
    }
}

#[test]
fn bigeminy_begins_with_the_beat_before_it_only_where_the_interval_can_be_read() {
    let day = made("NNNVNVNVNN", &[500]);
    assert_eq!(told(&day, pattern::repeats)[0].beats, (2, 8));
    assert_eq!(told(&day.with_hole(1_100, 1_200), pattern::repeats)[0].beats, (3, 8));
    let s_between = told(&made("NNVSVNVNN", &[500]), pattern::repeats);
    assert_eq!((kinds(&s_between), s_between[0].beats), (vec![EventKind::VentricularBigeminy], (1, 7)));
}

#[test]
fn unreadable_time_before_either_beat_of_a_repeat_ends_bigeminy() {
    for hole in [(1_600, 1_700), (2_100, 2_200)] {
        assert!(
            told(&made("NVNVNVN", &[500]).with_hole(hole.0, hole.1), pattern::repeats).is_empty(),
            "{hole:?}"
        );
    }
}

#[test]
fn supraventricular_bigeminy_lies_wholly_outside_fibrillation() {
    let day = made("NNNSNSNSNN", &[800, 500]);
    let reading = day.reading();
    let columns = Columns::new(&reading);
    for inside in [vec![5], vec![6]] {
        let mut in_af = [false; 10];
        inside.iter().for_each(|i: &usize| in_af[*i] = true);
        let mut events = Vec::new();
        pattern::repeats(&columns, &in_af, &mut events);
        assert!(events.is_empty(), "beat {inside:?} in fibrillation");
    }
}

#[test]
fn pauses_are_those_of_the_limits_that_are_set() {
    let found = |pause_ms: f64, critical_ms: f64, rr: i64| {
        let mut day = made("NNN", &[800, rr]);
        day.settings.pause_ms = pause_ms;
        day.settings.critical_pause_ms = critical_ms;
        told(&day, pauses::pauses).first().map(|e| e.critical)
    };
    assert_eq!((found(2500.0, 3000.0, 2499), found(2500.0, 3000.0, 2500)), (None, Some(false)));
    assert_eq!((found(1500.0, 3000.0, 1499), found(1500.0, 3000.0, 1500)), (None, Some(false)));
    assert_eq!((found(2000.0, 4000.0, 3999), found(2000.0, 4000.0, 4000)), (Some(false), Some(true)));
    assert_eq!((found(2000.0, 2500.0, 2499), found(2000.0, 2500.0, 2500)), (Some(false), Some(true)));
}

#[test]
fn a_pause_that_touches_fibrillation_with_either_beat_lies_in_it() {
    for in_af in [[false, true, false], [false, false, true]] {
        let day = made("NNN", &[800, 2400]);
        let reading = day.reading();
        let mut events = Vec::new();
        pauses::pauses(&Columns::new(&reading), &in_af, &mut events);
        assert_eq!(events[0].note, "in atrial fibrillation", "{in_af:?}");
    }
}

#[test]
fn of_equally_long_intervals_the_first_is_the_longest() {
    let day = sinus(&[800, 900, 800, 900, 900, 800]);
    let reading = day.reading();
    assert_eq!(pauses::longest(&Columns::new(&reading), |_| true), Some(2));
}

/// Three S beats 400 ms apart, the first 400 ms after its N beat, among beats at 800 ms; the rate is that of three
/// intervals. As a run they leave 800, 800 and 400 ms (90 bpm); where four make a run all three count (150 bpm).
#[test]
fn a_supraventricular_run_of_the_set_length_is_left_out_of_the_fastest_rate() {
    let mut rr = [800; 40];
    rr[19..22].fill(400);
    let mut day = made(&format!("{}SSS{}", "N".repeat(20), "N".repeat(18)), &rr);
    day.settings.rate_window_beats = 3.0;
    for (run_beats, bpm) in [(3.0, 90.0), (4.0, 150.0)] {
        day.settings.run_beats = run_beats;
        assert_eq!(bpm_of(&day, EventKind::FastestRate), Some(bpm), "{run_beats} beats make a run");
    }
}

#[test]
fn the_slowest_rate_holds_no_interval_at_the_pause_limit_and_one_just_below_it() {
    for (long_ms, sum_ms) in [(2000.0, 8.0 * 800.0), (1999.0, 7.0 * 800.0 + 1999.0)] {
        let mut rr = [800; 40];
        rr[20] = long_ms as i64;
        let expected = (60_000.0f64 * 8.0 / sum_ms) as f32;
        assert_eq!(bpm_of(&sinus(&rr), EventKind::SlowestRate), Some(expected), "{long_ms} ms");
    }
}

#[test]
fn eight_intervals_have_a_rate_and_seven_have_none() {
    assert_eq!(bpm_of(&sinus(&[800; 8]), EventKind::SlowestRate), Some(75.0));
    assert_eq!(bpm_of(&sinus(&[800; 7]), EventKind::SlowestRate), None);
}

/// The first of equal windows is told. A window that only begins in fibrillation is not said to lie in it.
#[test]
fn the_extremes_say_fibrillation_only_where_they_begin_and_end_in_it() {
    let day = sinus(&[800; 40]);
    assert!(rates_of(&day).iter().filter(|e| e.rate_bpm == Some(75.0)).all(|e| e.span.start == 0));
    let reading = day.reading();
    let columns = Columns::new(&reading);
    let note = |inside: Range<usize>| {
        let in_af = columns.marks(std::iter::once(inside));
        let mut events = Vec::new();
        rate::extremes(&columns, &in_af, &rate::windows(&columns, &in_af), &mut events);
        events.iter().find(|e| e.kind == EventKind::FastestRate).unwrap().note.clone()
    };
    assert_eq!(
        (note(0..4), note(4..20), note(0..9)),
        ("".into(), "".into(), "in atrial fibrillation".into())
    );
}

/// Half a minute at 120 bpm, `between` intervals of 1000 ms, half a minute at 120 bpm.
fn bridged(between: usize) -> Vec<EventKind> {
    let rr = [vec![1000; 20], vec![500; 60], vec![1000; between], vec![500; 60], vec![1000; 20]].concat();
    let held = |kind: &EventKind| matches!(kind, EventKind::Bradycardia | EventKind::RegularTachycardia);
    kinds(&rates_of(&sinus(&rr))).into_iter().filter(held).collect()
}

/// The windows of eight that hold one slow interval are still above 100 bpm, so that of twelve slow intervals ten, of
/// 10 s, lie outside them.
#[test]
fn a_fast_rate_may_leave_its_limit_for_ten_seconds_and_no_longer() {
    assert_eq!(bridged(12), [EventKind::RegularTachycardia]);
    assert_eq!(bridged(13), []);
}

/// Bursts just above 100 bpm with slow stretches of 9 s between them: the mean of the whole is 77 bpm.
#[test]
fn a_rate_whose_mean_is_not_beyond_the_limit_is_no_episode() {
    let rr = [vec![595; 8], vec![1000; 9]].concat().repeat(10);
    assert!(!kinds(&rates_of(&sinus(&rr))).contains(&EventKind::RegularTachycardia));
}

#[test]
fn unreadable_time_and_fibrillation_end_a_fast_rate() {
    let fast = sinus(&[500; 200]);
    assert!(kinds(&rates_of(&fast)).contains(&EventKind::RegularTachycardia));
    let hole = fast.clone().with_hole(50_100, 50_200);
    assert!(!kinds(&rates_of(&hole)).contains(&EventKind::RegularTachycardia), "50 s on either side");
    let reading = fast.reading();
    let columns = Columns::new(&reading);
    for inside in [0..201, 118..201, 0..83, 100..115] {
        let in_af = columns.marks(std::iter::once(inside.clone()));
        let mut events = Vec::new();
        rate::episodes(&columns, &in_af, &rate::windows(&columns, &in_af), &mut events);
        assert!(events.is_empty(), "beats {inside:?} in fibrillation");
    }
}

#[test]
fn the_shortest_unreadable_event_is_set() {
    let mut day = made(&"N".repeat(60), &[1000]).with_hole(5_000, 11_000).with_hole(20_000, 24_900);
    let starts = |day: &Made| {
        let mut events = Vec::new();
        unreadable::stretches(&day.reading(), &mut events);
        events.iter().map(|e| e.span.start).collect::<Vec<_>>()
    };
    assert!(starts(&day).is_empty());
    day.settings.unreadable_min_s = 5.0;
    assert_eq!(starts(&day), [5_000]);
}
