//! Seconds in which beats are found but cannot be told from noise, by the disorder of their intervals.

use super::activity::activity_ratios;
use super::complexes::{Complexes, interval_spread, median_interval_change};
use super::motion::{growth, growth_around};
use super::widen::{calm_seconds, keep_runs, widen};
use crate::condition::seconds::seconds_in;
use crate::detect::calibration::baseline_activity::AT_REST_BELOW;
use crate::detect::calibration::disorder as limit;
use crate::detect::calibration::motion;
use crate::detect::envelope::Candidates;
use crate::model::{Quality, Recording, SECONDS_PER_MINUTE};
use crate::statistics::quantile;

/// By second, whether what is found there is noise, in stretches of some seconds.
pub fn disorder(
    recording: &Recording,
    quality: &Quality,
    all: &Candidates,
    complexes: &Complexes<'_>,
) -> Vec<bool> {
    let seconds = Seconds::new(recording, quality, all, complexes);
    let judged: Vec<Verdict> = (0..seconds.growth.len()).map(|s| seconds.judge(s)).collect();
    let mut noise: Vec<bool> = judged.iter().map(|v| v.is_noise).collect();
    let mut mixture: Vec<bool> = judged.iter().map(|v| v.is_mixture).collect();
    keep_runs(&mut mixture, limit::CLOSED_HOLE_S, limit::MIXTURE_MIN_S);
    keep_runs(&mut noise, limit::CLOSED_HOLE_S, limit::MIN_S);
    noise.iter_mut().zip(&mixture).for_each(|(n, m)| *n |= m);
    let calm = calm_seconds(recording, complexes, &seconds.growth, &seconds.activity);
    widen(&mut noise, &calm, &seconds.growth);
    noise
}

/// What one second is found to hold.
struct Verdict {
    is_noise: bool,
    /// A mixture of beats and noise that cannot be counted.
    is_mixture: bool,
}

/// What the seconds of a recording are judged by.
struct Seconds<'a> {
    all: &'a Candidates,
    complexes: &'a Complexes<'a>,
    /// The complexes around each second.
    around: Vec<std::ops::Range<usize>>,
    /// Beats a minute around each second.
    bpm: Vec<f64>,
    growth: Vec<f32>,
    /// Activity of the baseline as a multiple of the usual one.
    activity: Vec<f32>,
    /// Whether the rhythm is irregular where the leads do not move.
    is_irregular: bool,
}

impl<'a> Seconds<'a> {
    fn new(
        recording: &Recording,
        quality: &Quality,
        all: &'a Candidates,
        complexes: &'a Complexes<'a>,
    ) -> Self {
        let seconds = seconds_in(recording);
        let rate = recording.rate;
        let reach = rate.samples_from_seconds(limit::REACH_S as f64);
        let around: Vec<_> = (0..seconds).map(|s| complexes.around(rate, s, reach)).collect();
        let bpm =
            around.iter().map(|beats| SECONDS_PER_MINUTE * beats.len() as f64 / (2 * limit::REACH_S) as f64);
        let growth = growth(all, seconds);
        // What the rhythm itself has: the spread of the intervals where the leads have not grown.
        let calm = (0..seconds).step_by(limit::SPREAD_EVERY_S).filter(|s| growth[*s] <= motion::STILL_MOVING);
        let spreads = calm
            .map(|s| around[s].clone())
            .filter(|beats| beats.len() >= limit::MIN_BEATS)
            .map(|beats| interval_spread(&complexes.middles[beats]) as f32);
        let usual_spread = f64::from(quantile(spreads, 0.5).unwrap_or(0.0));
        Self {
            all,
            complexes,
            bpm: bpm.collect(),
            activity: activity_ratios(all, quality, seconds),
            is_irregular: usual_spread > limit::IRREGULAR_SPREAD,
            around,
            growth,
        }
    }

    fn judge(&self, s: usize) -> Verdict {
        let beats = self.around[s].clone();
        let middles = &self.complexes.middles[beats.clone()];
        let similarity = &self.complexes.similarity[beats.clone()];
        let count = beats.len().max(1) as f32;
        let clearness = self.clearness_around(s);
        let evidence = clearness + similarity.iter().sum::<f32>() / count;
        let dissimilar = similarity.iter().filter(|l| **l < limit::DISSIMILAR_BELOW).count() as f32 / count;
        let top_bpm = self.top_bpm_around(s);
        let has_beats = beats.len() >= limit::MIN_BEATS;
        let is_disorder = has_beats && interval_spread(middles) > limit::DISORDER_SPREAD;
        let is_changing = median_interval_change(middles) > motion::INTERVAL_CHANGE;
        let is_moving = self.is_moving(s, evidence, dissimilar, is_changing);
        let is_noise = is_disorder
            && ((is_moving && top_bpm < limit::VERY_FAST_BPM)
                || (evidence < limit::POOR_EVIDENCE && top_bpm < limit::FAST_BPM));
        let is_mixture = is_disorder
            && dissimilar > limit::MIXTURE_DISSIMILAR
            && clearness < limit::MIXTURE_CLEARNESS
            && is_changing
            && top_bpm < limit::FAST_BPM;
        let is_too_fast =
            has_beats && self.bpm[s] > limit::TOO_FAST_BPM && clearness < limit::TOO_FAST_CLEARNESS;
        let is_at_rest = self.activity[s] < AT_REST_BELOW;
        Verdict { is_noise: is_noise && !is_at_rest || is_too_fast, is_mixture: is_mixture && !is_at_rest }
    }

    /// Whether the leads move so that beats in disorder are noise.
    ///
    /// Noise may imitate beats for a while: what tells it from a run is that the leads keep moving and that no
    /// interval is like the one before it.
    fn is_moving(&self, s: usize, evidence: f32, dissimilar: f32, is_changing: bool) -> bool {
        let (mean, least) = growth_around(&self.growth, s);
        let min_dissimilar =
            if self.is_irregular { motion::IRREGULAR_DISSIMILAR } else { motion::IMITATION_DISSIMILAR };
        let is_imitation = mean > motion::IMITATION_MOVING
            && least > motion::IMITATION_LEAST
            && dissimilar > min_dissimilar
            && evidence
                < limit::FAIR_EVIDENCE
                    + motion::IMITATION_EVIDENCE
                    + motion::IMITATION_SLOPE * (mean - motion::MOVING)
            && is_changing;
        let is_odd = !self.is_irregular || dissimilar > min_dissimilar;
        (mean > motion::MOVING && evidence < limit::FAIR_EVIDENCE && is_odd) || is_imitation
    }

    /// Mean clearness of the best lead around second `s`.
    fn clearness_around(&self, s: usize) -> f32 {
        let clearest =
            |s: usize| self.all.clearness.iter().filter_map(|c| c.get(s)).copied().fold(0.0, f32::max);
        let near = s.saturating_sub(limit::CLEARNESS_REACH_S)
            ..(s + limit::CLEARNESS_REACH_S + 1).min(self.bpm.len());
        near.clone().map(clearest).sum::<f32>() / near.len() as f32
    }

    /// Highest rate around second `s`, beats a minute.
    fn top_bpm_around(&self, s: usize) -> f64 {
        let wide = s.saturating_sub(limit::FAST_REACH_S)..(s + limit::FAST_REACH_S + 1).min(self.bpm.len());
        self.bpm[wide].iter().copied().fold(0.0, f64::max)
    }
}
