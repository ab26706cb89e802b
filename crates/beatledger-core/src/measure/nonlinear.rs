//! Heart-rate variability from the shape of the series: Poincare plot, detrended fluctuation, sample entropy and
//! the base of the histogram.

use rayon::prelude::*;

use super::variability::Nn;

/// Usual bin of the histogram: 1/128 s, ms (Task Force 1996); the setting decides.
pub const BIN_MS: f64 = 7.8125;
/// Beats in a box for alpha 1 (Peng 1995: 4 to 16).
pub const SHORT_BOXES: [usize; 13] = [4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16];
/// Beats in a box for alpha 2 (Peng 1995: 16 to 64).
pub const LONG_BOXES: [usize; 13] = [16, 20, 24, 28, 32, 36, 40, 44, 48, 52, 56, 60, 64];
/// Length of the patterns of sample entropy.
const PATTERN: usize = 2;

/// Standard deviations of the cloud of neighbouring intervals, across and along the line of equal intervals, ms.
/// They are those of the cloud itself (divided by n): the usual short cut by SDNN and SDSD holds for long series
/// only. `None` without two neighbours.
pub fn poincare(series: &[Nn]) -> Option<(f64, f64)> {
    let pairs = || series.windows(2).filter(|w| w[1].adjacent).map(|w| (w[0].ms, w[1].ms));
    let n = pairs().count() as f64;
    let deviation = |of: fn((f64, f64)) -> f64| {
        let mean = pairs().map(of).sum::<f64>() / n;
        (pairs().map(of).map(|x| (x - mean).powi(2)).sum::<f64>() / n / 2.0).sqrt()
    };
    (n > 0.0).then(|| (deviation(|(a, b)| b - a), deviation(|(a, b)| a + b)))
}

/// Scaling exponent of detrended fluctuation (Peng 1995) over boxes of `boxes` intervals: the slope of log
/// fluctuation on log box length. The series is summed up, cut into boxes from its start, and the root mean
/// square of what a straight line in each box leaves is its fluctuation. `None` where a fluctuation is zero or
/// fewer than four of the largest boxes fit.
pub fn fluctuation_slope(ms: &[f64], boxes: &[usize]) -> Option<f64> {
    if ms.len() < 4 * boxes.iter().max()? {
        return None;
    }
    let mean = ms.iter().sum::<f64>() / ms.len() as f64;
    let mut sum = 0.0;
    let profile: Vec<f64> = ms
        .iter()
        .map(|x| {
            sum += x - mean;
            sum
        })
        .collect();
    let fluctuations: Vec<f64> = boxes.par_iter().map(|size| fluctuation(&profile, *size)).collect();
    // A series without any movement leaves rounding alone.
    if fluctuations.iter().any(|f| *f < 1e-6) {
        return None;
    }
    let points = boxes.iter().zip(&fluctuations).map(|(n, f)| ((*n as f64).ln(), f.ln()));
    slope(&points.collect::<Vec<_>>())
}

/// Boxes that are worked on side by side: their sums do not wait for each other.
const SIDE_BY_SIDE: usize = 4;

/// Root mean square of what straight lines in boxes of `size` leave of `profile`.
fn fluctuation(profile: &[f64], size: usize) -> f64 {
    let mut left = 0.0;
    let mut quads = profile.chunks_exact(SIDE_BY_SIDE * size);
    for quad in &mut quads {
        for rest in rests::<SIDE_BY_SIDE>(quad, size) {
            left += rest;
        }
    }
    for part in quads.remainder().chunks_exact(size) {
        left += rests::<1>(part, size)[0];
    }
    (left / (profile.len() / size * size) as f64).sqrt()
}

/// Sum of the squares of what a straight line leaves of each of the `N` boxes that `part` holds.
fn rests<const N: usize>(part: &[f64], size: usize) -> [f64; N] {
    let middle = (size - 1) as f64 / 2.0;
    let spread = (size * (size * size - 1)) as f64 / 12.0;
    let boxes: [&[f64]; N] = std::array::from_fn(|b| &part[b * size..(b + 1) * size]);
    let (mut sum, mut tilt, mut squares) = ([0.0; N], [0.0; N], [0.0; N]);
    for k in 0..size {
        let from_middle = k as f64 - middle;
        for b in 0..N {
            // From the first value, so that the sums stay small against what they leave.
            let y = boxes[b][k] - boxes[b][0];
            sum[b] += y;
            tilt[b] += from_middle * y;
            squares[b] += y * y;
        }
    }
    let rest = |b: usize| squares[b] - sum[b] * sum[b] / size as f64 - tilt[b] * tilt[b] / spread;
    std::array::from_fn(|b| rest(b).max(0.0))
}

/// Least-squares slope of `(x, y)`; `None` when all x are equal.
pub fn slope(points: &[(f64, f64)]) -> Option<f64> {
    let n = points.len() as f64;
    let (x, y) = points.iter().fold((0.0, 0.0), |(x, y), p| (x + p.0 / n, y + p.1 / n));
    let (across, both) =
        points.iter().fold((0.0, 0.0), |(a, b), p| (a + (p.0 - x).powi(2), b + (p.0 - x) * (p.1 - y)));
    (across > 0.0).then(|| both / across)
}

/// Sample entropy (Richman and Moorman 2000): minus the log of the share of patterns of two intervals within `r`
/// of each other that are still within `r` with the next interval, where `r` is `tolerance` standard deviations
/// (n - 1). `None` where nothing is alike.
pub fn sample_entropy(ms: &[f64], tolerance: f64) -> Option<f64> {
    let n = ms.len();
    if n < PATTERN + 2 {
        return None;
    }
    let mean = ms.iter().sum::<f64>() / n as f64;
    let r = tolerance * (ms.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n - 1) as f64).sqrt();
    let (mut short, mut long) = (0u64, 0u64);
    for i in 0..n - PATTERN {
        let later = ms[i + 1..n - 2].iter().zip(&ms[i + 2..n - 1]).zip(&ms[i + 3..]);
        let (mut two, mut three) = (0u32, 0u32);
        for ((a, b), c) in later {
            // No branches: the processor then compares several patterns at once.
            let alike = ((ms[i] - a).abs() <= r) & ((ms[i + 1] - b).abs() <= r);
            two += u32::from(alike);
            three += u32::from(alike & ((ms[i + 2] - c).abs() <= r));
        }
        short += u64::from(two);
        long += u64::from(three);
    }
    (long > 0).then(|| (short as f64 / long as f64).ln().abs())
}

/// Base width of the triangle that fits the histogram of the intervals best by least squares, its top being the
/// highest bin (TINN, Task Force 1996), ms; `None` where all intervals lie in one bin.
pub fn histogram_base_ms(series: &[Nn], bin_ms: f64) -> Option<f64> {
    let mut bins: Vec<f64> = Vec::new();
    for nn in series {
        let bin = (nn.ms.max(0.0) / bin_ms) as usize;
        bins.resize(bins.len().max(bin + 1), 0.0);
        bins[bin] += 1.0;
    }
    let top = (0..bins.len()).rev().max_by(|a, b| bins[*a].total_cmp(&bins[*b]))?;
    let lowest = bins.iter().position(|b| *b > 0.0)?;
    if lowest + 1 == bins.len() {
        return None;
    }
    let below: Vec<f64> = bins[lowest..=top].iter().rev().copied().collect();
    Some((limb(&below) + limb(&bins[top..])) as f64 * bin_ms)
}

/// Length in bins of the straight limb from the height of `side[0]` to zero that fits `side` best.
fn limb(side: &[f64]) -> usize {
    let left = |length: usize| {
        let line = |k: usize| side[0] * (1.0 - k as f64 / length as f64).max(0.0);
        side.iter().enumerate().map(|(k, d)| (d - line(k)).powi(2)).sum::<f64>()
    };
    // Beyond twice its bins a limb is nearly level and fits nothing better.
    (1..=2 * side.len()).min_by(|a, b| left(*a).total_cmp(&left(*b))).unwrap_or(1)
}

#[cfg(test)]
mod tests {
    use beatledger_testkit::Random;
    use rustfft::{FftPlanner, num_complex::Complex};

    use super::*;

    fn series(ms: &[f64]) -> Vec<Nn> {
        let nn = |(i, ms): (usize, &f64)| Nn { ms: *ms, segment: 0, at_s: i as f64, adjacent: i > 0 };
        ms.iter().enumerate().map(nn).collect()
    }

    fn near(value: f64, expected: f64, tolerance: f64) {
        assert!((value - expected).abs() <= tolerance, "{value} is not {expected}");
    }

    /// Numbers between 0 and 1.
    fn uniform(n: usize) -> Vec<f64> {
        let mut random = Random::new(12_345);
        (0..n).map(|_| random.share()).collect()
    }

    /// Numbers that follow a normal law: sums of twelve of them.
    fn noise(n: usize) -> Vec<f64> {
        uniform(12 * n).chunks(12).map(|part| part.iter().sum::<f64>() - 6.0).collect()
    }

    /// Worked by hand on ten intervals (point cloud, divided by n).
    #[test]
    fn the_poincare_cloud_of_ten_intervals() {
        let (across, along) =
            poincare(&series(&[800., 810., 790., 860., 750., 820., 805., 795., 900., 780.])).unwrap();
        near(across, 51.6965, 5e-5);
        near(along, 27.1314, 5e-5);
        // The spread across is that of the differences (Brennan 2001, from memory): SDSD by n is 73.1099, by n - 1
        // 77.5448. The one along follows from SDNN for many intervals only: of ten it would give 23.14, not 27.13.
        let sdsd = across * 2f64.sqrt();
        near(sdsd, 73.1099, 5e-4);
        near(sdsd * (9f64 / 8.0).sqrt(), 77.5448, 5e-4);
        let ten = series(&[800., 810., 790., 860., 750., 820., 805., 795., 900., 780.]);
        let sdnn = crate::measure::variability::variability(&ten).sdnn_ms.unwrap();
        near((2.0 * sdnn * sdnn - 0.5 * sdsd * sdsd * 9.0 / 8.0).sqrt(), 23.14, 0.005);
    }

    /// Theory: neighbours that alternate lie in two points of equal sum.
    #[test]
    fn alternating_intervals_spread_across_the_line_only() {
        let (across, along) = poincare(&series(&[800.0, 900.0].repeat(500))).unwrap();
        near(across, 70.711, 0.001);
        near(along, 0.0, 1e-9);
        assert_eq!(poincare(&series(&[800.0])), None);
    }

    /// Theory (Peng 1995): white noise 0.5, its running sum 1.5. Short boxes read a little high.
    #[test]
    fn fluctuation_tells_noise_from_its_running_sum() {
        let white = noise(20_000);
        near(fluctuation_slope(&white, &LONG_BOXES).unwrap(), 0.5, 0.04);
        near(fluctuation_slope(&white, &SHORT_BOXES).unwrap(), 0.5, 0.12);
        let mut sum = 0.0;
        let brown: Vec<f64> = white.iter().map(|x| (sum += x, sum).1).collect();
        near(fluctuation_slope(&brown, &LONG_BOXES).unwrap(), 1.5, 0.06);
    }

    /// Theory (Peng 1995): noise whose power falls as 1/f has 1.0. Made of waves of random phase.
    #[test]
    fn fluctuation_of_one_over_f_noise_is_one() {
        let n = 16_384;
        let phases = uniform(n);
        let mut waves = vec![Complex::new(0.0, 0.0); n];
        for k in 1..n / 2 {
            waves[k] = Complex::from_polar(1.0 / (k as f64).sqrt(), 2.0 * std::f64::consts::PI * phases[k]);
        }
        FftPlanner::new().plan_fft_inverse(n).process(&mut waves);
        let pink: Vec<f64> = waves.iter().map(|w| w.re).collect();
        near(fluctuation_slope(&pink, &LONG_BOXES).unwrap(), 1.0, 0.05);
        near(fluctuation_slope(&pink, &SHORT_BOXES).unwrap(), 1.0, 0.12);
    }

    #[test]
    fn intervals_that_never_change_have_no_fluctuation() {
        assert_eq!(fluctuation_slope(&[800.0; 1000], &SHORT_BOXES), None);
        assert_eq!(fluctuation_slope(&noise(63), &SHORT_BOXES), None);
    }

    /// Theory: independent normal numbers give -ln erf(0.1) = 2.185, uniform ones 2.188, and what repeats gives nearly
    /// nothing.
    #[test]
    fn sample_entropy_of_noise_and_of_a_cycle() {
        near(sample_entropy(&noise(4000), 0.2).unwrap(), 2.185, 0.05);
        near(sample_entropy(&uniform(4000), 0.2).unwrap(), 2.188, 0.05);
        near(sample_entropy(&[800.0, 820.0, 790.0, 850.0].repeat(100), 0.2).unwrap(), 0.0, 0.01);
        assert_eq!(sample_entropy(&[800.0, 810.0, 790.0], 0.2), None);
    }

    /// A histogram that is a triangle: 10 bins up, 20 bins down.
    #[test]
    fn the_base_of_a_triangle_is_found() {
        let mut ms = Vec::new();
        for bin in 0..30usize {
            let height = if bin <= 10 { 2 * bin } else { 30 - bin };
            ms.extend(vec![700.0 + (bin as f64 + 0.4) * BIN_MS; height]);
        }
        near(histogram_base_ms(&series(&ms), BIN_MS).unwrap(), 30.0 * BIN_MS, 1e-9);
        assert_eq!(histogram_base_ms(&series(&[800.0; 5]), BIN_MS), None);
        assert_eq!(histogram_base_ms(&[], BIN_MS), None);
    }
}
