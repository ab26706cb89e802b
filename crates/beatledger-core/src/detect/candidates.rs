//! Places that may be beats: peaks of the leads' common envelope, with height, background and shape.

use rayon::prelude::*;

use super::levels::{Levels, levels};
use super::marks::Marks;
use crate::condition::band::{Band, STEPS_PER_MV, bends, envelope};
use crate::condition::quality::{sample_of_second, seconds_in};
use crate::model::{Quality, Recording, Span};
use crate::pipeline::Progress;

/// Seconds of candidates found at a time.
const BLOCK_S: i64 = 300;
/// Seconds read to either side, so that levels see the same whatever the block.
const MARGIN_S: i64 = 20;
/// Width of the envelope, s: about that of a QRS complex.
const ENVELOPE_S: f64 = 0.1;
/// Distance over which bends are taken, s: most sensitive at about 30 Hz, ten times less to T waves.
const BEND_S: f64 = 0.016;
/// Half width of the stored shape, s.
const SHAPE_S: f64 = 0.12;
/// Least height of a candidate, in beats.
const LEAST_HEIGHT: f32 = 0.08;
/// A lead whose beats are smaller than this carries no ECG.
const LEAST_BEAT_MV: f64 = 0.008;

/// A place that may be a beat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Candidate {
    /// Step of the working rate.
    pub step: i64,
    /// Height of the common envelope; the usual beat nearby is 1.
    pub height: f32,
    /// The usual height between beats nearby, in the same measure.
    pub rest: f32,
    /// Height of the bends alone, in the same measure: small for T waves.
    pub sharpness: f32,
    /// How clearly beats stand out nearby on the best lead, 0 to 1.
    pub clearness: f32,
}

/// All candidates of a recording, sorted, with their shapes.
#[derive(Clone, Debug, Default)]
pub(super) struct Candidates {
    /// The places.
    pub places: Vec<Candidate>,
    /// What the leads show at each place.
    pub marks: Vec<Marks>,
    /// Shapes one after another, `shape_len` values each: the banded leads side by side.
    pub shapes: Vec<i8>,
    /// Values a shape.
    pub shape_len: usize,
    /// Values a lead within a shape.
    pub lead_len: usize,
    /// How clearly beats stand out, 0 to 1, by lead and second.
    pub clear: Vec<Vec<f32>>,
    /// Peak to peak of the samples as they are, ADC units, by lead and second.
    pub size: Vec<Vec<f32>>,
}

impl Candidates {
    /// The shape of candidate `i`.
    pub fn shape(&self, i: usize) -> &[i8] {
        &self.shapes[i * self.shape_len..(i + 1) * self.shape_len]
    }
}

/// Finds the candidates of the whole recording.
pub(super) fn candidates(
    recording: &Recording,
    quality: &Quality,
    band: &Band,
    progress: &Progress,
) -> Candidates {
    let seconds = seconds_in(recording) as i64;
    let blocks: Vec<i64> = (0..(seconds + BLOCK_S - 1) / BLOCK_S).collect();
    let done = std::sync::atomic::AtomicUsize::new(0);
    let parts: Vec<Candidates> = blocks
        .par_iter()
        .map(|b| {
            if progress.is_cancelled() {
                return Candidates::default();
            }
            let out = Block::read(recording, quality, band, b * BLOCK_S, seconds).candidates();
            progress.set(1 + done.fetch_add(1, std::sync::atomic::Ordering::Relaxed), blocks.len());
            out
        })
        .collect();
    let lead_len = 2 * band.steps(SHAPE_S) + 1;
    let shape_len = lead_len * recording.leads.len();
    let clear = vec![Vec::with_capacity(seconds as usize); recording.leads.len()];
    let size = clear.clone();
    let mut all = Candidates { shape_len, lead_len, clear, size, ..Candidates::default() };
    all.places.reserve_exact(parts.iter().map(|p| p.places.len()).sum());
    all.marks.reserve_exact(all.places.capacity());
    all.shapes.reserve_exact(parts.iter().map(|p| p.shapes.len()).sum());
    for part in parts {
        all.places.extend(part.places);
        all.marks.extend(part.marks);
        all.shapes.extend(part.shapes);
        for (all, part) in all.clear.iter_mut().zip(part.clear) {
            all.extend(part);
        }
        for (all, part) in all.size.iter_mut().zip(part.size) {
            all.extend(part);
        }
    }
    all
}

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
    /// Position of the first wanted second, and how many are wanted.
    wanted_seconds: (usize, usize),
}

impl<'a> Block<'a> {
    fn read(recording: &Recording, quality: &Quality, band: &'a Band, second: i64, seconds: i64) -> Self {
        let step_of = |s: i64| sample_of_second(recording, s).div_euclid(band.step);
        let (from_s, to_s) = ((second - MARGIN_S).max(0), (second + BLOCK_S + MARGIN_S).min(seconds));
        let end = (step_of(to_s)).min(band.len(recording));
        let first = step_of(from_s);
        let starts: Vec<usize> = (from_s..=to_s).map(|s| (step_of(s).min(end) - first) as usize).collect();
        let wanted = Span::new(step_of(second), step_of((second + BLOCK_S).min(seconds)).min(end));
        let (mut leads, mut lead_size, mut raw) = (Vec::new(), Vec::new(), Vec::new());
        let (mut sizes, mut all_levels, mut scores) = (Vec::new(), Vec::new(), Vec::new());
        for l in 0..recording.leads.len() {
            let banded = band.read(recording, l, Span::new(first, end));
            lead_size.push(starts.windows(2).map(|w| peak_to_peak(&banded.raw.raw, w, band.step)).collect());
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
            wanted_seconds: ((second - from_s) as usize, ((second + BLOCK_S).min(seconds) - second) as usize),
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
                let n = (to - from) as f32;
                let (gain, share) = (Ramp::at(gains, s), Ramp::at(shares, s));
                for (k, (to, size)) in sum[from..to].iter_mut().zip(&size[from..to]).enumerate() {
                    let along = k as f32 / n - 0.5;
                    *to += share.value(along) * compressed(gain.value(along) * size);
                }
            }
        }
        for (all, bent) in self.common.iter_mut().zip(&self.bent) {
            *all += bent;
        }
    }

    fn candidates(&self) -> Candidates {
        let (first, count) = self.wanted_seconds;
        let clear = self.lead_clear.iter().map(|c| c[first..first + count].to_vec()).collect();
        let size = self.lead_size.iter().map(|c| c[first..first + count].to_vec()).collect();
        let mut out = Candidates { clear, size, ..Candidates::default() };
        let half = self.band.steps(0.06);
        let n = self.common.len();
        for s in 0..self.starts.len().saturating_sub(1) {
            for i in self.starts[s]..self.starts[s + 1] {
                let step = self.first + i as i64;
                let height = self.common[i];
                if height < LEAST_HEIGHT || !self.wanted.contains(step) {
                    continue;
                }
                if i > 0 && self.common[i - 1] >= height
                    || self.common.get(i + 1).is_some_and(|v| *v > height)
                {
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
                    self.push_shape(i, s, &mut out.shapes);
                }
            }
        }
        out
    }

    fn push_shape(&self, at: usize, second: usize, shapes: &mut Vec<i8>) {
        let half = self.band.steps(SHAPE_S) as i64;
        let start = shapes.len();
        let mut values = Vec::with_capacity(self.leads.len() * (2 * half as usize + 1));
        for (lead, gains) in self.leads.iter().zip(&self.gains) {
            let value = |k: i64| usize::try_from(at as i64 + k).ok().and_then(|i| lead.get(i)).copied();
            values.extend((-half..=half).map(|k| value(k).unwrap_or(0) as f32 * gains[second]));
        }
        let largest = values.iter().fold(1e-9f32, |m, v| m.max(v.abs()));
        shapes.extend(values.iter().map(|v| (v / largest * 127.0) as i8));
        debug_assert_eq!(shapes.len() - start, values.len());
    }
}

/// Peak to peak of the samples between two steps.
fn peak_to_peak(raw: &[i32], steps: &[usize], step: i64) -> f32 {
    let part = &raw[steps[0] * step as usize..steps[1] * step as usize];
    let (low, high) = part.iter().fold((i32::MAX, i32::MIN), |(l, h), v| (l.min(*v), h.max(*v)));
    if part.is_empty() { 0.0 } else { (i64::from(high) - i64::from(low)) as f32 }
}

/// A height above that of the usual beat counts by a quarter only, so that a burst on one lead does not
/// outshout the others.
fn compressed(height: f32) -> f32 {
    height.min(1.0) + 0.25 * (height - 1.0).max(0.0)
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

    /// The value `along` the second, -0.5 at its start to 0.5 at its end.
    fn value(&self, along: f32) -> f32 {
        self.here + along * if along < 0.0 { self.rise_before } else { self.rise_after }
    }
}
