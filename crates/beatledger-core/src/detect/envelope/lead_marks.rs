//! What each lead shows at a candidate: whether only one lead does, and whether the level changes there.

use super::block::Block;
use super::candidates::LeadMarks;
use crate::detect::calibration::lead_marks::{
    LEVEL_FROM_S, LEVEL_TO_S, MIN_CLEARNESS, MIN_HEIGHT, MIN_QUALITY,
};

impl Block<'_> {
    /// What the leads show at step `at` in second `s`; what is too low to be a clear beat is not compared.
    pub fn marks(&self, at: usize, s: usize) -> LeadMarks {
        if self.common[at] < MIN_HEIGHT {
            return LeadMarks::default();
        }
        let (mut best, mut highest, mut second, mut others) = (0, -1.0f32, -1.0f32, 0);
        for l in (0..self.leads.len()).filter(|l| self.weights[2 * l][s] > 0.0) {
            let here = self.envelopes[l][at] * self.gains[2 * l][s];
            let shows_beats =
                self.lead_clearness[l][s] >= MIN_CLEARNESS && self.quality_scores[l][s] >= MIN_QUALITY;
            others += usize::from(shows_beats);
            if here > highest {
                second = if shows_beats || highest > 0.0 { highest } else { second };
                (best, highest) = (l, here);
            } else if shows_beats {
                second = second.max(here);
            }
        }
        let is_compared = others >= 2 && second >= 0.0;
        let second_height = if is_compared { second } else { 1.0 };
        LeadMarks { second_height, level_change: self.level_change(best, at, s), is_compared }
    }

    /// Change of level from before to after step `at` on a lead, in usual beats.
    fn level_change(&self, lead: usize, at: usize, s: usize) -> f32 {
        let gain =
            self.gains.get(2 * lead).map_or(0.0, |g| g[s]) * self.scales.get(lead).map_or(0.0, |s| s.abs());
        let (near, far) = (LEVEL_FROM_S * self.band.rate_hz, LEVEL_TO_S * self.band.rate_hz);
        let before = self.level(lead, at as f64 - far, at as f64 - near);
        let after = self.level(lead, at as f64 + near, at as f64 + far);
        (after - before).abs() * gain
    }

    /// Mean of the raw samples of a lead between two steps, cut to what there is.
    fn level(&self, lead: usize, from: f64, to: f64) -> f32 {
        let raw = &self.raw[lead];
        let at = |v: f64| ((v.max(0.0) * self.band.step as f64) as usize).min(raw.len());
        let part = &raw[at(from)..at(to)];
        part.iter().map(|v| i64::from(*v)).sum::<i64>() as f32 / part.len().max(1) as f32
    }
}
