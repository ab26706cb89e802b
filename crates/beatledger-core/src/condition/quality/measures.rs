//! What each second of a lead measures.

use crate::condition::band::{Band, envelope, largest, step_sums};
use crate::condition::calibration::{BLOCK_S, ENVELOPE_S, ROUGHNESS_PARTS, ROUGHNESS_RANK, STEPS_PER_MV};
use crate::condition::raw::Bridged;
use crate::condition::seconds::sample_of_second;
use crate::model::{Recording, Span};
use crate::statistics::ranked;

/// What one second of one lead measures.
#[derive(Clone, Copy, Debug, Default)]
pub struct Measures {
    /// Share of samples missing.
    pub missing: f32,
    /// Share of samples at the limits of the recorder.
    pub railed: f32,
    /// Peak to peak, mV, of the samples as they are.
    pub size_mv: f32,
    /// Largest banded envelope, mV: that of a beat when there is one.
    pub beat_mv: f32,
    /// Mean of the samples as they are, mV.
    pub level_mv: f32,
    /// Roughness in the quiet parts of the second, mV: muscle and electrode noise.
    pub rough_mv: f32,
}

/// Measures of the [`BLOCK_S`] seconds from `first_second` on.
pub fn measure_block(recording: &Recording, band: &Band, lead: usize, first_second: i64) -> Vec<Measures> {
    let first = sample_of_second(recording, first_second).div_euclid(band.step);
    let last = sample_of_second(recording, first_second + BLOCK_S).div_euclid(band.step) + 1;
    let banded = band.read(recording, lead, Span::new(first, last));
    let block = Block {
        envelope: envelope(&banded.values, band.steps(ENVELOPE_S) | 1),
        raw: banded.raw,
        step: band.step,
        rails: recording.leads[lead].rails,
        mv_per_adc: (1.0 / recording.leads[lead].adc_per_mv.abs()) as f32,
    };
    (0..BLOCK_S)
        .map(|s| {
            let start = sample_of_second(recording, first_second + s);
            let end = sample_of_second(recording, first_second + s + 1).min(recording.samples);
            if start >= end {
                return Measures { missing: 1.0, ..Measures::default() };
            }
            block.measure(Span::new(start - first * band.step, end - first * band.step))
        })
        .collect()
}

/// One lead of some seconds.
struct Block {
    envelope: Vec<f32>,
    raw: Bridged,
    /// Samples per step of the working rate.
    step: i64,
    rails: Option<(i32, i32)>,
    mv_per_adc: f32,
}

impl Block {
    /// Measures of one second, given in samples from the start of the block.
    fn measure(&self, here: Span) -> Measures {
        let raw = &self.raw.raw[here.start as usize..here.end as usize];
        let steps = (here.start / self.step) as usize..(here.end / self.step) as usize;
        let (low, high) = raw.iter().fold((i32::MAX, i32::MIN), |(l, h), v| (l.min(*v), h.max(*v)));
        let at_rail = match self.rails {
            Some((l, h)) if low <= l || high >= h => raw.iter().filter(|v| **v <= l || **v >= h).count(),
            _ => 0,
        };
        let coarse: Vec<i64> = step_sums(raw, self.step as usize);
        let rest = &raw[coarse.len() * self.step as usize..];
        let sum = coarse.iter().sum::<i64>() + rest.iter().map(|v| i64::from(*v)).sum::<i64>();
        Measures {
            missing: here.covered_by(&self.raw.gaps) as f32 / here.len() as f32,
            railed: at_rail as f32 / raw.len() as f32,
            size_mv: (i64::from(high) - i64::from(low)) as f32 * self.mv_per_adc,
            level_mv: sum as f64 as f32 / raw.len() as f32 * self.mv_per_adc,
            beat_mv: largest(&self.envelope[steps]) / STEPS_PER_MV as f32,
            rough_mv: roughness(&coarse, self.step as usize) * self.mv_per_adc,
        }
    }
}

/// Roughness of the quiet parts of a second, from sums of `step` samples: the mean absolute second difference of the
/// part that stands for them.
fn roughness(coarse: &[i64], step: usize) -> f32 {
    // Fewer than twice as many parts as asked for are cut, the last ones from what the division leaves over.
    const MOST_PARTS: usize = 2 * ROUGHNESS_PARTS - 1;
    let bent: Vec<f32> = coarse.windows(3).map(|w| (w[0] - 2 * w[1] + w[2]).unsigned_abs() as f32).collect();
    let len = bent.len() / ROUGHNESS_PARTS;
    if len == 0 {
        return 0.0;
    }
    let mut parts = [0.0f32; MOST_PARTS];
    let parts = &mut parts[..(bent.len() / len).min(MOST_PARTS)];
    // All parts are summed side by side, so that one sum does not wait for another.
    for k in 0..len {
        parts.iter_mut().enumerate().for_each(|(at, sum)| *sum += bent[at * len + k]);
    }
    parts.iter_mut().for_each(|sum| *sum /= len as f32);
    ranked(parts, ROUGHNESS_RANK).unwrap_or(0.0) / step as f32
}
