//! A second atrial focus that comes in runs so often that its intervals are the usual ones.
//!
//! Where atrial runs fill most of a stretch, as with a sick sinus node, the median of all intervals is that
//! of the runs, and nothing in them is early against it. Two things together tell such runs (common
//! practice): the slow intervals between them come and go at once, where the sinus node speeds up and slows
//! down by degrees; and the P wave after a slow interval is another than that within the runs, where after a
//! pause of the sinus node or a dropped beat it is the same. Runs as fast as tachycardia hide their P waves
//! in the T waves before: there the slow intervals must be no multiples of theirs, as those of flutter and of
//! blocked beats are. Intervals that change from beat to beat, as those of fibrillation do, are no run.
//! Without P waves after slow intervals no second focus is reported: these may end in escape beats.

mod mean_p_wave;
#[cfg(test)]
mod tests;

use std::ops::Range;

use rayon::prelude::*;

use super::calibration::{
    BESIDE, CHANGES_AT_ONCE, DROPPED_PAIRS, DROPPED_SPREAD, DROPPED_TIMES, EARLY_IN_RUN, FOCUS_AROUND_BEATS,
    FOCUS_BLOCK_BEATS, LEAST_BEATS_IN_RUNS, LEAST_CHANGES, LEAST_P_STEPS, LEAST_SLOW_BEATS, LOWER_QUARTILE,
    MULTIPLE_WITHIN, MULTIPLES, ON_TIME_IN_RUN, P_AGREEMENT, SAME_CONDUCTION, SLOW, SURELY_EARLY, T_OVER_MS,
    TWO_FOCI, UPPER_QUARTILE,
};
use super::rr_runs::is_even;
use crate::classify::shapes::calibration::{P_STEPS, P_STEPS_BEFORE, STEP_MS};
use crate::classify::shapes::cluster::{Cluster, level_weights};
use crate::classify::shapes::distance::distance;
use crate::classify::shapes::shape::Shapes;
use crate::model::BeatClass;
use crate::statistics::{quantile, upper_median};
use mean_p_wave::MeanPWave;

/// Runs of a second focus.
#[derive(Debug, Default)]
pub struct Foci {
    /// True for their beats.
    pub inside: Vec<bool>,
    /// The sinus interval where they are, ms; NaN elsewhere.
    pub sinus_ms: Vec<f32>,
}

impl Foci {
    /// Looks for such runs in every stretch.
    pub fn of(shapes: &Shapes, rr: &[f32], member_of: &[u32], clusters: &[Cluster]) -> Self {
        let n = rr.len();
        let mut foci = Self { inside: vec![false; n], sinus_ms: vec![f32::NAN; n] };
        let blocks = foci
            .inside
            .par_chunks_mut(FOCUS_BLOCK_BEATS)
            .zip(foci.sinus_ms.par_chunks_mut(FOCUS_BLOCK_BEATS));
        blocks.enumerate().for_each(|(block, (inside, sinus_ms))| {
            let start = block * FOCUS_BLOCK_BEATS;
            let near = start.saturating_sub(FOCUS_AROUND_BEATS)
                ..(start + FOCUS_BLOCK_BEATS + FOCUS_AROUND_BEATS).min(n);
            let Some(stretch) = Stretch::of(rr, member_of, clusters, shapes.leads(), near) else { return };
            if stretch.has_second_focus(shapes) {
                let sinus = stretch.sinus_ms();
                let early = |i: usize| rr[i] < SURELY_EARLY * sinus && stretch.is_conducted(i);
                sinus_ms.fill(sinus);
                for (k, inside) in inside.iter_mut().enumerate() {
                    *inside = stretch.is_run(start + k) || early(start + k);
                }
            }
        });
        foci
    }

    /// Makes these beats ectopic, whatever intervals alone made of them, and keeps them out of the sinus
    /// interval.
    pub fn mark(&self, classes: &mut [BeatClass], runs: &mut [bool]) {
        for i in (0..classes.len()).filter(|i| self.inside[*i]) {
            (classes[i], runs[i]) = (BeatClass::S, true);
        }
    }
}

/// Intervals around a place, slow ones and those of runs.
struct Stretch<'a> {
    rr: &'a [f32],
    /// Beats that are looked at.
    near: Range<usize>,
    /// Lower quartile of their intervals, ms.
    quartile: f32,
    /// Intervals from here on are slow, ms.
    slow_ms: f32,
    /// Which of them are conducted as most are.
    conducted: Vec<bool>,
    /// Usual interval of the runs, ms.
    interval: f32,
}

impl<'a> Stretch<'a> {
    /// The intervals of `near`; `None` where hardly any is slow.
    fn of(
        rr: &'a [f32],
        member_of: &[u32],
        clusters: &[Cluster],
        leads: usize,
        near: Range<usize>,
    ) -> Option<Self> {
        let finite: Vec<f32> = rr[near.clone()].iter().copied().filter(|r| r.is_finite()).collect();
        if finite.len() < LEAST_SLOW_BEATS + LEAST_BEATS_IN_RUNS {
            return None;
        }
        let quartile = quantile(finite.iter().copied(), LOWER_QUARTILE)?;
        if finite.iter().filter(|r| **r >= SLOW * quartile).count() < LEAST_SLOW_BEATS {
            return None;
        }
        let conducted = conducted(&member_of[near.clone()], clusters, leads);
        let slow_ms = SLOW * quartile;
        let mut stretch = Self { rr, near, quartile, slow_ms, conducted, interval: f32::NAN };
        // The first beat of a run may come later than those that follow it, but not as late as a sinus beat.
        let usual_ms = quantile(stretch.slow().map(|i| rr[i]), 0.5).unwrap_or(0.0);
        stretch.slow_ms = stretch.slow_ms.max((quartile * usual_ms).sqrt());
        let mut within: Vec<f32> = stretch.within().map(|i| rr[i]).collect();
        let enough = stretch.slow().count() >= LEAST_SLOW_BEATS && within.len() >= LEAST_BEATS_IN_RUNS;
        stretch.interval = if enough { upper_median(&mut within)? } else { return None };
        Some(stretch)
    }

    fn is_slow(&self, i: usize) -> bool {
        self.rr[i] >= self.slow_ms
    }

    fn is_conducted(&self, i: usize) -> bool {
        self.conducted[i - self.near.start]
    }

    /// True for a beat that comes as those of runs do.
    fn is_run(&self, i: usize) -> bool {
        self.rr[i] < self.slow_ms && self.is_conducted(i)
    }

    /// Conducted beats after slow intervals that are no pause after an early beat.
    fn slow(&self) -> impl Iterator<Item = usize> + '_ {
        let after_early =
            |i: usize| !self.is_conducted(i - 1) || self.rr[i - 1] < ON_TIME_IN_RUN * self.quartile;
        let is_slow = move |i: &usize| self.is_slow(*i) && self.is_conducted(*i) && !after_early(*i);
        self.near.clone().skip(1).filter(is_slow)
    }

    /// Conducted beats that follow another within a run.
    fn within(&self) -> impl Iterator<Item = usize> + '_ {
        let follows = |i: &usize| {
            self.is_run(*i) && self.rr[*i] >= EARLY_IN_RUN * self.quartile && self.is_conducted(*i - 1)
        };
        self.near.clone().skip(1).filter(follows)
    }

    /// The sinus interval: the longer ones of those between slow beats beside each other, as some are first
    /// beats of runs; where there are too few, the shorter ones of the pauses after runs are about as long.
    fn sinus_ms(&self) -> f32 {
        let (pairs, pauses): (Vec<usize>, Vec<usize>) = self.slow().partition(|i| self.is_slow(*i - 1));
        let rr = |beats: Vec<usize>| beats.into_iter().map(|i| self.rr[i]);
        let sinus = if pairs.len() >= LEAST_SLOW_BEATS / 2 {
            quantile(rr(pairs), UPPER_QUARTILE)
        } else {
            quantile(rr(pauses), LOWER_QUARTILE)
        };
        sinus.unwrap_or(0.0)
    }

    fn has_second_focus(&self, shapes: &Shapes) -> bool {
        let skip = ((T_OVER_MS - self.interval) / STEP_MS as f32).ceil() as i64 + P_STEPS_BEFORE as i64;
        let skip = skip.max(0) as usize;
        let is_hidden = skip + LEAST_P_STEPS > P_STEPS;
        let sinus = MeanPWave::of(shapes, self.slow(), if is_hidden { 0 } else { skip });
        if sinus.agreement < P_AGREEMENT || !self.changes_at_once() || self.drops_beats() {
            return false;
        }
        if is_hidden {
            return self.is_even() && !self.has_multiples();
        }
        let run = MeanPWave::of(shapes, self.within(), skip);
        let is_one_rhythm = run.agreement >= P_AGREEMENT || self.is_even();
        is_one_rhythm && sinus.apart(&run) - (sinus.noise() + run.noise()) / 2.0 > TWO_FOCI
    }

    /// True when slow intervals come and go at once.
    fn changes_at_once(&self) -> bool {
        let run = |i: usize| self.near.contains(&i) && self.is_run(i);
        let (mut all, mut at_once) = (0usize, 0usize);
        for i in self.slow() {
            let comes = run(i - 1).then(|| self.rr[i - 1] <= BESIDE * self.interval);
            let goes = run(i + 1).then(|| SLOW * self.rr[i + 1] <= self.rr[i]);
            all += comes.iter().chain(&goes).count();
            at_once += comes.iter().chain(&goes).filter(|at_once| **at_once).count();
        }
        all >= LEAST_CHANGES && at_once as f32 >= CHANGES_AT_ONCE * all as f32
    }

    /// True when the intervals within the runs hardly change from beat to beat; those of fibrillation do.
    fn is_even(&self) -> bool {
        let run: Vec<f32> = self.within().map(|i| self.rr[i]).collect();
        is_even(&run)
    }

    /// True when slow intervals look like those of dropped beats: each alone between beats of the usual rate, all about alike,
    /// and up to twice the interval between those beats. PR that lengthens until a beat drops moves the P wave before its
    /// beats, so that it is no longer the same as that after the pause.
    fn drops_beats(&self) -> bool {
        let slow: Vec<usize> = self.slow().collect();
        let in_pairs = slow.iter().filter(|i| self.is_slow(**i - 1)).count();
        let [low, usual, high] = [LOWER_QUARTILE, 0.5, UPPER_QUARTILE]
            .map(|share| quantile(slow.iter().map(|i| self.rr[*i]), share).unwrap_or(0.0));
        let times = usual / self.interval;
        in_pairs as f32 <= DROPPED_PAIRS * slow.len() as f32
            && (DROPPED_TIMES.0..=DROPPED_TIMES.1).contains(&times)
            && high - low <= DROPPED_SPREAD * usual
    }

    /// True when most slow intervals are about twice, three or four times those of the runs.
    fn has_multiples(&self) -> bool {
        let times = |i: usize| self.rr[i] / self.interval;
        let is_multiple = |t: f32| t.round() >= 2.0 && (t - t.round()).abs() <= MULTIPLE_WITHIN * t;
        let multiples = self.slow().filter(|i| is_multiple(times(*i))).count();
        multiples as f32 >= MULTIPLES * self.slow().count() as f32
    }
}

/// Which beats have about the shape that most of them have.
fn conducted(member_of: &[u32], clusters: &[Cluster], leads: usize) -> Vec<bool> {
    let mut counts = vec![0u32; clusters.len()];
    member_of.iter().for_each(|c| counts[*c as usize] += 1);
    // The first of equals is the larger one of the day.
    let usual = (0..counts.len()).rev().max_by_key(|c| counts[*c]).unwrap_or(0);
    let weights = level_weights(clusters.get(usual), leads);
    let alike: Vec<bool> = (0..clusters.len())
        .map(|c| {
            let near = || distance(&clusters[c].mean, &clusters[usual].mean, &weights).0 < SAME_CONDUCTION;
            counts[c] > 0 && (c == usual || near())
        })
        .collect();
    member_of.iter().map(|c| alike[*c as usize]).collect()
}
