//! The selected beats, and what every step of the selection asks of them.

use crate::detect::calibration::selection::{
    DEFAULT_INTERVAL_S, INTERVAL_REACH_BEATS, MAX_INTERVAL_S, MIN_BEAT_OVER_BACKGROUND, MIN_INTERVAL_S,
};
use crate::detect::envelope::{Candidate, Candidates};
use crate::statistics::upper_median;

/// Selected candidates, sorted, and how similar each is to its neighbours (-1 to 1).
#[derive(Default)]
pub struct Selection {
    /// Index of each beat in the candidates.
    pub beats: Vec<usize>,
    /// Similarity of each beat to its neighbours.
    pub similarity: Vec<f32>,
}

impl Selection {
    /// Adds a beat at the end.
    pub fn push(&mut self, beat: usize, similarity: f32) {
        self.beats.push(beat);
        self.similarity.push(similarity);
    }
}

/// The candidates, and what turns times into steps.
pub struct Context<'a> {
    pub all: &'a Candidates,
    /// Steps a second.
    pub rate_hz: f64,
    /// Two beats are never closer than this, in steps.
    pub refractory: i64,
}

impl Context<'_> {
    /// The candidate of an index.
    pub fn place(&self, i: usize) -> &Candidate {
        &self.all.places[i]
    }

    /// Step of a candidate.
    pub fn step(&self, i: usize) -> i64 {
        self.all.places[i].step
    }

    /// Time from one candidate to another.
    pub fn seconds(&self, from: usize, to: usize) -> f64 {
        (self.step(to) - self.step(from)) as f64 / self.rate_hz
    }

    /// How far a candidate is up from the background (0) to the usual beat (1).
    pub fn prominence(&self, i: usize) -> f32 {
        let c = self.place(i);
        (c.height - c.background) / (1.0 - c.background).max(MIN_BEAT_OVER_BACKGROUND)
    }

    /// Median interval of the beats around position `k`, steps.
    pub fn usual_interval(&self, beats: &[usize], k: usize) -> f64 {
        let around = k.saturating_sub(INTERVAL_REACH_BEATS)..(k + INTERVAL_REACH_BEATS).min(beats.len());
        let mut intervals: Vec<i64> =
            beats[around].windows(2).map(|w| self.step(w[1]) - self.step(w[0])).collect();
        upper_median(&mut intervals).map_or(DEFAULT_INTERVAL_S * self.rate_hz, |interval| {
            (interval as f64).clamp(MIN_INTERVAL_S * self.rate_hz, MAX_INTERVAL_S * self.rate_hz)
        })
    }
}
