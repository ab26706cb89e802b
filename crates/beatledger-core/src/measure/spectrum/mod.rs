//! Heart-rate variability in the frequency domain (Task Force 1996, Circulation 93:1043): power of the NN
//! intervals in bands, for windows of five minutes and for a day.
//!
//! NN intervals are not evenly spaced and have holes, so the spectrum is the periodogram of Lomb and Scargle; the
//! Fourier transform of evenly laid intervals stands beside it. Both are scaled so that the integral equals the
//! variance: a sine of amplitude A has the power A * A / 2.

mod even;
mod lomb;
#[cfg(test)]
mod tests;

pub use even::{resampled, resampled_day};
pub use lomb::{day_bands, of_window};

use super::variability::Nn;

/// Length of a short window, s.
pub const WINDOW_S: f64 = 300.0;
/// Longest time of which a day-long spectrum is made, s.
pub const DAY_S: f64 = 86_400.0;
/// Upper limits of ULF, VLF, LF and HF, Hz; each belongs to its band.
pub const LIMITS_HZ: [f64; 4] = [0.003, 0.04, 0.15, 0.40];

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
    /// `of_variance` without ULF and VLF; `None` without power in them.
    pub fn normalised(&self, of_variance: bool) -> Option<(f64, f64)> {
        let both = self.lf_ms2 + self.hf_ms2;
        let all =
            if of_variance { (self.variance_ms2 - self.ulf_ms2 - self.vlf_ms2).max(both) } else { both };
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

/// The first 24 hours of a series.
fn of_day(series: &[Nn]) -> &[Nn] {
    &series[..series.partition_point(|nn| nn.at_s < DAY_S)]
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
