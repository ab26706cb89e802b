//! The shape of a beat: its QRS on every lead, at fixed steps around the fiducial.

use rayon::prelude::*;

use super::sums::{Sums, Taps};
use crate::model::{Progress, Quality, Recording, SecondQuality, Span};
use crate::settings::Settings;

/// Steps of a stored shape: 40 steps of 8 ms, from 144 ms before to 168 ms after the fiducial.
pub const STEPS: usize = 40;
/// Steps that a comparison uses; the rest leaves room to shift by [`SHIFT`] either way.
pub const CORE: usize = STEPS - 2 * SHIFT;
/// Largest shift in steps when two shapes are laid over each other.
pub const SHIFT: usize = 3;
/// Length of a step, ms.
pub const STEP_MS: f64 = 8.0;
/// Steps before the fiducial.
pub const BEFORE: usize = 18;

/// Steps kept of the tracing before the QRS, from 240 to 80 ms before the fiducial: where a P wave stands.
pub const PRE: usize = 21;
/// Steps from the start of that stretch to the fiducial.
pub const PRE_BEFORE: usize = 30;

/// Steps kept of the tracing after the QRS, from 128 to 416 ms after the fiducial: where the T wave stands.
pub const POST: usize = 7;
/// Length of such a step, ms.
pub const POST_MS: f64 = 48.0;
/// Start of that stretch after the fiducial, ms.
pub const POST_FROM_MS: f64 = 128.0;

/// Shapes of all beats: `STEPS` values a lead, lead after lead, beat after beat, mV; and lead weights a beat.
#[derive(Debug, Default)]
pub struct Shapes {
    leads: usize,
    values: Vec<f32>,
    before: Vec<f32>,
    after: Vec<f32>,
    weights: Vec<f32>,
}

/// What one block of beats gives: shapes, tracing before and after the QRS, lead weights.
struct Block {
    values: Vec<f32>,
    before: Vec<f32>,
    after: Vec<f32>,
    weights: Vec<f32>,
}

impl Block {
    fn new(beats: usize, leads: usize) -> Self {
        Self {
            values: vec![0.0; beats * leads * STEPS],
            before: vec![0.0; beats * leads * PRE],
            after: vec![0.0; beats * leads * POST],
            weights: vec![1.0; beats * leads],
        }
    }
}

impl Shapes {
    /// Reads the shape of every beat. Blocks are fixed, so the result does not depend on threads.
    pub fn read(
        recording: &Recording,
        quality: &Quality,
        settings: &Settings,
        samples: &[i64],
        progress: &Progress,
    ) -> Self {
        const BEATS_A_BLOCK: usize = 128;
        let leads = recording.leads.len();
        let blocks: Vec<Block> = samples
            .par_chunks(BEATS_A_BLOCK)
            .map(|block| {
                if progress.is_cancelled() {
                    return Block::new(block.len(), leads);
                }
                read_block(recording, quality, settings, block)
            })
            .collect();
        let mut shapes = Self { leads, ..Self::default() };
        for block in blocks {
            shapes.values.extend(block.values);
            shapes.before.extend(block.before);
            shapes.after.extend(block.after);
            shapes.weights.extend(block.weights);
        }
        shapes.level_leads(samples.len());
        shapes
    }

    /// Number of leads.
    pub fn leads(&self) -> usize {
        self.leads
    }

    /// Shape of beat `i`: leads one after the other.
    pub fn of(&self, i: usize) -> &[f32] {
        &self.values[i * self.leads * STEPS..(i + 1) * self.leads * STEPS]
    }

    /// Tracing before the QRS of beat `i`, trend removed: leads one after the other, [`PRE`] steps each.
    pub fn before(&self, i: usize) -> &[f32] {
        &self.before[i * self.leads * PRE..(i + 1) * self.leads * PRE]
    }

    /// Tracing after the QRS of beat `i`, mean removed: leads one after the other, [`POST`] steps each.
    pub fn after(&self, i: usize) -> &[f32] {
        &self.after[i * self.leads * POST..(i + 1) * self.leads * POST]
    }

    /// Weight of each lead at beat `i`.
    pub fn weights(&self, i: usize) -> &[f32] {
        &self.weights[i * self.leads..(i + 1) * self.leads]
    }

    /// Divides the weights by the usual energy of their lead, so that a large lead does not drown a small one.
    fn level_leads(&mut self, beats: usize) {
        for lead in 0..self.leads {
            let every = (beats / 400).max(1);
            let mut energies: Vec<f32> = (0..beats)
                .step_by(every)
                .map(|i| energy(&self.of(i)[lead * STEPS..(lead + 1) * STEPS]))
                .collect();
            energies.sort_by(f32::total_cmp);
            let usual = energies.get(energies.len() / 2).copied().unwrap_or(1.0).max(1e-6);
            for i in 0..beats {
                self.weights[i * self.leads + lead] /= usual;
            }
        }
    }
}

fn energy(shape: &[f32]) -> f32 {
    shape.iter().map(|v| v * v).sum()
}

fn read_block(recording: &Recording, quality: &Quality, settings: &Settings, samples: &[i64]) -> Block {
    let leads = recording.leads.len();
    let mut block = Block::new(samples.len(), leads);
    let taps = Taps::of(recording.rate.hz(), settings.mains_hz);
    let mut from = 0;
    for part in samples.chunk_by(|a, b| b - a <= 4 * taps.reach) {
        let span = Span::new(part[0] - taps.reach, part[part.len() - 1] + taps.reach);
        for (lead, of_lead) in recording.leads.iter().enumerate() {
            let sums = Sums::of(recording, lead, span, taps.reach);
            let mv_per_sum = 1.0 / (taps.width * of_lead.adc_per_mv);
            for (i, sample) in part.iter().enumerate() {
                let (at, row) = (sample - span.start, (from + i) * leads + lead);
                let shape = &mut block.values[row * STEPS..(row + 1) * STEPS];
                sums.read(at, &taps.shape, mv_per_sum, shape);
                take_mean(shape);
                let before = &mut block.before[row * PRE..(row + 1) * PRE];
                sums.read(at, &taps.before, mv_per_sum, before);
                take_trend(before);
                let after = &mut block.after[row * POST..(row + 1) * POST];
                sums.read(at, &taps.after, mv_per_sum, after);
                take_mean(after);
                let whole = sums.is_whole(at, taps.whole);
                block.weights[row] = if whole { weight(quality, lead, recording, *sample) } else { 0.01 };
            }
        }
        from += part.len();
    }
    block
}

fn take_mean(steps: &mut [f32]) {
    let mean = steps.iter().sum::<f32>() / steps.len() as f32;
    steps.iter_mut().for_each(|v| *v -= mean);
}

/// Takes the straight line of least squares away.
pub fn take_trend(steps: &mut [f32]) {
    take_mean(steps);
    let middle = (steps.len() - 1) as f32 / 2.0;
    let (mut sxy, mut sxx) = (0.0f32, 0.0f32);
    for (k, v) in steps.iter().enumerate() {
        let x = k as f32 - middle;
        sxy += x * v;
        sxx += x * x;
    }
    let slope = sxy / sxx.max(1.0);
    steps.iter_mut().enumerate().for_each(|(k, v)| *v -= slope * (k as f32 - middle));
}

fn weight(quality: &Quality, lead: usize, recording: &Recording, sample: i64) -> f32 {
    let second = recording.rate.seconds_from_samples(sample) as usize;
    match quality.leads.get(lead).and_then(|l| l.kind.get(second)) {
        Some(SecondQuality::Good) | None => 1.0,
        Some(SecondQuality::Noisy) => 0.3,
        Some(_) => 0.02,
    }
}

/// Distance of two shapes, 0 same, 1 unlike, 2 opposite, over the leads by weight, at the best shift of `b`
/// against `a` within [`SHIFT`]; gives the distance and the shift.
pub fn distance(a: &[f32], b: &[f32], weights: &[f32]) -> (f32, i32) {
    let mut best = (f32::MAX, 0);
    for shift in 0..=2 * SHIFT {
        // The middle first: ties go to no shift.
        let shift = [3, 2, 4, 1, 5, 0, 6][shift];
        let d = distance_at(a, b, weights, shift);
        if d < best.0 {
            best = (d, shift as i32 - SHIFT as i32);
        }
    }
    best
}

/// Leads that must agree closely before one that does not is left out.
const CLOSE: f32 = 0.05;
/// A lead further apart than this, where all others are close, shows noise and not another beat.
const ODD: f32 = 0.5;

/// Distance with `b` read from step `shift` where `a` is read from step [`SHIFT`]. With three leads and more,
/// one lead that disagrees while all others agree closely is left out: electrode motion moves one lead,
/// another beat shows on all.
pub fn distance_at(a: &[f32], b: &[f32], weights: &[f32], shift: usize) -> f32 {
    let (mut apart, mut together) = (0.0f32, 1e-9f32);
    let mut worst = (0.0f32, 1e-9f32);
    for (lead, weight) in weights.iter().enumerate() {
        let a = &a[lead * STEPS + SHIFT..lead * STEPS + SHIFT + CORE];
        let b = &b[lead * STEPS + shift..lead * STEPS + shift + CORE];
        let (mut d, mut e) = (0.0f32, 0.0f32);
        for k in 0..CORE {
            let diff = a[k] - b[k];
            d += diff * diff;
            e += a[k] * a[k] + b[k] * b[k];
        }
        apart += weight * d;
        together += weight * e;
        if weight * d > worst.0 {
            worst = (weight * d, weight * e);
        }
    }
    let all = apart / together;
    if weights.len() < 3 || all < CLOSE || worst.0 < ODD * worst.1 {
        return all;
    }
    let others = (apart - worst.0).max(0.0) / (together - worst.1).max(1e-9);
    if others < CLOSE { others + 0.02 } else { all }
}

/// Distance of two shapes on each lead that can be read at the beat, `b` read from step `shift`.
pub fn lead_distances<'a>(
    a: &'a [f32],
    b: &'a [f32],
    weights: &'a [f32],
    shift: usize,
) -> impl Iterator<Item = f32> + 'a {
    weights.iter().enumerate().filter_map(move |(lead, weight)| {
        let a = &a[lead * STEPS + SHIFT..lead * STEPS + SHIFT + CORE];
        let b = &b[lead * STEPS + shift..lead * STEPS + shift + CORE];
        let (mut d, mut e) = (0.0f32, 1e-9f32);
        for (a, b) in a.iter().zip(b) {
            d += (a - b) * (a - b);
            e += a * a + b * b;
        }
        // Weights are over the usual energy of the lead: this is near 2 on a clear lead, far less on a lost one.
        (weight * e > 0.1).then_some(d / e)
    })
}

/// Distance of two shapes on the lead on which they differ most, `b` read from step `shift`, of the leads that
/// can be read at the beat.
pub fn worst_lead(a: &[f32], b: &[f32], weights: &[f32], shift: usize) -> f32 {
    lead_distances(a, b, weights, shift).fold(0.0, f32::max)
}
