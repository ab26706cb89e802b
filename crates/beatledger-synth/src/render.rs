//! Waves, motion and noise to integers, in fixed blocks: the same bytes on any number of threads.

use rayon::prelude::*;

use crate::form::{WAVE_REACH_S, Wave};
use crate::leads::LeadVector;
use crate::maths::{exponential, plateau, sine_of_turns};
use crate::motion::{FAKE_REACH_S, Fake};
use crate::noise::{Noise, Place};
use crate::random::{Purpose, Random};
use crate::walk::Waves;

/// Samples in a block. Part of what a seed means: another size gives other noise.
const BLOCK: usize = 32_768;
/// A Gaussian is drawn to this many deviations; what is cut off is below a thousandth of it.
const DEVIATIONS: f64 = 4.0;

/// Units per mV of every made lead.
pub(crate) const ADC_PER_MV: f64 = 500.0;
/// Limits of the made recorder: 10 mV to either side.
pub(crate) const RAILS: (i32, i32) = (-5000, 5000);

/// Everything that is drawn.
pub(crate) struct Scene<'a> {
    pub(crate) leads: &'a [LeadVector],
    /// Sorted by place.
    pub(crate) waves: &'a [Wave],
    /// Stretches with fibrillation waves, s.
    pub(crate) fibrillation: &'a [(f64, f64)],
    /// Stretches of ventricular flutter or fibrillation.
    pub(crate) ventricular: &'a [Waves],
    /// Sorted by place.
    pub(crate) fakes: &'a [Fake],
    pub(crate) noise: Noise<'a>,
}

/// One vector of `samples` integers a lead.
pub(crate) fn render(scene: &Scene<'_>, samples: usize) -> Vec<Vec<i16>> {
    let mut out: Vec<Vec<i16>> = scene.leads.iter().map(|_| vec![0i16; samples]).collect();
    let mut blocks: Vec<Vec<&mut [i16]>> = (0..samples.div_ceil(BLOCK)).map(|_| Vec::new()).collect();
    for lead in &mut out {
        for (block, chunk) in blocks.iter_mut().zip(lead.chunks_mut(BLOCK)) {
            block.push(chunk);
        }
    }
    blocks.par_iter_mut().enumerate().for_each(|(block, chunks)| scene.draw_block(block, chunks));
    drop(blocks);
    out
}

impl Scene<'_> {
    fn draw_block(&self, block: usize, chunks: &mut [&mut [i16]]) {
        let start = (block * BLOCK) as i64;
        let len = chunks.first().map_or(0, |c| c.len());
        let mut mv: Vec<Vec<f32>> = chunks.iter().map(|_| vec![0f32; len]).collect();
        self.draw_waves(start, &mut mv);
        self.draw_fibrillation(start, &mut mv);
        self.draw_ventricular(start, &mut mv);
        self.draw_fakes(start, &mut mv);
        for (lead, (line, chunk)) in mv.iter_mut().zip(chunks.iter_mut()).enumerate() {
            let place = Place { block: block as u64, lead, start, len };
            self.noise.add(&place, line);
            self.noise.open_input(&place, line);
            for (to, from) in chunk.iter_mut().zip(line.iter()) {
                let adc = (from * ADC_PER_MV as f32).round_ties_even();
                *to = adc.clamp(RAILS.0 as f32, RAILS.1 as f32) as i16;
            }
        }
    }

    fn second(&self, sample: i64) -> f64 {
        sample as f64 / self.noise.rate_hz
    }

    fn draw_waves(&self, start: i64, mv: &mut [Vec<f32>]) {
        let len = mv.first().map_or(0, Vec::len);
        let (from_s, to_s) = (self.second(start), self.second(start + len as i64));
        let first = self.waves.partition_point(|w| w.at_s < from_s - WAVE_REACH_S);
        let mut bell = Vec::new();
        for wave in self.waves[first..].iter().take_while(|w| w.at_s < to_s + WAVE_REACH_S) {
            for bump in wave.form.bumps() {
                let stretch = f64::from(wave.stretch);
                let centre_s = wave.at_s + bump.at_ms * stretch / 1000.0 - from_s;
                let lo = self.bell(centre_s, bump.sigma_ms * stretch / 1000.0, len, &mut bell);
                for (line, lead) in mv.iter_mut().zip(self.leads) {
                    let size: f64 = bump.xyz.iter().zip(lead.xyz).map(|(a, b)| a * b).sum();
                    let size = size as f32 * wave.gain;
                    for (to, g) in line[lo..].iter_mut().zip(&bell) {
                        *to += size * g;
                    }
                }
            }
        }
    }

    fn draw_fakes(&self, start: i64, mv: &mut [Vec<f32>]) {
        let len = mv.first().map_or(0, Vec::len);
        let (from_s, to_s) = (self.second(start), self.second(start + len as i64));
        let first = self.fakes.partition_point(|f| f.at_s < from_s - FAKE_REACH_S);
        let mut bell = Vec::new();
        for fake in self.fakes[first..].iter().take_while(|f| f.at_s < to_s + FAKE_REACH_S) {
            let lo = self.bell(fake.at_s - from_s, fake.sigma_s, len, &mut bell);
            if let Some(line) = mv.get_mut(fake.lead) {
                for (to, g) in line[lo..].iter_mut().zip(&bell) {
                    *to += fake.mv as f32 * g;
                }
            }
        }
    }

    /// Fills `out` with a Gaussian of height 1 cut to 0..len and returns its first sample.
    fn bell(&self, centre_s: f64, sigma_s: f64, len: usize, out: &mut Vec<f32>) -> usize {
        out.clear();
        let (centre, sigma) = (centre_s * self.noise.rate_hz, sigma_s * self.noise.rate_hz);
        let lo = (centre - DEVIATIONS * sigma).ceil().max(0.0);
        let hi = (centre + DEVIATIONS * sigma).floor().min(len as f64 - 1.0);
        if hi < lo {
            return 0;
        }
        // Each step multiplies by a ratio that itself shrinks by a constant factor.
        let (x, inverse) = (lo - centre, 1.0 / (2.0 * sigma * sigma));
        let mut value = exponential(-x * x * inverse);
        let mut ratio = exponential(-(2.0 * x + 1.0) * inverse);
        let shrink = exponential(-2.0 * inverse);
        for _ in lo as usize..=hi as usize {
            out.push(value as f32);
            value *= ratio;
            ratio *= shrink;
        }
        lo as usize
    }

    /// Fibrillation waves: 5 to 8 Hz, never steady, strongest in V1 and the inferior leads (common practice).
    fn draw_fibrillation(&self, start: i64, mv: &mut [Vec<f32>]) {
        const WAVE_MV: [f64; 3] = [0.018, 0.058, 0.062];
        let len = mv.first().map_or(0, Vec::len);
        for (i, (from_s, to_s)) in self.fibrillation.iter().enumerate() {
            let rate = self.noise.rate_hz;
            let lo = ((from_s * rate) as i64 - start).clamp(0, len as i64) as usize;
            let hi = ((to_s * rate) as i64 - start).clamp(0, len as i64) as usize;
            let mut random = Random::new(self.noise.seed, Purpose::Fibrillation, i as u64);
            let phase: [f64; 3] = std::array::from_fn(|_| random.share());
            for k in lo..hi {
                let at_s = self.second(start + k as i64);
                let turns = 6.3 * at_s
                    + 0.35 * sine_of_turns(0.11 * at_s + phase[0])
                    + 0.22 * sine_of_turns(0.37 * at_s + phase[1]);
                let size = 1.0 + 0.35 * sine_of_turns(0.23 * at_s + phase[2]);
                let shape = sine_of_turns(turns) + 0.35 * sine_of_turns(2.0 * turns + 0.1);
                let value = shape * size * plateau(at_s, *from_s, *to_s, 0.4, 0.4);
                for (line, lead) in mv.iter_mut().zip(self.leads) {
                    let seen: f64 = WAVE_MV.iter().zip(lead.xyz).map(|(a, b)| a * b).sum();
                    line[k] += (value * seen) as f32;
                }
            }
        }
    }

    /// Ventricular flutter swings steadily with one axis; fibrillation (from 300 a minute) wanders in rate, size and
    /// axis (common practice).
    fn draw_ventricular(&self, start: i64, mv: &mut [Vec<f32>]) {
        let (len, rate) = (mv.first().map_or(0, Vec::len), self.noise.rate_hz);
        for waves in self.ventricular {
            let place = |s: f64| ((s * rate) as i64 - start).clamp(0, len as i64) as usize;
            let unrest = if waves.per_min < 300.0 { 0.15 } else { 1.0 };
            for k in place(waves.from_s)..place(waves.until_s) {
                let at_s = self.second(start + k as i64);
                let inner_s = at_s - waves.from_s;
                let turns = waves.per_min / 60.0 * inner_s
                    + unrest * (0.22 * sine_of_turns(0.43 * inner_s) + 0.10 * sine_of_turns(1.1 * inner_s));
                let size = 0.75 * (1.0 + unrest * 0.45 * sine_of_turns(0.31 * inner_s + 0.2));
                let axis = 0.25 * unrest * sine_of_turns(0.09 * inner_s);
                let dipole =
                    [sine_of_turns(axis + 0.1), sine_of_turns(axis + 0.25), -sine_of_turns(axis + 0.15)];
                let shape = sine_of_turns(turns) + 0.18 * sine_of_turns(2.0 * turns + 0.2);
                let value = size * shape * plateau(at_s, waves.from_s, waves.until_s, 0.3, 0.3);
                for (line, lead) in mv.iter_mut().zip(self.leads) {
                    let seen: f64 = dipole.iter().zip(lead.xyz).map(|(a, b)| a * b).sum();
                    line[k] += (value * seen) as f32;
                }
            }
        }
    }
}
