//! The periodogram of Lomb (1976) and Scargle (1982) of unevenly spaced intervals: least squares of a sine at each
//! frequency, which needs no resampling and damps nothing. Its sums over the beats are laid on an even grid and
//! Fourier-transformed (Press and Rybicki 1989), which is quick.

use std::sync::{Arc, LazyLock};

use rustfft::num_complex::Complex;
use rustfft::{Fft, FftPlanner};

use super::{Bands, DAY_S, Line, WINDOW_S, in_bands, of_day};
use crate::measure::variability::Nn;

/// Points of the grid of a short window in a second: ten times the highest frequency.
const WINDOW_GRID_HZ: f64 = 4.0;
/// Points of the grid of a day in a second. Six times the highest frequency keeps the error of laying on below
/// 0.2 % there; twice that frequency, which is less exact, only tells sine from cosine where beats are few.
const DAY_GRID_HZ: f64 = 2.5;
/// Grid points that share one beat.
const TAPS: usize = 8;

/// A ring of grid points and its transform. Single precision is a thousand times finer than a beat is placed.
pub(super) struct Grid {
    period_s: f64,
    hz: f64,
    fft: Arc<dyn Fft<f32>>,
}

pub(super) static WINDOW_GRID: LazyLock<Grid> = LazyLock::new(|| Grid::new(WINDOW_S, WINDOW_GRID_HZ));
static DAY_GRID: LazyLock<Grid> = LazyLock::new(|| Grid::new(DAY_S, DAY_GRID_HZ));

impl Grid {
    fn new(period_s: f64, hz: f64) -> Self {
        Self { period_s, hz, fft: FftPlanner::new().plan_fft_forward((period_s * hz) as usize) }
    }
}

/// Bands of one window of five minutes.
pub fn of_window(window: &[Nn], detrend: bool) -> Bands {
    bands(window, &WINDOW_GRID, detrend)
}

/// Bands of the first 24 hours of `series`; `None` for fewer than two intervals.
pub fn day_bands(series: &[Nn], detrend: bool) -> Option<Bands> {
    let within = of_day(series);
    (within.len() > 1).then(|| bands(within, &DAY_GRID, detrend))
}

/// Bands of a series that lasts no longer than the grid; waves are looked for at multiples of 1 / its period.
pub(super) fn bands(series: &[Nn], grid: &Grid, detrend: bool) -> Bands {
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

/// The deviations from the trend (real part) and the beats themselves (imaginary part), laid on a ring of grid
/// points and Fourier-transformed together.
pub(super) fn transformed(series: &[Nn], grid: &Grid, trend: &Line) -> Vec<Complex<f32>> {
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
pub(super) fn line(grid: &[Complex<f32>], k: usize, n: f64) -> f64 {
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
