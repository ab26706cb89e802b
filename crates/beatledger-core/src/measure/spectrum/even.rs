//! The Fourier transform of intervals laid evenly, four a second (Task Force 1996): by natural cubic splines between
//! neighbours in time, by a straight line where intervals are left out between. Laying evenly damps fast waves, which
//! the periodogram of Lomb and Scargle does not.

use std::sync::{Arc, LazyLock};

use rustfft::num_complex::Complex;
use rustfft::{Fft, FftPlanner};

use super::{Bands, DAY_S, Line, WINDOW_S, in_bands, of_day};
use crate::measure::variability::Nn;

/// Points in a second: ten times the highest frequency.
const HZ: f64 = 4.0;

static WINDOW: LazyLock<Arc<dyn Fft<f32>>> = LazyLock::new(|| plan(WINDOW_S));
static DAY: LazyLock<Arc<dyn Fft<f32>>> = LazyLock::new(|| plan(DAY_S));

fn plan(period_s: f64) -> Arc<dyn Fft<f32>> {
    FftPlanner::new().plan_fft_forward((period_s * HZ) as usize)
}

/// Bands of one window of five minutes; before its first and after its last interval these hold on.
pub fn resampled(window: &[Nn], detrend: bool) -> Bands {
    let (Some(first), Some(last)) = (window.first(), window.last()) else { return Bands::default() };
    let start_s = first.segment as f64 * WINDOW_S;
    let line = Line::of(window, detrend);
    let mut curve = Curve::new(window);
    let at = |k: usize| {
        let t = (start_s + k as f64 / HZ).clamp(first.at_s, last.at_s);
        curve.at(t) - line.at(t)
    };
    let laid: Vec<f64> = (0..WINDOW.len()).map(at).collect();
    transformed(&laid, WINDOW_S, &**WINDOW, laid.len())
}

/// Bands of the first 24 hours of `series`, for the time from its first to its last interval; `None` for fewer than two
/// intervals.
pub fn resampled_day(series: &[Nn], detrend: bool) -> Option<Bands> {
    let within = of_day(series);
    let (first, last) = (within.first()?, within.last()?);
    let line = Line::of(within, detrend);
    let mut curve = Curve::new(within);
    let (from, to) = ((first.at_s * HZ).ceil() as usize, (last.at_s * HZ).floor() as usize);
    let mut laid = vec![0.0; DAY.len()];
    let places = laid.get_mut(from..(to + 1).min(DAY.len()))?;
    let covered = places.len();
    for (k, value) in places.iter_mut().enumerate() {
        let t = (from + k) as f64 / HZ;
        *value = curve.at(t) - line.at(t);
    }
    (within.len() > 1 && covered > 1).then(|| transformed(&laid, DAY_S, &**DAY, covered))
}

/// Bands of values laid evenly over a period, of which only `covered` hold something.
fn transformed(laid: &[f64], period_s: f64, fft: &dyn Fft<f32>, covered: usize) -> Bands {
    let (n, held) = (laid.len() as f64, covered.max(1) as f64);
    let mean = laid.iter().sum::<f64>() / held;
    let variance = laid.iter().map(|x| x * x).sum::<f64>() / held - mean * mean;
    let mut ring: Vec<Complex<f32>> = laid.iter().map(|x| Complex::new(*x as f32, 0.0)).collect();
    fft.process(&mut ring);
    let power = |k: usize| {
        let (re, im) = (f64::from(ring[k].re), f64::from(ring[k].im));
        2.0 * (re * re + im * im) / (n * held)
    };
    in_bands(period_s, power, variance)
}

/// Intervals as a curve over time, asked from left to right.
struct Curve<'a> {
    series: &'a [Nn],
    /// Second derivative at each interval; zero at the ends of a stretch of neighbours.
    bend: Vec<f64>,
    next: usize,
}

impl<'a> Curve<'a> {
    fn new(series: &'a [Nn]) -> Self {
        let mut bend = vec![0.0; series.len()];
        let mut from = 0;
        for part in series.chunk_by(|_, b| b.adjacent) {
            bends(part, &mut bend[from..from + part.len()]);
            from += part.len();
        }
        Self { series, bend, next: 0 }
    }

    /// The value at `t`, s, which never falls from call to call.
    fn at(&mut self, t: f64) -> f64 {
        while self.series.get(self.next).is_some_and(|nn| nn.at_s < t) {
            self.next += 1;
        }
        let (j, i) = (self.next.min(self.series.len() - 1), self.next.saturating_sub(1));
        let (a, b) = (&self.series[i], &self.series[j]);
        let wide = b.at_s - a.at_s;
        if wide <= 0.0 {
            return b.ms;
        }
        let (left, right) = ((b.at_s - t) / wide, (t - a.at_s) / wide);
        let straight = left * a.ms + right * b.ms;
        if !b.adjacent {
            return straight;
        }
        let bent = (left.powi(3) - left) * self.bend[i] + (right.powi(3) - right) * self.bend[j];
        straight + bent * wide * wide / 6.0
    }
}

/// Second derivatives of the natural cubic spline through the intervals of `part` (textbook: three-term equations solved
/// from left to right and back).
fn bends(part: &[Nn], out: &mut [f64]) {
    let n = part.len();
    if n < 3 {
        return;
    }
    let wide = |i: usize| (part[i + 1].at_s - part[i].at_s).max(f64::MIN_POSITIVE);
    let rise = |i: usize| (part[i + 1].ms - part[i].ms) / wide(i);
    let mut upper = vec![0.0; n];
    for i in 1..n - 1 {
        let pivot = 2.0 * (wide(i - 1) + wide(i)) - wide(i - 1) * upper[i - 1];
        upper[i] = wide(i) / pivot;
        out[i] = (6.0 * (rise(i) - rise(i - 1)) - wide(i - 1) * out[i - 1]) / pivot;
    }
    for i in (1..n - 1).rev() {
        out[i] -= upper[i] * out[i + 1];
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Textbook, three points: 2 (h0 + h1) M = 6 (d1 - d0); here h is 1 and 2 s, d 1 and 2 ms/s.
    #[test]
    fn the_spline_through_three_uneven_points_bends_as_in_the_textbook() {
        let at = |at_s: f64, ms: f64| Nn { ms, segment: 0, at_s, adjacent: true };
        let mut out = vec![0.0; 3];
        bends(&[at(0.0, 0.0), at(1.0, 1.0), at(3.0, 5.0)], &mut out);
        assert_eq!(out, [0.0, 1.0, 0.0]);
    }
}
