//! The shape of a beat: its QRS on every lead, at fixed steps around the fiducial.

use rayon::prelude::*;

use super::calibration::{
    APART_REACHES, BEATS_A_BLOCK, LEAST_ENERGY, LEVELLED_BEATS, P_STEPS, STEPS, T_STEPS, WEIGHT_GAPS,
    WEIGHT_NOISY, WEIGHT_UNREADABLE,
};
use super::running_sums::{MeanWindows, RunningSums};
use crate::model::{Progress, Quality, Recording, SecondQuality, Span};
use crate::settings::Settings;

/// Shapes of all beats: `STEPS` values a lead, lead after lead, beat after beat, mV; and lead weights a beat.
#[derive(Debug, Default)]
pub struct Shapes {
    leads: usize,
    values: Vec<f32>,
    p_stretches: Vec<f32>,
    t_stretches: Vec<f32>,
    weights: Vec<f32>,
}

/// What is read of one block of beats.
struct Block {
    values: Vec<f32>,
    p_stretches: Vec<f32>,
    t_stretches: Vec<f32>,
    weights: Vec<f32>,
}

impl Block {
    fn new(beats: usize, leads: usize) -> Self {
        Self {
            values: vec![0.0; beats * leads * STEPS],
            p_stretches: vec![0.0; beats * leads * P_STEPS],
            t_stretches: vec![0.0; beats * leads * T_STEPS],
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
            shapes.p_stretches.extend(block.p_stretches);
            shapes.t_stretches.extend(block.t_stretches);
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

    /// Tracing where the P wave of beat `i` stands, trend removed: leads one after the other, [`P_STEPS`]
    /// steps each.
    pub fn p_stretch(&self, i: usize) -> &[f32] {
        &self.p_stretches[i * self.leads * P_STEPS..(i + 1) * self.leads * P_STEPS]
    }

    /// Tracing where the T wave of beat `i` stands, mean removed: leads one after the other, [`T_STEPS`]
    /// steps each.
    pub fn t_stretch(&self, i: usize) -> &[f32] {
        &self.t_stretches[i * self.leads * T_STEPS..(i + 1) * self.leads * T_STEPS]
    }

    /// Weight of each lead at beat `i`.
    pub fn weights(&self, i: usize) -> &[f32] {
        &self.weights[i * self.leads..(i + 1) * self.leads]
    }

    /// Divides the weights by the usual energy of their lead, so that a large lead does not outweigh a small
    /// one.
    fn level_leads(&mut self, beats: usize) {
        for lead in 0..self.leads {
            let every = (beats / LEVELLED_BEATS).max(1);
            let mut energies: Vec<f32> = (0..beats)
                .step_by(every)
                .map(|i| energy(&self.of(i)[lead * STEPS..(lead + 1) * STEPS]))
                .collect();
            energies.sort_by(f32::total_cmp);
            let usual = energies.get(energies.len() / 2).copied().unwrap_or(1.0).max(LEAST_ENERGY);
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
    let windows = MeanWindows::of(recording.rate.hz(), settings.mains_hz);
    let mut from = 0;
    for part in samples.chunk_by(|a, b| b - a <= APART_REACHES * windows.reach) {
        let span = Span::new(part[0] - windows.reach, part[part.len() - 1] + windows.reach);
        for (lead, of_lead) in recording.leads.iter().enumerate() {
            let sums = RunningSums::of(recording, lead, span, windows.reach);
            let mv_per_sum = 1.0 / (windows.width * of_lead.adc_per_mv);
            for (i, sample) in part.iter().enumerate() {
                let (at, row) = (sample - span.start, (from + i) * leads + lead);
                let shape = &mut block.values[row * STEPS..(row + 1) * STEPS];
                sums.read(at, &windows.shape, mv_per_sum, shape);
                subtract_mean(shape);
                let p_stretch = &mut block.p_stretches[row * P_STEPS..(row + 1) * P_STEPS];
                sums.read(at, &windows.p_stretch, mv_per_sum, p_stretch);
                subtract_trend(p_stretch);
                let t_stretch = &mut block.t_stretches[row * T_STEPS..(row + 1) * T_STEPS];
                sums.read(at, &windows.t_stretch, mv_per_sum, t_stretch);
                subtract_mean(t_stretch);
                let whole = sums.is_whole(at, windows.whole);
                block.weights[row] =
                    if whole { weight(quality, lead, recording, *sample) } else { WEIGHT_GAPS };
            }
        }
        from += part.len();
    }
    block
}

fn subtract_mean(steps: &mut [f32]) {
    let mean = steps.iter().sum::<f32>() / steps.len() as f32;
    steps.iter_mut().for_each(|v| *v -= mean);
}

/// Subtracts the straight line of least squares.
pub fn subtract_trend(steps: &mut [f32]) {
    subtract_mean(steps);
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
        Some(SecondQuality::Noisy) => WEIGHT_NOISY,
        Some(_) => WEIGHT_UNREADABLE,
    }
}
