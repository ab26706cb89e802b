//! What each lead shows at a candidate: whether only one does, and whether it is a step of the electrode.

use super::block::Block;

/// Levels before and after a complex are taken this far from its middle, s.
const NEAR_LEVEL_S: (f64, f64) = (0.09, 0.15);
/// Lower candidates are not asked what each lead shows.
const LEAST_ASKED: f32 = 0.3;
/// A lead shows beats when they stand out this clearly on it.
const CLEAR_LEAD: f32 = 0.5;
/// A second of a lead with a lower quality score than this is no witness.
const LEAST_TRUST: f32 = 0.2;

/// What the leads show at a candidate one by one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Marks {
    /// Envelope on the lead that shows it second best among those that show beats; the usual beat is 1. Also 1
    /// where there is no second lead to ask.
    pub second: f32,
    /// Change of level from before to after the complex on the lead that shows it best, in usual beats.
    pub step: f32,
    /// Whether there was a second lead to ask.
    pub asked: bool,
}

impl Default for Marks {
    fn default() -> Self {
        Self { second: 1.0, step: 0.0, asked: false }
    }
}

impl Block<'_> {
    /// What the leads show at step `at` in second `s`; not asked of what is too low to be a clear beat.
    pub fn marks(&self, at: usize, s: usize) -> Marks {
        if self.common[at] < LEAST_ASKED {
            return Marks::default();
        }
        let (mut best, mut size, mut second, mut others) = (0, -1.0f32, -1.0f32, 0);
        for l in (0..self.leads.len()).filter(|l| self.shares[2 * l][s] > 0.0) {
            let here = self.sizes[l][at] * self.gains[2 * l][s];
            let shows_beats = self.lead_clear[l][s] >= CLEAR_LEAD && self.trust[l][s] >= LEAST_TRUST;
            others += usize::from(shows_beats);
            if here > size {
                second = if shows_beats || size > 0.0 { size } else { second };
                (best, size) = (l, here);
            } else if shows_beats {
                second = second.max(here);
            }
        }
        let gain =
            self.gains.get(2 * best).map_or(0.0, |g| g[s]) * self.scales.get(best).map_or(0.0, |s| s.abs());
        let (near, far) = (NEAR_LEVEL_S.0 * self.band.rate_hz, NEAR_LEVEL_S.1 * self.band.rate_hz);
        let before = self.level(best, at as f64 - far, at as f64 - near);
        let after = self.level(best, at as f64 + near, at as f64 + far);
        let asked = others >= 2 && second >= 0.0;
        let second = if asked { second } else { 1.0 };
        Marks { second, step: (after - before).abs() * gain, asked }
    }

    /// Mean of the raw samples of a lead between two steps, cut to what there is.
    fn level(&self, lead: usize, from: f64, to: f64) -> f32 {
        let raw = &self.raw[lead];
        let at = |v: f64| ((v.max(0.0) * self.band.step as f64) as usize).min(raw.len());
        let part = &raw[at(from)..at(to)];
        part.iter().map(|v| i64::from(*v)).sum::<i64>() as f32 / part.len().max(1) as f32
    }
}
