//! Spectra of made series, whose power is known.

use std::f64::consts::PI;

use super::lomb::{WINDOW_GRID, bands, line, transformed};
use super::*;

/// Intervals of 1 s that breathe at `hz` by 50 ms for `seconds`.
fn breathing(hz: f64, seconds: f64) -> Vec<Nn> {
    let (mut series, mut t) = (Vec::new(), 0.0);
    while t < seconds {
        let ms = 1000.0 + 50.0 * (2.0 * PI * hz * t).sin();
        let segment = (t / WINDOW_S) as usize;
        t += ms / 1000.0;
        series.push(Nn { ms, segment, at_s: t, adjacent: true });
    }
    series
}

fn near(value: f64, expected: f64, share: f64) {
    assert!((value - expected).abs() <= share * expected.abs(), "{value} is not {expected}");
}

/// The definition itself, without a grid.
fn line_by_definition(series: &[Nn], hz: f64) -> f64 {
    let w = 2.0 * PI * hz;
    let mean = series.iter().map(|nn| nn.ms).sum::<f64>() / series.len() as f64;
    let sum = |of: &dyn Fn(&Nn) -> f64| series.iter().map(of).sum::<f64>();
    let tau = sum(&|nn| (2.0 * w * nn.at_s).sin()).atan2(sum(&|nn| (2.0 * w * nn.at_s).cos())) / (2.0 * w);
    let part = |of: fn(f64) -> f64| {
        let value = sum(&|nn| (nn.ms - mean) * of(w * (nn.at_s - tau)));
        value * value / sum(&|nn| of(w * (nn.at_s - tau)).powi(2))
    };
    part(f64::cos) + part(f64::sin)
}

/// Theory: a sine of 50 ms has the power 50 * 50 / 2 = 1250 ms2.
#[test]
fn a_sine_has_half_its_squared_amplitude_in_its_own_band() {
    let low = window_bands(&full_windows(&breathing(0.1, 3600.0), 80.0));
    assert_eq!(low.windows, 12);
    near(low.mean.lf_ms2, 1250.0, 0.01);
    assert!(low.mean.normalised(false).unwrap().0 > 99.0 && low.mean.lf_hf().unwrap() > 99.0, "{low:?}");
    let high = window_bands(&full_windows(&breathing(0.25, 3600.0), 80.0)).mean;
    near(high.hf_ms2, 1250.0, 0.02);
    assert!(high.normalised(false).unwrap().0 < 1.0, "{high:?}");
}

#[test]
fn a_day_long_sine_lies_in_the_band_of_its_frequency() {
    for (hz, of) in [
        (0.001, (|b| b.ulf_ms2) as fn(&Bands) -> f64),
        (0.01, |b| b.vlf_ms2),
        (0.1, |b| b.lf_ms2),
        (0.3, |b| b.hf_ms2),
    ] {
        let bands = day_bands(&breathing(hz, 86_000.0), false).unwrap();
        near(of(&bands), 1250.0, 0.02);
        near(bands.total_ms2(), 1250.0, 0.02);
    }
}

#[test]
fn half_a_day_with_holes_keeps_the_power_of_its_waves() {
    let mut series = breathing(0.1, 43_200.0);
    series.retain(|nn| nn.at_s % 1000.0 < 700.0);
    near(day_bands(&series, false).unwrap().total_ms2(), 1250.0, 0.03);
}

/// The bands hold all the variance of a series without waves above 0.4 Hz.
#[test]
fn bands_add_up_to_the_variance() {
    let wave = |t: f64| 30.0 * (0.17 * t).sin() + 20.0 * (0.7 * t).cos() + 25.0 * (2.1 * t + 1.0).sin();
    let series: Vec<Nn> = (1..=375)
        .map(|i| f64::from(i) * 0.8)
        .map(|t| Nn { ms: 800.0 + wave(t), segment: 0, at_s: t, adjacent: true })
        .collect();
    let mean = series.iter().map(|nn| nn.ms).sum::<f64>() / 375.0;
    let variance = series.iter().map(|nn| (nn.ms - mean).powi(2)).sum::<f64>() / 375.0;
    near(bands(&series, &WINDOW_GRID, false).total_ms2(), variance, 0.005);
}

/// Lomb 1976 and Scargle 1982, summed beat by beat.
#[test]
fn the_grid_gives_what_the_definition_gives() {
    let mut series = breathing(0.27, 300.0);
    for (i, nn) in series.iter_mut().enumerate() {
        nn.ms += ((i * i * 31) % 97) as f64;
        nn.at_s += ((i * 53) % 89) as f64 / 400.0;
    }
    series.retain(|nn| !(100.0..130.0).contains(&nn.at_s));
    let grid = transformed(&series, &WINDOW_GRID, &Line::of(&series, false));
    for k in 1..=120 {
        let expected = line_by_definition(&series, k as f64 / WINDOW_S);
        let found = line(&grid, k, series.len() as f64);
        assert!((found - expected).abs() <= 0.001 * expected + 0.5, "{k}: {found} is not {expected}");
    }
}

#[test]
fn a_window_that_is_not_full_is_left_out() {
    let mut series = breathing(0.1, 900.0);
    series.retain(|nn| !(300.0..400.0).contains(&nn.at_s));
    assert_eq!(full_windows(&series, 80.0).len(), 2);
    assert_eq!(full_windows(&series, 60.0).len(), 3);
    assert_eq!((window_bands(&[]).windows, day_bands(&series[..1], false)), (0, None));
}

/// Five minutes made of waves with the powers of the supine norms (Task Force 1996: LF 1170, HF 975, total 3466 ms2, the
/// rest in VLF) are read as such.
#[test]
fn five_minutes_with_the_powers_of_the_norms_are_read_as_such() {
    let wave = |power: f64, hz: f64, t: f64| (2.0 * power).sqrt() * (2.0 * PI * hz * t).sin();
    let (mut series, mut t) = (Vec::new(), 0.0);
    while t < 299.0 {
        let ms = 900.0 + wave(1170.0, 0.1, t) + wave(975.0, 0.25, t) + wave(3466.0 - 1170.0 - 975.0, 0.02, t);
        t += ms / 1000.0;
        series.push(Nn { ms, segment: 0, at_s: t, adjacent: true });
    }
    for bands in [of_window(&series, false), resampled(&series, false)] {
        near(bands.lf_ms2, 1170.0, 0.06);
        near(bands.hf_ms2, 975.0, 0.12);
        near(bands.total_ms2(), 3466.0, 0.06);
        near(bands.lf_hf().unwrap(), 1.2, 0.15);
    }
}

/// Theory: a sine of 50 ms has 1250 ms2. Through beats 1 s apart a cubic spline draws a wave of f Hz at sinc(f)^4 over
/// 2/3 + 1/3 cos(2 pi f) of its size (B-spline theory, from memory): 0.9998 at 0.1 Hz and 0.9855 at 0.25 Hz, squared for
/// the power.
#[test]
fn evenly_laid_intervals_keep_waves_in_their_bands() {
    let even = resampled(&breathing(0.1, 299.0), false);
    near(even.lf_ms2, 1250.0, 0.015);
    assert!(even.hf_ms2 < 30.0 && even.vlf_ms2 < 30.0, "{even:?}");
    near(even.total_ms2(), even.variance_ms2, 0.01);
    near(resampled(&breathing(0.25, 299.0), false).hf_ms2, 1250.0 * 0.9855 * 0.9855, 0.02);
    assert_eq!(resampled(&[], true), Bands::default());
}

#[test]
fn a_day_laid_evenly_keeps_its_waves_and_its_variance() {
    for (hz, of) in [
        (0.001, (|b| b.ulf_ms2) as fn(&Bands) -> f64),
        (0.01, |b| b.vlf_ms2),
        (0.1, |b| b.lf_ms2),
        (0.25, |b| b.hf_ms2),
    ] {
        for seconds in [43_200.0, 86_000.0] {
            let day = resampled_day(&breathing(hz, seconds), false).unwrap();
            near(of(&day), 1250.0, 0.04);
            near(day.total_ms2(), day.variance_ms2, 0.001);
        }
    }
    assert_eq!((resampled_day(&[], false), resampled_day(&breathing(0.1, 0.5), false)), (None, None));
}

/// A spline would swing far out between two intervals that lie a minute apart.
#[test]
fn over_a_hole_lies_a_straight_line() {
    let mut window = breathing(0.1, 299.0);
    window.retain(|nn| !(120.0..180.0).contains(&nn.at_s));
    let hole = window.iter().position(|nn| nn.at_s > 150.0).unwrap();
    let whole = resampled(&window, false);
    window[hole].adjacent = false;
    let parted = resampled(&window, false);
    assert!(parted.variance_ms2 < 1250.0 && whole.variance_ms2 > 1500.0, "{parted:?} {whole:?}");
}

/// A drift of 200 ms in five minutes lies in VLF unless the straight line is taken off.
#[test]
fn a_straight_line_is_taken_off_where_set() {
    let mut window = breathing(0.1, 299.0);
    window.iter_mut().for_each(|nn| nn.ms += 200.0 * (nn.at_s / 300.0 - 0.5));
    for of in [of_window, resampled] {
        assert!(of(&window, false).vlf_ms2 > 1000.0);
        assert!(of(&window, true).vlf_ms2 < 100.0, "{:?}", of(&window, true));
        near(of(&window, true).lf_ms2, of(&window, false).lf_ms2, 0.1);
    }
}

/// Worked by hand.
#[test]
fn normalised_units_are_shares_of_both_bands_or_of_the_variance() {
    let bands =
        Bands { vlf_ms2: 500.0, lf_ms2: 300.0, hf_ms2: 100.0, variance_ms2: 1000.0, ..Bands::default() };
    assert_eq!(bands.normalised(false), Some((75.0, 25.0)));
    assert_eq!(bands.normalised(true), Some((60.0, 20.0)));
    assert_eq!(Bands::default().normalised(true), None);
}

/// Task Force 1996: up to 0.003, 0.04, 0.15 and 0.40 Hz; each limit belongs to the band below it.
#[test]
fn a_line_at_the_limit_of_a_band_belongs_to_it() {
    let of = |period_s: f64, line: usize| {
        let bands = in_bands(period_s, |k| if k == line { 1.0 } else { 0.0 }, 7.0);
        assert_eq!(bands.variance_ms2, 7.0);
        assert!(bands.total_ms2() <= 1.0, "line {line} stands in two bands");
        [bands.ulf_ms2, bands.vlf_ms2, bands.lf_ms2, bands.hf_ms2].iter().position(|p| *p == 1.0)
    };
    for (line, band) in [
        (1, Some(1)),
        (12, Some(1)),
        (13, Some(2)),
        (45, Some(2)),
        (46, Some(3)),
        (120, Some(3)),
        (121, None),
    ] {
        assert_eq!(of(WINDOW_S, line), band, "{line} / 300 Hz");
    }
    // 0.003, 0.04, 0.15 and 0.40 Hz of a day are 259.2, 3456, 12960 and 34560 lines.
    for (line, band) in [
        (1, Some(0)),
        (259, Some(0)),
        (260, Some(1)),
        (3456, Some(1)),
        (3457, Some(2)),
        (12_960, Some(2)),
        (12_961, Some(3)),
        (34_560, Some(3)),
        (34_561, None),
    ] {
        assert_eq!(of(DAY_S, line), band, "{line} a day");
    }
}

#[test]
fn five_minutes_that_are_filled_to_the_set_share_are_full() {
    let series = |n: usize| -> Vec<Nn> {
        (0..n).map(|i| Nn { ms: 1000.0, segment: 0, at_s: i as f64 + 1.0, adjacent: true }).collect()
    };
    assert_eq!((full_windows(&series(240), 80.0).len(), full_windows(&series(239), 80.0).len()), (1, 0));
}

/// Worked by hand.
#[test]
fn the_mean_of_windows_is_that_of_each_band() {
    let bands =
        |x: f64| Bands { ulf_ms2: 0.0, vlf_ms2: x, lf_ms2: 3.0 * x, hf_ms2: 7.0 * x, variance_ms2: 20.0 * x };
    let mean = mean_bands(&[bands(1.0), bands(3.0)]);
    assert_eq!((mean.windows, mean.mean), (2, bands(2.0)));
    assert_eq!((mean.mean.total_ms2(), mean.mean.lf_hf()), (22.0, Some(3.0 / 7.0)));
    let day = Bands { ulf_ms2: 200.0, vlf_ms2: 300.0, lf_ms2: 100.0, hf_ms2: 50.0, variance_ms2: 1000.0 };
    assert_eq!((day.normalised(true), day.total_ms2()), (Some((20.0, 10.0)), 650.0));
}
