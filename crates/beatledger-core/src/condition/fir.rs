//! Symmetric filters of finite length, designed for the rate at hand: a pulse stays in place and symmetric.

use std::f64::consts::PI;

use super::calibration::{
    HAMMING_LEVEL, HAMMING_SWING, HAMMING_TAPS, MAX_NOTCH, MIN_STOP_BAND_DISTANCE_HZ, NOTCH_HALF_S,
    SEARCH_STEPS, STOP_BAND_DISTANCE, WINDOW_TRANSITION,
};

/// Half of a symmetric kernel: the middle tap first, then the taps to either side.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Kernel {
    half: Vec<f32>,
}

impl Kernel {
    /// Passes everything.
    pub fn identity() -> Self {
        Self { half: vec![1.0] }
    }

    /// How many samples it reaches to either side.
    pub fn reach(&self) -> usize {
        self.half.len() - 1
    }

    /// Gain at `hz`; a symmetric kernel has no phase, so the gain is real (and may be negative).
    pub fn gain(&self, hz: f64, rate_hz: f64) -> f64 {
        gain(&self.half.iter().map(|c| f64::from(*c)).collect::<Vec<_>>(), hz, rate_hz)
    }

    /// Low-pass, -3 dB at `hz`: a sine cardinal under a Hamming window, taps for a stop band (-50 dB)
    /// that starts about 20 % (at least 6 Hz) above. Near or above the Nyquist rate it passes everything.
    pub fn lowpass(hz: f64, rate_hz: f64) -> Self {
        let width_hz = (STOP_BAND_DISTANCE * hz).max(MIN_STOP_BAND_DISTANCE_HZ);
        if hz + width_hz >= 0.5 * rate_hz {
            return Self::identity();
        }
        let reach = (HAMMING_TAPS * rate_hz / (WINDOW_TRANSITION * width_hz)).ceil() as usize;
        // The -6 dB point of a windowed sine cardinal is known, the -3 dB point is searched for.
        let (mut low_hz, mut high_hz) = (hz, (hz + width_hz).min(0.5 * rate_hz));
        for _ in 0..SEARCH_STEPS {
            let middle_hz = 0.5 * (low_hz + high_hz);
            let at = gain(&sine_cardinal(middle_hz, rate_hz, reach), hz, rate_hz);
            if at < std::f64::consts::FRAC_1_SQRT_2 { low_hz = middle_hz } else { high_hz = middle_hz }
        }
        let half = sine_cardinal(high_hz, rate_hz, reach);
        Self { half: half.into_iter().map(|c| c as f32).collect() }
    }

    /// Takes out `hz`: one minus a cosine under a Hann window of half a second (-3 dB about 1.4 Hz to either side).
    pub fn notch(hz: f64, rate_hz: f64) -> Self {
        if hz <= 0.0 || hz >= MAX_NOTCH * rate_hz {
            return Self::identity();
        }
        let reach = (NOTCH_HALF_S * rate_hz).round() as usize;
        let mut half: Vec<f64> = (0..=reach)
            .map(|k| {
                (0.5 + 0.5 * (PI * k as f64 / (reach + 1) as f64).cos())
                    * (2.0 * PI * hz * k as f64 / rate_hz).cos()
            })
            .collect();
        let scale = 1.0 / gain(&half, hz, rate_hz);
        half.iter_mut().for_each(|c| *c *= -scale);
        half[0] += 1.0;
        Self { half: half.into_iter().map(|c| c as f32).collect() }
    }

    /// Filters `x`: `out[i]` belongs to `x[i + reach]`; `x.len() - 2 * reach` values, none when `x` is shorter.
    /// Every value is summed in the same order wherever it stands, so it depends on its neighbours alone.
    pub fn apply(&self, x: &[f32], out: &mut Vec<f32>) {
        const CHUNK: usize = 2048;
        let reach = self.reach();
        out.clear();
        out.resize(x.len().saturating_sub(2 * reach), 0.0);
        for (chunk, part) in out.chunks_mut(CHUNK).enumerate() {
            let (start, n) = (chunk * CHUNK, part.len());
            for (to, from) in part.iter_mut().zip(&x[start + reach..]) {
                *to = self.half[0] * from;
            }
            for (k, c) in self.half.iter().enumerate().skip(1) {
                let before = &x[start + reach - k..][..n];
                let after = &x[start + reach + k..][..n];
                for i in 0..n {
                    part[i] += c * (before[i] + after[i]);
                }
            }
        }
    }
}

fn gain(half: &[f64], hz: f64, rate_hz: f64) -> f64 {
    let side: f64 =
        half.iter().enumerate().skip(1).map(|(k, c)| c * (2.0 * PI * hz * k as f64 / rate_hz).cos()).sum();
    half[0] + 2.0 * side
}

/// Half of a low-pass kernel with -6 dB at `hz` and gain 1 at 0 Hz.
fn sine_cardinal(hz: f64, rate_hz: f64, reach: usize) -> Vec<f64> {
    let mut half: Vec<f64> = (0..=reach)
        .map(|k| {
            let x = 2.0 * PI * hz * k as f64 / rate_hz;
            let sinc = if k == 0 { 1.0 } else { x.sin() / x };
            sinc * (HAMMING_LEVEL + HAMMING_SWING * (PI * k as f64 / (reach + 1) as f64).cos())
        })
        .collect();
    let scale = 1.0 / gain(&half, 0.0, rate_hz);
    half.iter_mut().for_each(|c| *c *= scale);
    half
}
