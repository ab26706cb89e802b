//! The mean P wave of some beats.

use crate::classify::calibration::NO_ENERGY;
use crate::classify::shapes::calibration::P_STEPS;
use crate::classify::shapes::shape::{Shapes, subtract_trend};
use crate::classify::timing::calibration::{LEAST_AGREEMENT, P_SHIFT};
use crate::classify::timing::p_waves::pair_agreement;

/// The mean tracing before the QRS of some beats, from a step on, trend removed: leads one after the other.
pub(super) struct MeanPWave {
    mean: Vec<f32>,
    steps: usize,
    beats: f32,
    /// Mean correlation of two of them, weighted by energy, 0 to 1.
    pub(super) agreement: f32,
}

impl MeanPWave {
    /// The mean over `beats`.
    pub(super) fn of(shapes: &Shapes, beats: impl Iterator<Item = usize>, skip: usize) -> Self {
        let steps = P_STEPS - skip;
        let mut mean = vec![0.0f32; steps * shapes.leads()];
        let mut own = vec![0.0f32; steps];
        let (mut count, mut energy) = (0.0f32, NO_ENERGY);
        for i in beats {
            for (mean, before) in mean.chunks_mut(steps).zip(shapes.p_stretch(i).chunks(P_STEPS)) {
                own.copy_from_slice(&before[skip..]);
                subtract_trend(&mut own);
                energy += own.iter().map(|v| v * v).sum::<f32>();
                mean.iter_mut().zip(&own).for_each(|(m, v)| *m += v);
            }
            count += 1.0;
        }
        let of_sum: f32 = mean.iter().map(|v| v * v).sum();
        let agreement = pair_agreement(of_sum, energy, count);
        mean.iter_mut().for_each(|v| *v /= count.max(1.0));
        Self { mean, steps, beats: count.max(1.0), agreement }
    }

    /// Share of the mean's energy that is noise left over.
    pub(super) fn noise(&self) -> f32 {
        (1.0 - self.agreement) / (self.agreement.max(LEAST_AGREEMENT) * self.beats)
    }

    /// Distance to another mean at the best shift: 0 same, 1 unlike, 2 opposite.
    pub(super) fn apart(&self, other: &Self) -> f32 {
        let at = |shift: usize| {
            let (mut apart, mut together) = (0.0f32, NO_ENERGY);
            for (a, b) in self.mean.chunks(self.steps).zip(other.mean.chunks(self.steps)) {
                let inner = &a[P_SHIFT..self.steps - P_SHIFT];
                for (a, b) in inner.iter().zip(&b[shift..]) {
                    apart += (a - b) * (a - b);
                    together += a * a + b * b;
                }
            }
            apart / together
        };
        (0..=2 * P_SHIFT).map(at).fold(f32::MAX, f32::min)
    }
}
