//! One stretch of all leads in the band: their common envelope, and the candidates on it.

use super::candidates::{Candidate, Candidates};
use super::levels::{Levels, levels};
use super::stir::stir;
use crate::condition::band::{Band, STEPS_PER_MV, bends, envelope};
use crate::condition::quality::sample_of_second;
use crate::model::{Quality, Recording, Span};

/// Seconds read to either side, so that levels see the same whatever the block.
const MARGIN_S: i64 = 20;
/// Width of the envelope, s: about that of a QRS complex.
const ENVELOPE_S: f64 = 0.1;
/// Distance over which bends are taken, s: most sensitive at about 30 Hz, ten times less to T waves.
const BEND_S: f64 = 0.016;
/// Half width of the stored shape, s.
pub(super) const SHAPE_S: f64 = 0.12;
/// Least height of a candidate, in beats.
const LEAST_HEIGHT: f32 = 0.08;
/// A lead whose beats are smaller than this carries no ECG.
const LEAST_BEAT_MV: f64 = 0.008;

/// One stretch of all leads in the band.
pub(super) struct Block<'a> {
    pub(super) band: &'a Band,
    /// Step at which the values start.
    first: i64,
    /// Steps whose candidates are wanted.
    wanted: Span,
    /// Start of each second, in steps from `first`, and one more.
    starts: Vec<usize>,
    /// Banded values of each lead.
    pub(super) leads: Vec<Vec<i32>>,
    /// Raw samples of each lead over the same stretch.
    pub(super) raw: Vec<Vec<i32>>,
    /// Quality score of each lead and second, 0 to 1.
    pub(super) trust: Vec<Vec<f32>>,
    /// Envelope of the band of each lead.
    pub(super) sizes: Vec<Vec<f32>>,
    /// Steps of the band per raw unit, by lead.
    pub(super) scales: Vec<f32>,
    /// What brings the usual beat of each channel to 1, per second. A lead has two channels, one after the
    /// other: the band, and its bends.
    pub(super) gains: Vec<Vec<f32>>,
    /// Share of each channel in the common envelope, per second; together 1.
    pub(super) shares: Vec<Vec<f32>>,
    pub(super) common: Vec<f32>,
    /// The part of `common` that the bends make up.
    bent: Vec<f32>,
    rest: Vec<f32>,
    clearness: Vec<f32>,
    /// By lead and second, as [`Candidates::clear`].
    pub(super) lead_clear: Vec<Vec<f32>>,
    /// By lead and second, as [`Candidates::size`].
    lead_size: Vec<Vec<f32>>,
    /// By lead and second, as [`Candidates::stir`].
    lead_stir: Vec<Vec<f32>>,
    /// Position of the first wanted second, and how many are wanted.
    wanted_seconds: (usize, usize),
}

impl<'a> Block<'a> {
    /// Reads the seconds `wanted` (the first, and how many) of `seconds`, and some to either side.
    pub fn read(
        recording: &Recording,
        quality: &Quality,
        band: &'a Band,
        wanted: (i64, i64),
        seconds: i64,
    ) -> Self {
        let (second, count) = wanted;
        let step_of = |s: i64| sample_of_second(recording, s).div_euclid(band.step);
        let (from_s, to_s) = ((second - MARGIN_S).max(0), (second + count + MARGIN_S).min(seconds));
        let end = (step_of(to_s)).min(band.len(recording));
        let first = step_of(from_s);
        let starts: Vec<usize> = (from_s..=to_s).map(|s| (step_of(s).min(end) - first) as usize).collect();
        let wanted = Span::new(step_of(second), step_of((second + count).min(seconds)).min(end));
        let (mut leads, mut lead_size, mut raw) = (Vec::new(), Vec::new(), Vec::new());
        let mut lead_stir = Vec::new();
        let (mut sizes, mut all_levels, mut scores) = (Vec::new(), Vec::new(), Vec::new());
        for l in 0..recording.leads.len() {
            let banded = band.read(recording, l, Span::new(first, end));
            lead_size.push(starts.windows(2).map(|w| peak_to_peak(&banded.raw.raw, w, band.step)).collect());
            let part = |w: &[usize]| &banded.raw.raw[w[0] * band.step as usize..w[1] * band.step as usize];
            lead_stir.push(starts.windows(2).map(|w| stir(part(w), recording.rate)).collect());
            let values = banded.values;
            let known = quality.leads.get(l);
            let score: Vec<f32> = (from_s..to_s)
                .map(|s| known.and_then(|q| q.score.get(s as usize)).map_or(1.0, |v| f32::from(*v) / 255.0))
                .collect();
            let usable: Vec<bool> = (from_s..to_s)
                .map(|s| known.and_then(|q| q.kind.get(s as usize)).is_none_or(|k| k.is_readable()))
                .collect();
            let width = band.steps(ENVELOPE_S) | 1;
            for size in [envelope(&values, width), envelope(&bends(&values, band.steps(BEND_S)), width)] {
                all_levels.push(levels(&size, &starts, &usable, band.rate_hz));
                sizes.push(size);
                scores.push(score.clone());
            }
            leads.push(values);
            raw.push(banded.raw.raw);
        }
        let scale = |l: &crate::model::Lead| (STEPS_PER_MV / l.adc_per_mv) as f32;
        let scales = recording.leads.iter().map(scale).collect();
        let mut block = Self {
            band,
            first,
            wanted,
            starts,
            leads,
            raw,
            trust: vec![],
            sizes: vec![],
            scales,
            gains: vec![],
            shares: vec![],
            common: vec![],
            bent: vec![],
            rest: vec![],
            clearness: vec![],
            lead_clear: vec![],
            lead_size,
            lead_stir,
            wanted_seconds: ((second - from_s) as usize, ((second + count).min(seconds) - second) as usize),
        };
        block.lead_clear = all_levels
            .chunks_exact(2)
            .map(|pair| {
                (0..block.starts.len() - 1).map(|s| pair[0].clearness(s).max(pair[1].clearness(s))).collect()
            })
            .collect();
        block.weigh(&all_levels, &scores);
        block.join(&sizes);
        block.trust = scores.into_iter().step_by(2).collect();
        block.sizes = sizes.into_iter().step_by(2).collect();
        block
    }

    /// Shares of the leads by how clearly beats stand out on them.
    fn weigh(&mut self, all_levels: &[Levels], scores: &[Vec<f32>]) {
        let seconds = self.starts.len().saturating_sub(1);
        let least = (LEAST_BEAT_MV * STEPS_PER_MV) as f32;
        // A lead whose band is too small carries nothing, in either channel.
        self.gains = vec![vec![0.0; seconds]; all_levels.len()];
        self.shares = self.gains.clone();
        for s in 0..seconds {
            let weight = |l: usize| {
                let clear = all_levels[l].clearness(s);
                if all_levels[l & !1].beat[s] < least || all_levels[l].beat[s] <= 0.0 {
                    0.0
                } else {
                    scores[l][s] * (clear * clear + 0.002)
                }
            };
            let weights: Vec<f32> = (0..all_levels.len()).map(weight).collect();
            let total: f32 = weights.iter().sum::<f32>().max(1e-9);
            let mut rest = 0.0;
            let mut clearest = 0.0f32;
            for (l, level) in all_levels.iter().enumerate() {
                let share = weights[l] / total;
                if share > 0.0 {
                    self.gains[l][s] = 1.0 / level.beat[s];
                    self.shares[l][s] = share;
                    rest += share * level.rest[s] / level.beat[s];
                    clearest = clearest.max(level.clearness(s) * scores[l][s].sqrt());
                }
            }
            self.rest.push(rest);
            self.clearness.push(clearest);
        }
    }

    /// The common envelope; shares change gradually from the middle of one second to that of the next.
    fn join(&mut self, sizes: &[Vec<f32>]) {
        self.common = vec![0.0; self.leads.first().map_or(0, Vec::len)];
        self.bent = self.common.clone();
        for (channel, size) in sizes.iter().enumerate() {
            let (gains, shares) = (&self.gains[channel], &self.shares[channel]);
            let sum = if channel % 2 == 0 { &mut self.common } else { &mut self.bent };
            for s in 0..gains.len() {
                let (from, to) = (self.starts[s], self.starts[s + 1]);
                let half = (to - from).div_ceil(2);
                let (first, last) = sum[from..to].split_at_mut(half);
                let n = (to - from) as f32;
                let (gain, share) = (Ramp::at(gains, s), Ramp::at(shares, s));
                add(first, &size[from..from + half], (0.0, n), (gain.before(), share.before()));
                add(last, &size[from + half..to], (half as f32, n), (gain.after(), share.after()));
            }
        }
        for (all, bent) in self.common.iter_mut().zip(&self.bent) {
            *all += bent;
        }
    }

    /// The candidates of the wanted seconds, with their marks and shapes.
    pub fn candidates(&self) -> Candidates {
        let (first, count) = self.wanted_seconds;
        let clear = self.lead_clear.iter().map(|c| c[first..first + count].to_vec()).collect();
        let size = self.lead_size.iter().map(|c| c[first..first + count].to_vec()).collect();
        let stir = self.lead_stir.iter().map(|c| c[first..first + count].to_vec()).collect();
        let mut out = Candidates { clear, size, stir, ..Candidates::default() };
        let half = self.band.steps(0.06);
        let n = self.common.len();
        let mut values = Vec::new();
        for s in first..first + count {
            for i in self.starts[s].max(1)..self.starts[s + 1] {
                let step = self.first + i as i64;
                let height = self.common[i];
                let is_peak = height >= LEAST_HEIGHT
                    && self.common[i - 1] < height
                    && self.common.get(i + 1).is_none_or(|v| *v <= height);
                if !is_peak || !self.wanted.contains(step) {
                    continue;
                }
                let before = &self.common[i.saturating_sub(half)..i];
                let after = &self.common[i + 1..(i + 1 + half).min(n)];
                // Of equal neighbours the first counts.
                if before.iter().all(|v| *v < height) && after.iter().all(|v| *v <= height) {
                    let (rest, clearness) = (self.rest[s], self.clearness[s]);
                    let bends: f32 = self.shares.iter().skip(1).step_by(2).map(|c| c[s]).sum();
                    let sharpness = self.bent[i] / bends.max(0.01);
                    out.places.push(Candidate { step, height, rest, sharpness, clearness });
                    out.marks.push(self.marks(i, s));
                    self.push_shape(i, s, &mut values, &mut out.shapes);
                }
            }
        }
        out
    }

    /// Adds the shape at a step: the banded leads side by side, the largest value 127.
    fn push_shape(&self, at: usize, second: usize, values: &mut Vec<f32>, shapes: &mut Vec<i8>) {
        let half = self.band.steps(SHAPE_S);
        values.clear();
        for (lead, gains) in self.leads.iter().zip(&self.gains) {
            let (from, to) = (at.saturating_sub(half), (at + half + 1).min(lead.len()));
            values.resize(values.len() + half - (at - from), 0.0);
            values.extend(lead[from..to].iter().map(|v| *v as f32 * gains[second]));
            values.resize(values.len() + at + half + 1 - to, 0.0);
        }
        let largest = values.iter().fold(1e-9f32, |m, v| if v.abs() > m { v.abs() } else { m });
        shapes.extend(values.iter().map(|v| (v / largest * 127.0) as i32 as i8));
    }
}

/// Peak to peak of the samples between two steps.
fn peak_to_peak(raw: &[i32], steps: &[usize], step: i64) -> f32 {
    let part = &raw[steps[0] * step as usize..steps[1] * step as usize];
    let (low, high) = part.iter().fold((i32::MAX, i32::MIN), |(l, h), v| (l.min(*v), h.max(*v)));
    if part.is_empty() { 0.0 } else { (i64::from(high) - i64::from(low)) as f32 }
}

/// Adds one channel to a part of the common envelope that begins `from` steps into a second of `n`; gain and share
/// are lines of a middle and a rise.
fn add(to: &mut [f32], size: &[f32], (from, n): (f32, f32), (gain, share): ((f32, f32), (f32, f32))) {
    for (k, (to, size)) in to.iter_mut().zip(size).enumerate() {
        let along = (from + k as i32 as f32) / n - 0.5;
        *to += (share.0 + along * share.1) * compressed((gain.0 + along * gain.1) * size);
    }
}

/// A height above that of the usual beat counts by a quarter only, so that a burst on one lead does not
/// outshout the others.
fn compressed(height: f32) -> f32 {
    let most = if height < 1.0 { height } else { 1.0 };
    let above = height - 1.0;
    most + 0.25 * if above > 0.0 { above } else { 0.0 }
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
