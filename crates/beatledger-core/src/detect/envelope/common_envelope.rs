//! The common envelope: all channels, each brought to its usual beat, averaged by how clearly beats stand out.
//!
//! Channels come in pairs, one pair a lead: first the band, then its second differences.

use super::peak_levels::PeakLevels;
use crate::condition::calibration::STEPS_PER_MV;
use crate::detect::calibration::envelope::{ABOVE_USUAL_FACTOR, MIN_BEAT_MV, MIN_CHANNEL_WEIGHT};
use crate::detect::calibration::work::MIN_DIVISOR;

/// What each channel contributes, and what the common envelope is like, second by second.
#[derive(Debug, Default)]
pub struct Weights {
    /// What brings the usual beat to 1, by channel and second.
    pub gains: Vec<Vec<f32>>,
    /// Weight in the common envelope, by channel and second; together 1.
    pub weights: Vec<Vec<f32>>,
    /// Usual height between beats, in usual beats, by second.
    pub background: Vec<f32>,
    /// How clearly beats stand out on the best channel, 0 to 1, by second.
    pub clearness: Vec<f32>,
}

impl Weights {
    /// Weights of the channels by clearness and by the quality `scores` of their leads.
    pub fn new(levels: &[PeakLevels], scores: &[Vec<f32>], seconds: usize) -> Self {
        let none = vec![vec![0.0; seconds]; levels.len()];
        let mut out = Self { gains: none.clone(), weights: none, ..Self::default() };
        for s in 0..seconds {
            let raw: Vec<f32> = (0..levels.len()).map(|c| raw_weight(levels, scores, c, s)).collect();
            let total: f32 = raw.iter().sum::<f32>().max(MIN_DIVISOR);
            let (mut background, mut clearest) = (0.0, 0.0f32);
            for (c, level) in levels.iter().enumerate() {
                let weight = raw[c] / total;
                if weight > 0.0 {
                    out.gains[c][s] = 1.0 / level.beat[s];
                    out.weights[c][s] = weight;
                    background += weight * level.background[s] / level.beat[s];
                    clearest = clearest.max(level.clearness(s) * scores[c / 2][s].sqrt());
                }
            }
            out.background.push(background);
            out.clearness.push(clearest);
        }
        out
    }

    /// The common envelope of `steps` values, and the part of it that the second differences make up.
    pub fn blend(&self, envelopes: &[Vec<f32>], starts: &[usize], steps: usize) -> (Vec<f32>, Vec<f32>) {
        let mut common = vec![0.0; steps];
        let mut bends = common.clone();
        for (c, envelope) in envelopes.iter().enumerate() {
            let to = if c % 2 == 0 { &mut common } else { &mut bends };
            add_channel(to, envelope, starts, &self.gains[c], &self.weights[c]);
        }
        common.iter_mut().zip(&bends).for_each(|(all, bends)| *all += bends);
        (common, bends)
    }
}

/// Weight of a channel in a second before all are brought to a sum of 1.
/// A lead whose band is too small has none in either channel.
fn raw_weight(levels: &[PeakLevels], scores: &[Vec<f32>], channel: usize, s: usize) -> f32 {
    let min_beat = (MIN_BEAT_MV * STEPS_PER_MV) as f32;
    let band = channel & !1;
    if levels[band].beat[s] < min_beat || levels[channel].beat[s] <= 0.0 {
        return 0.0;
    }
    let clear = levels[channel].clearness(s);
    scores[channel / 2][s] * (clear * clear + MIN_CHANNEL_WEIGHT)
}

/// Adds one channel; gain and weight change gradually from the middle of one second to that of the next.
fn add_channel(sum: &mut [f32], envelope: &[f32], starts: &[usize], gains: &[f32], weights: &[f32]) {
    for s in 0..gains.len() {
        let (from, to) = (starts[s], starts[s + 1]);
        let half = (to - from).div_ceil(2);
        let (first, last) = sum[from..to].split_at_mut(half);
        let n = (to - from) as f32;
        let (gain, weight) = (Ramp::at(gains, s), Ramp::at(weights, s));
        add(first, &envelope[from..from + half], (0.0, n), (gain.before(), weight.before()));
        add(last, &envelope[from + half..to], (half as f32, n), (gain.after(), weight.after()));
    }
}

/// Adds a part of one channel that begins `from` steps into a second of `n`.
/// Gain and weight are lines, each given by the value in the middle of the second and the rise within it.
fn add(to: &mut [f32], envelope: &[f32], (from, n): (f32, f32), (gain, weight): ((f32, f32), (f32, f32))) {
    for (k, (to, height)) in to.iter_mut().zip(envelope).enumerate() {
        let along = (from + k as i32 as f32) / n - 0.5;
        *to += (weight.0 + along * weight.1) * compressed((gain.0 + along * gain.1) * height);
    }
}

/// A height of which the part above the usual beat is reduced.
fn compressed(height: f32) -> f32 {
    let most = if height < 1.0 { height } else { 1.0 };
    let above = height - 1.0;
    most + ABOVE_USUAL_FACTOR * if above > 0.0 { above } else { 0.0 }
}

/// A value per second that changes gradually from the middle of one second to that of the next.
struct Ramp {
    here: f32,
    rise_before: f32,
    rise_after: f32,
}

impl Ramp {
    fn at(values: &[f32], s: usize) -> Self {
        let (before, after) = (values[s.saturating_sub(1)], values[(s + 1).min(values.len() - 1)]);
        Self { here: values[s], rise_before: values[s] - before, rise_after: after - values[s] }
    }

    /// The line of the first half of the second, as its middle and rise.
    fn before(&self) -> (f32, f32) {
        (self.here, self.rise_before)
    }

    /// The line of the second half.
    fn after(&self) -> (f32, f32) {
        (self.here, self.rise_after)
    }
}
