//! Heart-rate variability in the frequency domain (Task Force 1996, Circulation 93:1043): power of the NN
//! intervals in bands, for windows of five minutes and for a day.
//!
//! NN intervals are not evenly spaced and have holes, so the spectrum is the periodogram of Lomb (1976) and
//! Scargle (1982): least squares of a sine at each frequency, which needs no resampling and damps nothing. Its
//! sums over the beats are laid on an even grid and Fourier-transformed (Press and Rybicki 1989), which is quick.
//! It is scaled so that its integral equals the variance: a sine of amplitude A has the power A * A / 2.

use std::sync::{Arc, LazyLock};

use rustfft::num_complex::Complex;
use rustfft::{Fft, FftPlanner};

use super::variability::Nn;

/// Length of a short window, s.
pub const WINDOW_S: f64 = 300.0;
/// Longest time of which a day-long spectrum is made, s.
pub const DAY_S: f64 = 86_400.0;
/// Points of the grid of a short window in a second: ten times the highest frequency.
const WINDOW_GRID_HZ: f64 = 4.0;
/// Points of the grid of a day in a second. Six times the highest frequency keeps the error of laying on below
/// 0.2 % there; twice that frequency, which is less exact, only tells sine from cosine where beats are few.
const DAY_GRID_HZ: f64 = 2.5;
/// Grid points that share one beat.
const TAPS: usize = 8;

/// Upper limits of ULF, VLF, LF and HF, Hz; each belongs to its band.
pub const LIMITS_HZ: [f64; 4] = [0.003, 0.04, 0.15, 0.40];

/// A ring of grid points and its transform. Single precision is a thousand times finer than a beat is placed.
struct Grid {
    period_s: f64,
    hz: f64,
    fft: Arc<dyn Fft<f32>>,
}

static WINDOW_GRID: LazyLock<Grid> = LazyLock::new(|| Grid::new(WINDOW_S, WINDOW_GRID_HZ));
static DAY_GRID: LazyLock<Grid> = LazyLock::new(|| Grid::new(DAY_S, DAY_GRID_HZ));

impl Grid {
    fn new(period_s: f64, hz: f64) -> Self {
        Self { period_s, hz, fft: FftPlanner::new().plan_fft_forward((period_s * hz) as usize) }
    }
}

/// Power of one series in bands, ms2.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bands {
    /// Up to 0.003 Hz; zero for a window of five minutes, which holds no such wave.
    pub ulf_ms2: f64,
    /// 0.003 (from the lowest wave of a short window) to 0.04 Hz.
    pub vlf_ms2: f64,
    /// 0.04 to 0.15 Hz.
    pub lf_ms2: f64,
    /// 0.15 to 0.40 Hz.
    pub hf_ms2: f64,
    /// Variance of the intervals, power above 0.40 Hz included.
    pub variance_ms2: f64,
}

impl Bands {
    /// Power up to 0.40 Hz: the sum of the bands.
    pub fn total_ms2(&self) -> f64 {
        self.ulf_ms2 + self.vlf_ms2 + self.lf_ms2 + self.hf_ms2
    }

    /// LF and HF in normalised units, %: as shares of both, which for a window of five minutes is LF / (total - VLF), or
    /// `of_variance` without VLF; `None` without power in them.
    pub fn normalised(&self, of_variance: bool) -> Option<(f64, f64)> {
        let both = self.lf_ms2 + self.hf_ms2;
        let all = if of_variance { (self.variance_ms2 - self.vlf_ms2).max(both) } else { both };
        (all > 0.0).then(|| (100.0 * self.lf_ms2 / all, 100.0 * self.hf_ms2 / all))
    }

    /// LF / HF; `None` without power in HF.
    pub fn lf_hf(&self) -> Option<f64> {
        (self.hf_ms2 > 0.0).then(|| self.lf_ms2 / self.hf_ms2)
    }
}

/// Mean of the bands over five-minute windows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WindowBands {
    /// Number of windows that could be used.
    pub windows: usize,
    /// Mean power; zero without windows.
    pub mean: Bands,
}

/// The parts of `series` that fill five-minute segments of the recording to `share_percent` or more, in order.
pub fn full_windows(series: &[Nn], share_percent: f64) -> Vec<&[Nn]> {
    let enough_ms = WINDOW_S * 10.0 * share_percent;
    let full = |part: &&[Nn]| part.len() > 1 && part.iter().map(|nn| nn.ms).sum::<f64>() >= enough_ms;
    series.chunk_by(|a, b| a.segment == b.segment).filter(full).collect()
}

/// Bands of one window of five minutes.
pub fn of_window(window: &[Nn], detrend: bool) -> Bands {
    bands(window, &WINDOW_GRID, detrend)
}

/// Bands of one window of five minutes by the Fourier transform of the intervals laid evenly, four a second, by straight
/// lines between them (Task Force 1996). Laying evenly damps fast waves, which the other spectrum does not; both are
/// scaled so that the integral equals the variance.
pub fn resampled(window: &[Nn], detrend: bool) -> Bands {
    let (Some(first), Some(last)) = (window.first(), window.last()) else { return Bands::default() };
    let points = WINDOW_GRID.fft.len();
    let start_s = first.segment as f64 * WINDOW_S;
    let line = Line::of(window, detrend);
    let mut next = 0;
    let at = |k: usize| {
        let t = (start_s + k as f64 / WINDOW_GRID_HZ).clamp(first.at_s, last.at_s);
        while window.get(next).is_some_and(|nn| nn.at_s < t) {
            next += 1;
        }
        let (b, a) = (&window[next.min(window.len() - 1)], &window[next.saturating_sub(1)]);
        let share = if b.at_s > a.at_s { (t - a.at_s) / (b.at_s - a.at_s) } else { 0.0 };
        Complex::new((a.ms + (b.ms - a.ms) * share - line.at(t)) as f32, 0.0)
    };
    let mut ring: Vec<Complex<f32>> = (0..points).map(at).collect();
    let n = points as f64;
    let squares = |ring: &[Complex<f32>]| ring.iter().map(|x| f64::from(x.re).powi(2)).sum::<f64>();
    let mean = ring.iter().map(|x| f64::from(x.re)).sum::<f64>() / n;
    let variance = squares(&ring) / n - mean * mean;
    WINDOW_GRID.fft.process(&mut ring);
    let power = |k: usize| {
        let (re, im) = (f64::from(ring[k].re), f64::from(ring[k].im));
        2.0 * (re * re + im * im) / (n * n)
    };
    in_bands(WINDOW_S, power, variance)
}

/// What is taken off before a spectrum: the mean, or the straight line of least squares.
struct Line {
    mean: f64,
    middle_s: f64,
    slope: f64,
}

impl Line {
    fn of(series: &[Nn], detrend: bool) -> Self {
        let n = series.len().max(1) as f64;
        let mean = series.iter().map(|nn| nn.ms).sum::<f64>() / n;
        let middle_s = series.iter().map(|nn| nn.at_s).sum::<f64>() / n;
        let across = series.iter().map(|nn| (nn.at_s - middle_s).powi(2)).sum::<f64>();
        let both = series.iter().map(|nn| (nn.at_s - middle_s) * (nn.ms - mean)).sum::<f64>();
        let slope = if detrend && across > 0.0 { both / across } else { 0.0 };
        Self { mean, middle_s, slope }
    }

    fn at(&self, at_s: f64) -> f64 {
        self.mean + self.slope * (at_s - self.middle_s)
    }
}

/// Mean bands over `windows`, each of five minutes.
pub fn window_bands(windows: &[&[Nn]]) -> WindowBands {
    mean_bands(&windows.iter().map(|part| of_window(part, false)).collect::<Vec<_>>())
}

/// Mean of the bands of five-minute windows.
pub fn mean_bands(all: &[Bands]) -> WindowBands {
    let mean = |of: fn(&Bands) -> f64| all.iter().map(of).sum::<f64>() / all.len().max(1) as f64;
    WindowBands {
        windows: all.len(),
        mean: Bands {
            ulf_ms2: 0.0,
            vlf_ms2: mean(|b| b.vlf_ms2),
            lf_ms2: mean(|b| b.lf_ms2),
            hf_ms2: mean(|b| b.hf_ms2),
            variance_ms2: mean(|b| b.variance_ms2),
        },
    }
}

/// Bands of the first 24 hours of `series`; `None` for fewer than two intervals.
pub fn day_bands(series: &[Nn], detrend: bool) -> Option<Bands> {
    let within = &series[..series.partition_point(|nn| nn.at_s < DAY_S)];
    (within.len() > 1).then(|| bands(within, &DAY_GRID, detrend))
}

/// Bands of a series that lasts no longer than the grid; waves are looked for at multiples of 1 / its period.
fn bands(series: &[Nn], grid: &Grid, detrend: bool) -> Bands {
    let period_s = grid.period_s;
    let trend = Line::of(series, detrend);
    let n = series.len() as f64;
    let variance = series.iter().map(|nn| (nn.ms - trend.at(nn.at_s)).powi(2)).sum::<f64>() / n;
    let grid = transformed(series, grid, &trend);
    // A wave in `covered` seconds is as wide as 1 / covered; the lines stand closer than that.
    let covered_s = series.iter().map(|nn| nn.ms).sum::<f64>() / 1000.0;
    let scale = covered_s / period_s / n;
    in_bands(period_s, |k| line(&grid, k, n) * scale, variance)
}

/// The power of lines at multiples of 1 / `period_s`, summed in bands.
fn in_bands(period_s: f64, line: impl Fn(usize) -> f64, variance: f64) -> Bands {
    let limit = LIMITS_HZ.map(|hz| (hz * period_s + 1e-9) as usize);
    // Processors differ in the last bits of a transform; thousandths of a ms2 are the same on all.
    let held = |x: f64| (x * 1000.0).round() / 1000.0;
    let power = |lines: std::ops::Range<usize>| held(lines.map(&line).sum::<f64>());
    Bands {
        ulf_ms2: power(1..limit[0] + 1),
        vlf_ms2: power(limit[0] + 1..limit[1] + 1),
        lf_ms2: power(limit[1] + 1..limit[2] + 1),
        hf_ms2: power(limit[2] + 1..limit[3] + 1),
        variance_ms2: held(variance),
    }
}

/// The deviations from the trend (real part) and the beats themselves (imaginary part), laid on a ring of grid
/// points and Fourier-transformed together.
fn transformed(series: &[Nn], grid: &Grid, trend: &Line) -> Vec<Complex<f32>> {
    let mut ring = vec![Complex::new(0.0, 0.0); grid.fft.len()];
    for nn in series {
        lay(&mut ring, nn.at_s * grid.hz, nn.ms - trend.at(nn.at_s));
    }
    grid.fft.process(&mut ring);
    ring
}

/// Shares `value`, and one for the beat, at the place `at` among the nearest grid points by Lagrange's polynomial, turned around: a
/// smooth wave summed over the grid is then what it would be at the place itself.
fn lay(grid: &mut [Complex<f32>], at: f64, value: f64) {
    const SHARES: [f64; TAPS] = [-5040.0, 720.0, -240.0, 144.0, -144.0, 240.0, -720.0, 5040.0];
    let floor = at.floor();
    let x = at - floor + (TAPS / 2 - 1) as f64;
    // Products of the distances before and after each tap: a place on a grid point needs no special case.
    let (mut before, mut after) = ([1.0; TAPS], [1.0; TAPS]);
    for i in 1..TAPS {
        before[i] = before[i - 1] * (x - (i - 1) as f64);
        after[TAPS - 1 - i] = after[TAPS - i] * (x - (TAPS - i) as f64);
    }
    let len = grid.len();
    let first = (floor as i64 - (TAPS / 2 - 1) as i64).rem_euclid(len as i64) as usize;
    for i in 0..TAPS {
        let to = first + i;
        let share = before[i] * after[i] / SHARES[i];
        grid[if to < len { to } else { to - len }] += Complex::new((share * value) as f32, share as f32);
    }
}

/// Twice the power of Lomb and Scargle at line `k`, before scaling.
fn line(grid: &[Complex<f32>], k: usize, n: f64) -> f64 {
    let len = grid.len();
    let at = |k: usize| Complex::new(f64::from(grid[k].re), f64::from(grid[k].im));
    // The transforms of the two real series that were packed into one.
    let mirrored = |k: usize| at(len - k).conj();
    let values = (at(k) + mirrored(k)) * 0.5;
    let beats = (at(2 * k) - mirrored(2 * k)) * Complex::new(0.0, -0.5);
    let (c, s) = (values.re, -values.im);
    let (c2, s2) = (beats.re, -beats.im);
    // The least squares of a sine and a cosine that are not at right angles to each other on these beats.
    let (cosines, sines, mixed) = (0.5 * (n + c2), 0.5 * (n - c2), 0.5 * s2);
    let area = cosines * sines - mixed * mixed;
    // Beats that all meet the wave in one phase tell its size in that phase only.
    if area < 1e-6 * n * n {
        return (c * c + s * s) / n;
    }
    (sines * c * c + cosines * s * s - 2.0 * mixed * c * s) / area
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

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
        let tau =
            sum(&|nn| (2.0 * w * nn.at_s).sin()).atan2(sum(&|nn| (2.0 * w * nn.at_s).cos())) / (2.0 * w);
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

    /// Theory: a sine of 50 ms has 1250 ms2; straight lines between beats 1 s apart damp a wave by sinc squared of its
    /// frequency, which at 0.1 Hz leaves 93.5 % of its power.
    #[test]
    fn evenly_laid_intervals_keep_a_slow_wave_in_its_band() {
        let window = &breathing(0.1, 299.0);
        let even = resampled(window, false);
        near(even.lf_ms2, 1250.0 * 0.935, 0.03);
        assert!(even.hf_ms2 < 30.0 && even.vlf_ms2 < 30.0, "{even:?}");
        near(even.total_ms2(), even.variance_ms2, 0.03);
        assert!(
            resampled(&breathing(0.3, 299.0), false).hf_ms2 < of_window(&breathing(0.3, 299.0), false).hf_ms2
        );
        assert_eq!(resampled(&[], true), Bands::default());
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
}
