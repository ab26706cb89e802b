//! Variability with values worked by hand or known from theory, at the limits of its filters, and what is taken over.

use std::f64::consts::PI;

use super::hrv::{Series, by_hour, by_window};
use super::limits_tests::{said, with_day};
use super::nonlinear::{
    BIN_MS, LONG_BOXES, SHORT_BOXES, fluctuation_slope, histogram_base_ms, poincare, sample_entropy,
};
use super::variability::{Choice, Nn, nn_intervals, variability, variability_by, withheld};
use crate::model::{BeatClass, EventKind, HrvRow, Span};
use crate::rhythm::testing::{Made, made, sinus};
use crate::settings::Settings;

fn lengths(day: &Made) -> Vec<f64> {
    with_day(day, &[], |d| nn_intervals(d).iter().map(|nn| nn.ms).collect())
}

fn near(value: Option<f64>, expected: f64, tolerance: f64) {
    assert!(value.is_some_and(|v| (v - expected).abs() <= tolerance), "{value:?} is not {expected}");
}

/// Intervals in a row, as they are.
fn series(ms: &[f64]) -> Vec<Nn> {
    let nn = |(i, ms): (usize, &f64)| Nn { ms: *ms, segment: 0, at_s: i as f64, adjacent: i > 0 };
    ms.iter().enumerate().map(nn).collect()
}

fn rows_of(day: &Made, hours: &[Span]) -> (Vec<HrvRow>, Vec<HrvRow>) {
    with_day(day, &[], |d| {
        let series = Series::new(d, None);
        (by_window(d, &series), by_hour(d, &series, hours))
    })
}

/// Schmidt 1999: 300 and 2000 ms are normal, 299 and 2001 ms are not; 20 % off the mean of the five before is normal.
#[test]
fn intervals_at_the_limits_of_the_filters_are_normal_to_normal() {
    for (ms, expected) in [(299, 0), (300, 6), (2000, 6), (2001, 0)] {
        assert_eq!(lengths(&sinus(&[ms; 6])).len(), expected, "{ms} ms");
    }
    for (ms, is_normal) in [(959, true), (960, true), (961, false), (641, true), (640, true), (639, false)] {
        // The first of the six before is no longer in the mean of five.
        let rr = [900, 800, 800, 800, 800, 800, ms];
        assert_eq!(lengths(&sinus(&rr)).last() == Some(&(ms as f64)), is_normal, "{ms} ms");
    }
    let mut wide = sinus(&[800, 800, 800, 800, 800, 1200]);
    assert_eq!(lengths(&wide).len(), 5);
    wide.settings.nn_jump_percent = 50.0;
    assert_eq!(lengths(&wide).len(), 6);
}

#[test]
fn after_a_hole_the_rate_may_be_another_one_at_once() {
    let rr = [vec![1000; 10], vec![600; 10]].concat();
    // The first 600 ms stand 40 % below the five before them; behind a hole nothing stands before them.
    assert!(lengths(&sinus(&rr)).len() < 20);
    assert_eq!(lengths(&sinus(&rr).with_hole(9_100, 9_200)).len(), 19);
}

#[test]
fn an_interval_beside_ectopy_on_either_side_or_in_fibrillation_is_not_normal() {
    assert_eq!(lengths(&made("NNVNN", &[800, 810, 820, 830])), [800.0, 830.0]);
    assert_eq!(lengths(&made("NSNNF", &[800, 810, 820, 830])), [820.0]);
    let day = sinus(&[800, 810, 820, 830]);
    let in_af = |from, to| {
        let af = [said(EventKind::AtrialFibrillation, from, to)];
        with_day(&day, &af, |d| nn_intervals(d).iter().map(|nn| nn.ms).collect::<Vec<_>>())
    };
    assert_eq!(in_af(1_610, 1_611), [800.0, 830.0], "the beat that ends 810 and begins 820 ms");
}

/// An interval belongs to the five minutes in which it begins, also where it ends in the next.
#[test]
fn an_interval_belongs_to_the_five_minutes_in_which_it_begins() {
    let mut rr = vec![1000; 299];
    rr.extend([1100, 1000, 1000]);
    let segments: Vec<usize> =
        with_day(&sinus(&rr), &[], |d| nn_intervals(d).iter().map(|nn| nn.segment).collect());
    assert_eq!(segments[298..], [0, 0, 1, 1]);
}

/// Task Force 1996: strictly more than 50 ms, up or down.
#[test]
fn nn50_counts_differences_of_more_than_50_ms_up_and_down() {
    for (rr, expected) in [([850.0, 800.0], 0), ([851.0, 800.0], 1), ([800.0, 850.0], 0), ([800.0, 851.0], 1)]
    {
        assert_eq!(variability(&series(&rr)).nn50, Some(expected), "{rr:?}");
    }
    let mut parted = series(&[800.0, 900.0, 1050.0]);
    parted[1].adjacent = false;
    let v = variability(&parted);
    assert_eq!((v.nn50, v.rmssd_ms), (Some(1), Some(150.0)));
    assert_eq!(poincare(&parted).map(|p| p.0), Some(0.0), "one pair has no spread");
    assert_eq!(variability(&series(&[800.0])).sdnn_ms, None);
}

/// Of a share of 80 % asked: 80 of 100 intervals are enough, and a fifth of the time may be fibrillation.
#[test]
fn variability_is_withheld_below_the_set_share_and_not_at_it() {
    let day = sinus(&[800; 10]);
    let why = |nn, intervals, af| with_day(&day, &[], |d| withheld(d, nn, intervals, af));
    assert_eq!((why(80, 100, 0.0), why(80, 100, 0.2)), (None, None));
    assert!(why(79, 100, 0.0).is_some_and(|w| w.contains("only 79.0 %")));
    assert!(why(100, 100, 0.21).is_some_and(|w| w.contains("fibrillation for 21 %")));
    assert!(why(1, 1, 0.0).is_some_and(|w| w.contains("fewer than two")));
}

/// Five minutes that hold NN of 240 s exactly, which is 80 %, have a row; one interval less has none. An hour asks for
/// NN of five minutes.
#[test]
fn a_row_is_told_from_the_share_that_is_set() {
    let told = |count: usize| rows_of(&sinus(&vec![1000; count]), &[Span::new(0, 3_600_000)]);
    let (windows, hours) = told(240);
    assert!(windows[0].withheld.is_none() && hours[0].withheld.is_some());
    assert!(told(239).0[0].withheld.as_deref().is_some_and(|why| why.contains("only 239 s")));
    assert!(told(300).1[0].withheld.is_none(), "five minutes of an hour");
    assert!(told(299).1[0].withheld.as_deref().is_some_and(|why| why.contains("300 s asked")));
    // 240 of 300 intervals are NN: a V beat takes two, and its neighbour of 800 ms nothing.
    let vs = |count: usize| {
        let letters = format!("{}{}", "NNV".repeat(count), "N".repeat(400 - 3 * count));
        rows_of(&made(&letters, &[800]), &[]).0.remove(0)
    };
    // 375 intervals begin in the first five minutes; 37 V beats take 74, so that 301 (80.3 %) are left, 38 leave 299.
    assert_eq!((vs(37).withheld.is_none(), vs(38).withheld.is_none()), (true, false));
    // A V beat that begins the recording takes one, so that 38 leave 300, which is 80 %.
    let exact = format!("{}{}", "VNN".repeat(38), "N".repeat(286));
    let row = rows_of(&made(&exact, &[800]), &[]).0.remove(0);
    assert_eq!((row.nn_percent, row.withheld), (80.0, None));
    assert_eq!((vs(37).intervals, (vs(37).nn_percent * 3.75).round()), (375, 301.0));
}

/// One minute of fibrillation in five is 20 %, as much as may be; a second more is too much.
#[test]
fn fibrillation_withholds_a_row_when_it_fills_more_than_the_rest() {
    let day = sinus(&vec![1000; 600]);
    let row = |end| {
        let af = [said(EventKind::AtrialFibrillation, 100_500, end)];
        with_day(&day, &af, |d| by_window(d, &Series::new(d, None)).remove(0).withheld)
    };
    assert!(row(160_500).is_none_or(|why| !why.contains("fibrillation")));
    assert!(row(161_500).is_some_and(|why| why.contains("fibrillation for 20 %")));
}

/// Theory: a sine of 50 ms at 0.1 Hz has 1250 ms2 in LF. At one beat a second it comes back every ten beats, so that
/// short boxes see it rise and long ones see it repeat (alpha 1 above 1, alpha 2 near 0).
#[test]
fn every_column_of_a_row_holds_its_own_measure() {
    let (mut rr, mut t) = (Vec::new(), 0.0f64);
    while t < 301.0 {
        let ms = 1000.0 + 50.0 * (2.0 * PI * 0.1 * t).sin();
        rr.push(ms.round() as i64);
        t += ms / 1000.0;
    }
    let row = rows_of(&sinus(&rr), &[]).0.remove(0);
    near(row.lf_ms2, 1250.0, 40.0);
    near(row.even_lf_ms2, 1250.0, 40.0);
    near(row.total_ms2, 1250.0, 40.0);
    near(row.even_total_ms2, 1250.0, 40.0);
    for other in [row.vlf_ms2, row.hf_ms2, row.even_vlf_ms2, row.even_hf_ms2] {
        near(other, 0.0, 30.0);
    }
    near(row.sdnn_ms, 35.355, 0.5);
    near(row.mean_nn_ms, 1000.0, 2.0);
    assert!(
        row.lf_nu.unwrap() > 97.0 && row.hf_nu.unwrap() < 3.0 && row.lf_hf_ratio.unwrap() > 30.0,
        "{row:?}"
    );
    assert!(row.dfa_alpha1.unwrap() > 1.0 && row.dfa_alpha2.unwrap() < 0.5, "{row:?}");
    // Differences of neighbours: 2 A sin(pi f T) is 30.9 ms high, its root mean square 21.85 ms.
    near(row.rmssd_ms, 21.85, 0.5);
    near(row.sd1_ms, 21.85 / 2f64.sqrt(), 0.4);
    near(row.sd2_ms, (2.0 * 1250.0 - 21.85f64.powi(2) / 2.0).sqrt(), 0.7);
    assert_eq!(
        (row.nn50, row.pnn50_percent, row.sdann_ms, row.sdnn_index_ms),
        (Some(0), Some(0.0), None, None)
    );
}

/// Power above 0.40 Hz is in the variance and in no band; normalised units come of the row's own bands.
#[test]
fn waves_above_the_bands_are_in_no_power_of_a_row() {
    let rr: Vec<i64> = (0..320)
        .map(f64::from)
        .map(|t| 930.0 + 40.0 * (2.0 * PI * 0.25 * t).sin() + if t % 2.0 == 0.0 { 30.0 } else { -30.0 })
        .map(|ms| ms.round() as i64)
        .collect();
    let row = rows_of(&sinus(&rr), &[]).0.remove(0);
    near(row.total_ms2, 800.0, 60.0);
    near(row.sdnn_ms, (800.0f64 + 900.0).sqrt(), 1.0);
    let (lf, hf) = (row.lf_ms2.unwrap(), row.hf_ms2.unwrap());
    near(row.lf_nu, 100.0 * lf / (lf + hf), 1e-9);
    near(row.hf_nu, 100.0 * hf / (lf + hf), 1e-9);
    assert!((row.even_hf_ms2.unwrap() - hf).abs() > 1.0, "laying evenly damps fast waves");
}

/// Worked by hand: 810 and 790 ms lie in bins 103 and 101, 188 and 187 of them (375 intervals).
#[test]
fn the_triangular_index_of_a_row_is_that_of_its_own_histogram() {
    let row = rows_of(&sinus(&[810, 790].repeat(300)), &[]).0.remove(0);
    near(row.triangular_index, 375.0 / 188.0, 1e-9);
    assert_eq!((row.pnn50_percent, row.rmssd_ms), (Some(0.0), Some(20.0)));
}

/// Three parts of five minutes with means of 1000, 1000 and 800 ms and deviations of 0, 100.167 and 0 ms. With a
/// hole of 160 s 140 of the 300 s of the second part can be read.
#[test]
fn an_hour_has_sdann_and_the_sdnn_index_of_its_parts_and_five_minutes_have_neither() {
    let mut rr = vec![1000; 300];
    rr.extend([900, 1100].repeat(150));
    rr.extend([800; 375]);
    let (windows, hours) = rows_of(&sinus(&rr), &[Span::new(0, 3_600_000)]);
    near(hours[0].sdann_ms, 200.0 / 3f64.sqrt(), 1e-6);
    near(hours[0].sdnn_index_ms, 100.167 / 3.0, 0.001);
    assert!(windows.iter().all(|w| w.sdann_ms.is_none() && w.sdnn_index_ms.is_none()));
    assert_eq!(windows.iter().map(|w| w.intervals).collect::<Vec<_>>(), [300, 300, 375, 0]);
    let holed = rows_of(&sinus(&rr).with_hole(400_000, 560_000), &[]).0;
    assert!((holed[1].readable_percent - 140.0 / 3.0).abs() < 1e-9 && holed[0].readable_percent == 100.0);
}

/// An interval that begins at the very start of an hour stands in that hour, and in no other.
#[test]
fn an_interval_at_the_edge_of_an_hour_stands_in_the_hour_that_it_begins() {
    let hours = [Span::new(0, 600_000), Span::new(600_000, 1_200_000)];
    let (_, rows) = rows_of(&sinus(&[1000; 1200]), &hours);
    assert_eq!((rows[0].intervals, rows[1].intervals), (600, 600));
    assert_eq!((rows[0].nn_percent, rows[1].nn_percent), (100.0, 100.0));
}

/// The first window of an hour stands for it: of an hour that begins with two values in turn and goes on without order
/// the entropy is near nothing.
#[test]
fn the_first_five_minutes_of_an_hour_stand_for_its_entropy() {
    let mut rr: Vec<i64> = [990, 1010].repeat(160);
    let mut state = 7u64;
    rr.extend((0..3000).map(|_| {
        state = state * 48_271 % 2_147_483_647;
        960 + (state % 81) as i64
    }));
    let found = with_day(&sinus(&rr), &[], |d| {
        let series = Series::new(d, None);
        (series.entropy(), series.windows[5].entropy, series.windows.len())
    });
    assert!(
        found.0.0.unwrap() < 0.05 && found.0.1 == 1 && found.1.unwrap() > 1.0 && found.2 == 11,
        "{found:?}"
    );
}

/// What was worked out before is taken over only for the very same intervals and settings.
#[test]
fn windows_of_other_intervals_or_of_another_detrending_are_worked_out_anew() {
    let rr: Vec<i64> = (0..1200).map(|i| 780 + 15 * (i % 5) + 40 * ((i / 7) % 2) + i / 40).collect();
    let plain = sinus(&rr);
    let before = with_day(&plain, &[], |d| Series::new(d, None));
    // As many intervals as before, one of them 30 ms longer and the next 30 ms shorter.
    let mut moved = plain.clone();
    moved.beats[100].sample += 30;
    let mut straight = plain.clone();
    straight.settings.spectrum_detrend = 1.0;
    let mut wide = plain.clone();
    wide.settings.entropy_tolerance = 0.4;
    for (what, day) in [("moved", &moved), ("detrended", &straight), ("tolerant", &wide)] {
        let anew = with_day(day, &[], |d| Series::new(d, None));
        assert_eq!(with_day(day, &[], |d| Series::new(d, Some(&before))), anew, "{what}");
        let (was, is) = (&before.windows[0], &anew.windows[0]);
        assert!(was.bands != is.bands || was.entropy != is.entropy, "{what} changes the first window");
    }
    // The parts of the series that the windows point at are those of the window, whole.
    let found = with_day(&moved, &[], |d| Series::new(d, Some(&before)));
    for window in &found.windows {
        assert!(found.of(window).iter().all(|nn| nn.segment == window.segment));
        let all = found.nn.iter().filter(|nn| nn.segment == window.segment).count();
        assert_eq!(found.of(window).len(), all);
    }
}

/// Worked by hand: of 0 0 1 0 1 1 (SD 0.5477 by n - 1) all pairs are alike within 1.9 SD; of 0 1 0 1 1 0 1 two pairs come
/// again within 0.3 SD, one of them with its successor: ln 2.
#[test]
fn sample_entropy_of_short_series_is_that_worked_by_hand() {
    assert_eq!(sample_entropy(&[0., 0., 1., 0., 1., 1.], 1.9), Some(0.0));
    assert_eq!(sample_entropy(&[0., 0., 1., 0., 1., 1.], 0.3), None);
    near(sample_entropy(&[0., 1., 0., 1., 1., 0., 1.], 0.3), 2f64.ln(), 1e-12);
    assert_eq!(sample_entropy(&[800.0; 4], 0.2), Some(0.0), "equal ones are alike");
    assert_eq!(sample_entropy(&[800.0; 3], 0.2), None);
}

/// Four of the largest boxes must fit: 64 intervals for boxes of up to 16, 256 for boxes of up to 64.
#[test]
fn fluctuation_asks_for_four_of_the_largest_boxes() {
    let ms = |n: usize| (0..n).map(|i| 800.0 + ((i * i * 31) % 97) as f64).collect::<Vec<_>>();
    assert!(
        fluctuation_slope(&ms(64), &SHORT_BOXES).is_some()
            && fluctuation_slope(&ms(63), &SHORT_BOXES).is_none()
    );
    assert!(
        fluctuation_slope(&ms(256), &LONG_BOXES).is_some()
            && fluctuation_slope(&ms(255), &LONG_BOXES).is_none()
    );
}

/// Worked by hand by least squares, heights of neighbouring bins: the top is the lowest of the highest bins.
#[test]
fn the_base_of_a_histogram_of_few_bins() {
    for (heights, bins) in [(&[4, 4, 2][..], 6.0), (&[4, 4, 1], 4.0), (&[3, 2], 4.0), (&[1, 4, 2], 3.0)] {
        let ms: Vec<f64> = heights
            .iter()
            .enumerate()
            .flat_map(|(bin, n)| vec![(100.0 + bin as f64 + 0.5) * BIN_MS; *n])
            .collect();
        near(histogram_base_ms(&series(&ms), BIN_MS), bins * BIN_MS, 1e-9);
    }
}

#[test]
fn the_choices_are_those_of_the_settings() {
    let set = Settings { pnn50_per_difference: 1.0, histogram_bin_ms: 12.5, ..Settings::default() };
    assert_eq!(Choice::of(&set), Choice { pnn50_per_difference: true, bin_ms: 12.5 });
    let v = variability_by(&series(&[800., 812., 814., 900.]), Choice::of(&set));
    near(v.pnn50_percent, 100.0 / 3.0, 1e-9);
    near(v.triangular_index, 4.0 / 2.0, 1e-9);
    let mut day = sinus(&[800; 4]);
    day.beats[2].class = BeatClass::V;
    assert_eq!(lengths(&day), [800.0; 2]);
}
