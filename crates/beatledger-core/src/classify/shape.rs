//! The shape of a beat: its QRS on every lead, at fixed steps around the fiducial.

use rayon::prelude::*;

use crate::condition;
use crate::model::{Quality, Recording, SecondQuality, Span};
use crate::pipeline::Progress;
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

/// Shapes of all beats: `STEPS` values a lead, lead after lead, beat after beat, mV; and lead weights a beat.
#[derive(Debug, Default)]
pub struct Shapes {
    leads: usize,
    values: Vec<f32>,
    weights: Vec<f32>,
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
        const BEATS_A_BLOCK: usize = 512;
        let leads = recording.leads.len();
        let blocks: Vec<(Vec<f32>, Vec<f32>)> = samples
            .par_chunks(BEATS_A_BLOCK)
            .map(|block| {
                if progress.is_cancelled() {
                    return (vec![0.0; block.len() * leads * STEPS], vec![1.0; block.len() * leads]);
                }
                read_block(recording, quality, settings, block)
            })
            .collect();
        let mut shapes = Self { leads, ..Self::default() };
        for (values, weights) in blocks {
            shapes.values.extend(values);
            shapes.weights.extend(weights);
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

fn read_block(
    recording: &Recording,
    quality: &Quality,
    settings: &Settings,
    samples: &[i64],
) -> (Vec<f32>, Vec<f32>) {
    let leads = recording.leads.len();
    let mut values = vec![0.0; samples.len() * leads * STEPS];
    let mut weights = vec![0.0; samples.len() * leads];
    let (Some(first), Some(last)) = (samples.first(), samples.last()) else { return (values, weights) };
    let margin = recording.rate.samples_from_ms(250.0) + 2;
    let span = Span::new(first - margin, last + margin + 1);
    let mut mv = Vec::new();
    for lead in 0..leads {
        condition::display_mv(recording, lead, span, settings, &mut mv);
        for (i, sample) in samples.iter().enumerate() {
            let at = (i * leads + lead) * STEPS;
            let steps = &mut values[at..at + STEPS];
            let whole = read_shape(&mv, (sample - span.start) as f64, recording.rate.hz(), steps);
            weights[i * leads + lead] = if whole { weight(quality, lead, recording, *sample) } else { 0.01 };
        }
    }
    (values, weights)
}

/// Interpolates one shape and takes its mean away; false when samples are missing.
fn read_shape(mv: &[f32], at: f64, hz: f64, steps: &mut [f32]) -> bool {
    let mut whole = true;
    for (k, step) in steps.iter_mut().enumerate() {
        let x = at + (k as f64 - BEFORE as f64) * STEP_MS / 1000.0 * hz;
        let i = x.floor();
        let value = match (mv.get(i as usize), mv.get(i as usize + 1)) {
            (Some(a), Some(b)) if i >= 0.0 => a + (b - a) * (x - i) as f32,
            _ => f32::NAN,
        };
        whole &= value.is_finite();
        *step = if value.is_finite() { value } else { 0.0 };
    }
    let mean = steps.iter().sum::<f32>() / steps.len() as f32;
    steps.iter_mut().for_each(|v| *v -= mean);
    whole
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

/// Distance with `b` read from step `shift` where `a` is read from step [`SHIFT`].
pub fn distance_at(a: &[f32], b: &[f32], weights: &[f32], shift: usize) -> f32 {
    let (mut apart, mut together) = (0.0f32, 1e-9f32);
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
    }
    apart / together
}
