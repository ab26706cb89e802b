//! Heart-rate turbulence after single ventricular beats (Schmidt 1999; Bauer 2008) and deceleration capacity
//! (Bauer 2006).

use super::Day;
use super::nonlinear::slope;
use super::variability::Nn;
use crate::model::BeatClass;

/// Sinus intervals before the ventricular beat that give the local interval.
const BEFORE: usize = 5;
/// Intervals of the regression for the slope.
const SLOPE: usize = 5;

/// Turbulence of a day.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Turbulence {
    /// Ventricular beats that pass all filters: indices.
    pub beats: Vec<u32>,
    /// Turbulence onset: mean over the beats, %.
    pub onset_percent: Option<f64>,
    /// Turbulence slope of the averaged intervals, ms per RR.
    pub slope_ms_per_rr: Option<f64>,
}

/// Turbulence over the single V beats of a day outside atrial fibrillation.
pub fn turbulence(day: &Day<'_>) -> Turbulence {
    let found: Vec<(u32, Around)> = (0..day.columns.len())
        .filter(|i| day.columns.classes[*i] == BeatClass::V)
        .filter_map(|i| Some((i as u32, around(day, i)?)))
        .collect();
    if found.is_empty() {
        return Turbulence::default();
    }
    let n = found.len() as f64;
    let mean: Vec<f64> =
        (0..after_beats(day)).map(|k| found.iter().map(|(_, a)| a.after[k]).sum::<f64>() / n).collect();
    Turbulence {
        onset_percent: Some(found.iter().map(|(_, a)| onset_percent(&a.before, &a.after)).sum::<f64>() / n),
        slope_ms_per_rr: slope_ms_per_rr(&mean),
        beats: found.into_iter().map(|(i, _)| i).collect(),
    }
}

/// Sinus intervals after the pause that must be there.
fn after_beats(day: &Day<'_>) -> usize {
    day.reading().settings.hrt_after_beats as usize
}

/// Sinus intervals around one ventricular beat, ms.
struct Around {
    before: [f64; BEFORE],
    after: Vec<f64>,
}

/// The intervals around V beat `i`, when all filters let it pass.
fn around(day: &Day<'_>, i: usize) -> Option<Around> {
    let columns = &day.columns;
    let first = i.checked_sub(BEFORE + 1)?;
    let last = i + 1 + after_beats(day);
    if last >= columns.len() {
        return None;
    }
    let sinus = |k: usize| k == i || (columns.classes[k] == BeatClass::N && !day.in_af[k]);
    if !(first..=last).all(sinus) || day.in_af[i] || !(first + 1..=last).all(|k| columns.joined(k)) {
        return None;
    }
    let ms = |k: usize| f64::from(columns.rr_ms[k]);
    let mut before = [0.0; BEFORE];
    before.iter_mut().enumerate().for_each(|(k, x)| *x = ms(first + 1 + k));
    let after: Vec<f64> = (i + 2..=last).map(ms).collect();
    let local = before.iter().sum::<f64>() / BEFORE as f64;
    let share = day.reading().settings.hrt_early_percent / 100.0;
    let premature = ms(i) <= (1.0 - share) * local && ms(i + 1) >= (1.0 + share) * local;
    (premature && regular(day, &before, &after)).then_some(Around { before, after })
}

/// True when each sinus interval that is used lies within the limits, near the one before it and near the mean
/// of the five sinus intervals before it. The ventricular beat and its pause are passed over.
fn regular(day: &Day<'_>, before: &[f64; BEFORE], after: &[f64]) -> bool {
    let settings = day.reading().settings;
    let share = settings.nn_jump_percent / 100.0;
    let all: Vec<f64> = before.iter().chain(after).copied().collect();
    let mean = |from: usize| all[from..from + BEFORE].iter().sum::<f64>() / BEFORE as f64;
    let inside = |x: &f64| (settings.nn_min_ms..=settings.nn_max_ms).contains(x);
    let steady = |k: usize| {
        let mean = mean(k - BEFORE);
        (all[k] - all[k - 1]).abs() <= settings.hrt_step_ms && (all[k] - mean).abs() <= share * mean
    };
    let local = mean(0);
    all.iter().all(inside)
        && before.windows(2).all(|w| (w[1] - w[0]).abs() <= settings.hrt_step_ms)
        && before.iter().all(|x| (x - local).abs() <= share * local)
        && (BEFORE..all.len()).all(steady)
}

/// The first two sinus intervals after the pause against the last two before the ventricular beat, %.
pub fn onset_percent(before: &[f64], after: &[f64]) -> f64 {
    let last: f64 = before.iter().rev().take(2).sum();
    100.0 * (after.iter().take(2).sum::<f64>() - last) / last
}

/// Steepest regression line over five consecutive intervals.
pub fn slope_ms_per_rr(after: &[f64]) -> Option<f64> {
    let line = |w: &[f64]| slope(&w.iter().enumerate().map(|(k, x)| (k as f64, *x)).collect::<Vec<_>>());
    after.windows(SLOPE).filter_map(line).max_by(f64::total_cmp)
}

/// Deceleration capacity (phase-rectified signal averaging, Bauer 2006): over all anchors, intervals longer than
/// the one before by no more than `step_percent`, the mean of (X0 + X1 - X-1 - X-2) / 4, ms; X0 is the anchor.
/// `None` without an anchor that has its neighbours.
pub fn deceleration_capacity_ms(series: &[Nn], step_percent: f64) -> Option<f64> {
    let (mut sum, mut anchors) = (0.0, 0u32);
    for w in series.windows(4) {
        let [a, b, x, c] = w else { continue };
        let joined = b.adjacent && x.adjacent && c.adjacent;
        if joined && x.ms > b.ms && x.ms <= b.ms * (1.0 + step_percent / 100.0) {
            sum += (x.ms + c.ms - b.ms - a.ms) / 4.0;
            anchors += 1;
        }
    }
    (anchors > 0).then(|| sum / f64::from(anchors))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::measure::variability::nn_intervals;
    use crate::model::{Event, EventKind, EventState, Origin, Span};
    use crate::rhythm::testing::{Made, made, sinus};

    const AFTER_PAUSE: [i64; 15] =
        [780, 775, 770, 772, 780, 790, 802, 815, 826, 835, 840, 838, 836, 834, 832];

    fn near(value: Option<f64>, expected: f64, tolerance: f64) {
        assert!(value.is_some_and(|v| (v - expected).abs() <= tolerance), "{value:?} is not {expected}");
    }

    /// The five sinus intervals before the ventricular beat; no two that an onset could be taken from are alike.
    const BEFORE_BEAT: [i64; 5] = [770, 830, 785, 800, 810];

    /// Eleven sinus beats, a ventricular beat after `coupling`, its pause, and the series above; five times over.
    fn day(coupling: i64, pause: i64, last_before: [i64; 2], after: &[i64]) -> Made {
        let mut rr = vec![805, 815, 795, 805, 800];
        rr.extend(&BEFORE_BEAT[..3]);
        rr.extend(last_before);
        rr.extend([coupling, pause]);
        rr.extend(after);
        let mut letters = "N".repeat(11) + "V" + &"N".repeat(after.len());
        letters = letters.repeat(5) + "N";
        made(&letters, &rr.repeat(5))
    }

    /// A sinus beat, then for each of `beats` the five intervals before a ventricular beat, its coupling and pause,
    /// and the intervals after.
    fn one_by_one(beats: &[([i64; 5], i64, i64, &[i64])]) -> Made {
        let (mut letters, mut rr) = (String::from("N"), Vec::new());
        for (before, coupling, pause, after) in beats {
            rr.extend(before);
            rr.extend([*coupling, *pause]);
            rr.extend(*after);
            letters += "NNNNNVN";
            letters += &"N".repeat(after.len());
        }
        made(&letters, &rr)
    }

    fn of(day: &Made) -> Turbulence {
        turbulence(&Day::new(&day.reading(), &[]))
    }

    /// Worked by hand from the definition of the originators.
    #[test]
    fn onset_and_slope_of_a_tachogram() {
        let after = AFTER_PAUSE.map(|x| x as f64);
        assert!((onset_percent(&[800.0, 810.0], &after) + 3.4161).abs() < 5e-5);
        near(slope_ms_per_rr(&after), 11.70, 1e-9);
    }

    #[test]
    fn five_ventricular_beats_of_a_day_give_the_same() {
        let found = of(&day(500, 1100, [800, 810], &AFTER_PAUSE));
        assert_eq!(found.beats.len(), 5);
        near(found.onset_percent, -3.4161, 5e-5);
        near(found.slope_ms_per_rr, 11.70, 1e-4);
    }

    #[test]
    fn beats_that_a_filter_stops_are_left_out() {
        let with = |at: usize, ms: i64| {
            let mut after = AFTER_PAUSE;
            after[at] = ms;
            after
        };
        for (what, day) in [
            ("too late", day(660, 1100, [800, 810], &AFTER_PAUSE)),
            ("pause too short", day(500, 950, [800, 810], &AFTER_PAUSE)),
            ("a jump of more than 20 %", day(500, 1100, [800, 810], &with(7, 980))),
            ("a short interval", day(500, 1100, [800, 810], &with(7, 290))),
            ("a jump before it", day(500, 1100, [800, 1010], &AFTER_PAUSE)),
            ("an interval above 2000 ms", day(500, 1100, [800, 810], &with(14, 2001))),
            ("too few sinus intervals after it", day(500, 1100, [800, 810], &AFTER_PAUSE[..4])),
        ] {
            assert_eq!(of(&day), Turbulence::default(), "{what}");
        }
    }

    /// Fifteen sinus intervals after the pause suffice (Front Cardiovasc Med 2022), fourteen do not.
    #[test]
    fn fifteen_sinus_intervals_after_the_pause_are_asked() {
        let with = |after: usize| {
            let mut rr = vec![805; 8];
            rr.extend([800, 810, 500, 1100]);
            rr.extend(&AFTER_PAUSE[..after]);
            let letters = "N".repeat(11) + "V" + &"N".repeat(after + 1);
            made(&(letters + "V"), &[rr, vec![500]].concat())
        };
        assert_eq!((of(&with(15)).beats.len(), of(&with(14)).beats.len()), (1, 0));
        let mut lenient = with(14);
        lenient.settings.set("hrt_after_beats", 14.0).unwrap();
        assert_eq!(of(&lenient).beats.len(), 1);
    }

    #[test]
    fn beats_in_atrial_fibrillation_are_left_out() {
        let day = day(500, 1100, [800, 810], &AFTER_PAUSE);
        let reading = day.reading();
        let af = Event {
            kind: EventKind::AtrialFibrillation,
            span: Span::new(0, day.recording.samples),
            beats: (0, 0),
            rate_bpm: None,
            state: EventState::Kept,
            origin: Origin::Reader,
            critical: false,
            note: String::new(),
            certainty: crate::model::Certainty::sure(),
        };
        assert_eq!(turbulence(&Day::new(&reading, &[af])).beats, [0u32; 0]);
    }

    /// Worked by hand: anchors are the fourth, fifth and eighth interval.
    #[test]
    fn deceleration_capacity_of_ten_intervals() {
        let day = sinus(&[800, 820, 810, 830, 850, 840, 820, 835, 825, 845]);
        let series = nn_intervals(&Day::new(&day.reading(), &[]));
        near(deceleration_capacity_ms(&series, 5.0), 25.0 / 3.0, 1e-9);
        assert_eq!(deceleration_capacity_ms(&series, 1.0), None);
    }

    /// Theory: a sine of eight beats and amplitude A has A (2 + sqrt 2) / 8.
    #[test]
    fn deceleration_capacity_of_a_sine() {
        let ms = |i: usize| 900.0 + 40.0 * (std::f64::consts::PI / 4.0 * i as f64).sin();
        let nn = |i| Nn { ms: ms(i), segment: 0, at_s: 0.0, adjacent: i > 0 };
        near(deceleration_capacity_ms(&(0..803).map(nn).collect::<Vec<_>>(), 5.0), 17.0711, 0.01);
    }

    /// Worked by hand: onsets of -3.41615 % and +0.95541 % give -1.23037 %; the second series is level where the first
    /// rises most, by 11.70 ms a beat, so that their mean rises by 5.85. Averaging before the onset is taken would give
    /// -2.48 %.
    #[test]
    fn the_onset_is_a_mean_of_onsets_and_the_slope_that_of_the_mean_intervals() {
        let level = [790, 795, 800, 800, 800, 800, 800, 800, 800, 800, 800, 800, 800, 800, 800];
        let found = of(&one_by_one(&[
            (BEFORE_BEAT, 500, 1100, &AFTER_PAUSE[..]),
            ([800, 800, 790, 780, 790], 500, 1100, &level[..]),
        ]));
        assert_eq!(found.beats.len(), 2);
        near(found.onset_percent, (-100.0 * 55.0 / 1610.0 + 100.0 * 15.0 / 1570.0) / 2.0, 1e-6);
        near(found.onset_percent, -1.23037, 5e-5);
        near(found.slope_ms_per_rr, 5.85, 1e-4);
    }

    /// The steepest of all windows, wherever it stands; a series that only falls has a slope below zero.
    #[test]
    fn the_slope_is_the_steepest_of_five_intervals_at_any_place() {
        near(slope_ms_per_rr(&[800., 800., 800., 800., 800., 810., 820., 830., 840.]), 10.0, 1e-9);
        near(slope_ms_per_rr(&[840., 830., 820., 810., 800.]), -10.0, 1e-9);
        assert_eq!(slope_ms_per_rr(&[800., 810., 820., 830.]), None, "four intervals");
    }

    fn passes(before: [i64; 5], coupling: i64, pause: i64, after: &[i64], change: fn(&mut Made)) -> bool {
        let mut day = one_by_one(&[(before, coupling, pause, after)]);
        change(&mut day);
        of(&day).beats.len() == 1
    }

    /// Schmidt 1999: 20 % early and 20 % late themselves suffice; 300 and 2000 ms themselves are inside.
    #[test]
    fn the_limits_of_the_filters_belong_to_what_passes() {
        let even = |ms: i64, coupling: i64, pause: i64| passes([ms; 5], coupling, pause, &[ms; 15], |_| {});
        assert_eq!((even(800, 640, 960), even(800, 641, 960), even(800, 640, 959)), (true, false, false));
        assert_eq!((even(300, 240, 360), even(299, 230, 360)), (true, false));
        assert_eq!((even(2000, 1600, 2400), even(2001, 1600, 2402)), (true, false));
        // 20 % of the mean of the five before it, not of the last one alone.
        assert!(passes([900, 800, 800, 800, 700], 640, 960, &[800; 15], |_| {}));
        assert!(!passes([700, 800, 800, 800, 900], 641, 960, &[800; 15], |_| {}));
    }

    /// 200 ms from the interval before and 20 % from the mean of five, each alone by setting the other wide; at every
    /// place from the first interval before to the last one after.
    #[test]
    fn every_sinus_interval_around_the_beat_is_near_its_neighbours() {
        for at in 0..20 {
            let with = |ms: i64, change: fn(&mut Made)| {
                let mut all = [1000; 20];
                all[at] = ms;
                let before: [i64; 5] = all[..5].try_into().unwrap();
                passes(before, 700, 1400, &all[5..], change)
            };
            let by_step: fn(&mut Made) = |d| d.settings.hrt_step_ms = 100.0;
            assert_eq!((with(1100, by_step), with(1101, by_step)), (true, false), "step at {at}");
            let by_share: fn(&mut Made) = |d| {
                d.settings.nn_jump_percent = 10.0;
                d.settings.hrt_step_ms = 400.0;
            };
            // Before the beat the mean holds the interval itself: 125 ms off it is 100 ms of a mean of 1025 ms.
            let (inside, outside) = if at < 5 { (1125, 1160) } else { (1100, 1101) };
            assert_eq!((with(inside, by_share), with(outside, by_share)), (true, false), "share at {at}");
        }
    }

    #[test]
    fn a_hole_or_fibrillation_anywhere_around_the_beat_leaves_it_out() {
        let beat = one_by_one(&[([800; 5], 500, 1100, &[800; 15][..])]);
        let ends: Vec<i64> = beat.beats.iter().map(|b| b.sample).collect();
        assert_eq!(of(&beat).beats, [6]);
        for pair in ends.windows(2) {
            assert_eq!(of(&beat.clone().with_hole(pair[0] + 10, pair[0] + 20)).beats, [0u32; 0], "{pair:?}");
        }
        for at in &ends {
            let reading = beat.reading();
            let af = Event {
                kind: EventKind::AtrialFibrillation,
                span: Span::new(*at, at + 1),
                beats: (0, 0),
                rate_bpm: None,
                state: EventState::Kept,
                origin: Origin::Reader,
                critical: false,
                note: String::new(),
                certainty: crate::model::Certainty::sure(),
            };
            assert!(turbulence(&Day::new(&reading, &[af])).beats.is_empty(), "{at}");
        }
    }

    /// Worked by hand on four intervals: (820 + 830 - 800 - 790) / 4.
    #[test]
    fn an_anchor_is_longer_by_no_more_than_five_percent_and_has_its_neighbours_beside_it() {
        let of = |ms: [f64; 4], adjacent: [bool; 4]| {
            let nn = |i: usize| Nn { ms: ms[i], segment: 0, at_s: i as f64, adjacent: adjacent[i] };
            deceleration_capacity_ms(&(0..4).map(nn).collect::<Vec<_>>(), 5.0)
        };
        let joined = [false, true, true, true];
        near(of([790., 800., 820., 830.], joined), 15.0, 1e-12);
        for at in 1..4 {
            let mut parted = joined;
            parted[at] = false;
            assert_eq!(of([790., 800., 820., 830.], parted), None, "a hole before {at}");
        }
        assert_eq!(of([790., 800., 800., 830.], joined), None, "as long is no anchor");
        near(of([790., 800., 840., 830.], joined), 20.0, 1e-12);
        assert_eq!(of([790., 800., 841., 830.], joined), None, "more than 5 %");
    }
}
