//! Numbers that describe one shape: how long its energy lasts, how fast it changes, which way it points.

use super::calibration::{CORE, LEAST_ENERGY, SHIFT, STEP_MS, STEPS};
use crate::classify::calibration::NO_ENERGY;

/// A shape described over all leads, by weight.
#[derive(Clone, Copy, Debug, Default)]
pub struct Descriptors {
    /// Twice the standard deviation of the energy in time, ms: a wide complex is long.
    pub length_ms: f32,
    /// Root mean square of the change from step to step over that of the values: a wide complex is slow.
    pub speed: f32,
    /// -1 for a shape that points down alone, 1 for one that points up alone.
    pub polarity: f32,
    /// Log of the weighted energy.
    pub energy: f32,
    /// Largest share of the energy in one step.
    pub peak: f32,
}

impl Descriptors {
    /// Describes `shape`, leads one after the other.
    pub fn of(shape: &[f32], weights: &[f32]) -> Self {
        let (mut total, mut moves, mut points, mut peak) = (NO_ENERGY, 0.0f32, 0.0f32, 0.0f32);
        let (mut first, mut second) = (0.0f32, 0.0f32);
        for (lead, weight) in weights.iter().enumerate() {
            let core = &shape[lead * STEPS + SHIFT..lead * STEPS + SHIFT + CORE];
            let (mut low, mut high, mut own) = (f32::MAX, f32::MIN, 0.0f32);
            for (k, v) in core.iter().enumerate() {
                let e = weight * v * v;
                own += e;
                first += e * k as f32;
                second += e * (k * k) as f32;
                peak = peak.max(e);
                (low, high) = (low.min(*v), high.max(*v));
            }
            moves += core.windows(2).map(|w| weight * (w[1] - w[0]) * (w[1] - w[0])).sum::<f32>();
            points += own * (high + low) / (high - low).max(LEAST_ENERGY);
            total += own;
        }
        let middle = first / total;
        let spread = (second / total - middle * middle).max(0.0).sqrt();
        Self {
            length_ms: 2.0 * spread * STEP_MS as f32,
            speed: (moves / total).sqrt(),
            polarity: points / total,
            energy: total.ln(),
            peak: peak / total,
        }
    }
}

/// Cosine of two shapes, -1 opposite to 1 same, whatever their heights; `b` read from step `shift`.
pub fn cosine(a: &[f32], b: &[f32], weights: &[f32], shift: usize) -> f32 {
    let (mut ab, mut aa, mut bb) = (0.0f32, NO_ENERGY, NO_ENERGY);
    for (lead, weight) in weights.iter().enumerate() {
        let a = &a[lead * STEPS + SHIFT..lead * STEPS + SHIFT + CORE];
        let b = &b[lead * STEPS + shift..lead * STEPS + shift + CORE];
        for (a, b) in a.iter().zip(b) {
            ab += weight * a * b;
            aa += weight * a * a;
            bb += weight * b * b;
        }
    }
    ab / (aa * bb).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bump(width: f32, height: f32) -> Vec<f32> {
        (0..STEPS).map(|k| height * (-((k as f32 - 18.0) / width).powi(2)).exp()).collect()
    }

    #[test]
    fn a_wide_complex_is_longer_and_slower_than_a_narrow_one_of_any_height() {
        let narrow = Descriptors::of(&bump(2.0, 1.0), &[1.0]);
        for height in [0.2, -3.0] {
            let wide = Descriptors::of(&bump(6.0, height), &[1.0]);
            assert!(wide.length_ms > 2.0 * narrow.length_ms && wide.speed < 0.6 * narrow.speed, "{wide:?}");
            assert_eq!(wide.polarity > 0.0, height > 0.0);
        }
    }

    #[test]
    fn the_cosine_does_not_depend_on_heights() {
        assert!((cosine(&bump(3.0, 0.5), &bump(3.0, 2.0), &[1.0], SHIFT) - 1.0).abs() < 1e-5);
        assert!((cosine(&bump(3.0, 0.5), &bump(3.0, -2.0), &[1.0], SHIFT) + 1.0).abs() < 1e-5);
    }
}
