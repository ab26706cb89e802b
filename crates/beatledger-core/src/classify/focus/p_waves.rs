//! The mean P wave of some beats.

use super::super::atrial::pair_agreement;
use super::super::shape::{PRE, Shapes, take_trend};

/// Steps by which two mean P waves are laid over each other: PR may differ where the focus does not.
const SHIFT: usize = 4;

/// The mean tracing before the QRS of some beats, from a step on, trend removed: leads one after the other.
pub(super) struct MeanP {
    mean: Vec<f32>,
    steps: usize,
    beats: f32,
    /// Mean correlation of two of them, weighted by energy, 0 to 1.
    pub(super) agreement: f32,
}

impl MeanP {
    /// The mean over `beats`.
    pub(super) fn of(shapes: &Shapes, beats: impl Iterator<Item = usize>, skip: usize) -> Self {
        let steps = PRE - skip;
        let mut mean = vec![0.0f32; steps * shapes.leads()];
        let mut own = vec![0.0f32; steps];
        let (mut count, mut energy) = (0.0f32, 1e-9f32);
        for i in beats {
            for (mean, before) in mean.chunks_mut(steps).zip(shapes.before(i).chunks(PRE)) {
                own.copy_from_slice(&before[skip..]);
                take_trend(&mut own);
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
        (1.0 - self.agreement) / (self.agreement.max(0.01) * self.beats)
    }

    /// Distance to another mean at the best shift: 0 same, 1 unlike, 2 opposite.
    pub(super) fn apart(&self, other: &Self) -> f32 {
        let at = |shift: usize| {
            let (mut apart, mut together) = (0.0f32, 1e-9f32);
            for (a, b) in self.mean.chunks(self.steps).zip(other.mean.chunks(self.steps)) {
                let inner = &a[SHIFT..self.steps - SHIFT];
                for (a, b) in inner.iter().zip(&b[shift..]) {
                    apart += (a - b) * (a - b);
                    together += a * a + b * b;
                }
            }
            apart / together
        };
        (0..=2 * SHIFT).map(at).fold(f32::MAX, f32::min)
    }
}
