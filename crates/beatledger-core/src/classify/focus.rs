//! A second atrial focus that comes in runs so often that its intervals are the usual ones.
//!
//! Where atrial runs fill most of a stretch, as with a sick sinus node, the median of all intervals is that of the
//! runs, and nothing in them is early against it. Two things together tell such runs (common practice): the slow
//! intervals between them come and go at once, where the sinus node speeds up and slows down by degrees; and the
//! P wave after a slow interval is another than that within the runs, where after a pause of the sinus node or a
//! dropped beat it is the same. Runs as fast as tachycardia hide their P waves in the T waves before: there the slow
//! intervals must be no multiples of theirs, as those of flutter and of blocked beats are. Intervals that change from
//! beat to beat, as those of fibrillation do, are no run.
//! Without P waves after slow intervals nothing is told: these may end in escape beats.

mod p_waves;
#[cfg(test)]
mod tests;

use std::ops::Range;

use rayon::prelude::*;

use super::cluster::{Cluster, level_weights};
use super::guess::is_even;
use super::shape::{PRE, PRE_BEFORE, STEP_MS, Shapes, distance};
use super::timing::median;
use crate::model::BeatClass;
use crate::statistics::quantile;
use p_waves::MeanP;

/// Beats that get one answer.
const BLOCK: usize = 64;
/// Beats on each side of them that are looked at too.
const AROUND: usize = 64;
/// Intervals from this share of the lower quartile on are slow.
const SLOW: f32 = 1.3;
/// Shorter intervals than this share of the lower quartile are early even within a run.
const EARLY: f32 = 0.7;
/// A beat that comes after this share of the lower quartile is on time in a run.
const ON_TIME: f32 = 0.85;
/// A beat that comes after a smaller share of the sinus interval belongs to a run, though it be the first.
const SURELY_EARLY: f32 = 0.75;
/// Beats whose shapes are nearer than this are conducted the same way.
const CONDUCTED: f32 = 0.2;
/// Fewest beats after slow intervals, within runs, and changes between the two, that tell anything.
const LEAST: [usize; 3] = [10, 20, 10];
/// A slow interval comes at once when the one before is no longer than this share of those of the runs.
const BESIDE: f32 = 1.15;
/// Share of the changes that come at once.
const AT_ONCE: f32 = 0.7;
/// The P waves after slow intervals agree at least so far.
const AGREE: f32 = 0.3;
/// Two mean P waves further apart than this come from two foci. Of 110 stretches of MIT-BIH DS1 with slow intervals
/// among others, and clear P waves, the furthest lies at 0.15.
const ANOTHER: f32 = 0.17;
/// The T wave before is over so long after its beat, ms.
const T_OVER_MS: f32 = 430.0;
/// Fewest steps before the QRS that show a P wave.
const LEAST_STEPS: usize = 12;
/// Share of the slow intervals that are multiples of the fast ones, and how near to one they then lie.
const MULTIPLES: f32 = 0.5;
const MULTIPLE: f32 = 0.07;

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
        let blocks = foci.inside.par_chunks_mut(BLOCK).zip(foci.sinus_ms.par_chunks_mut(BLOCK));
        blocks.enumerate().for_each(|(block, (inside, sinus_ms))| {
            let start = block * BLOCK;
            let near = start.saturating_sub(AROUND)..(start + BLOCK + AROUND).min(n);
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

    /// Puts what intervals alone made of these beats right: they are ectopic, and never speak for the sinus rhythm.
    pub fn put(&self, classes: &mut [BeatClass], runs: &mut [bool]) {
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
        if finite.len() < LEAST[0] + LEAST[1] {
            return None;
        }
        let quartile = quantile(finite.iter().copied(), 0.25)?;
        if finite.iter().filter(|r| **r >= SLOW * quartile).count() < LEAST[0] {
            return None;
        }
        let conducted = conducted(&member_of[near.clone()], clusters, leads);
        let slow_ms = SLOW * quartile;
        let mut stretch = Self { rr, near, quartile, slow_ms, conducted, interval: f32::NAN };
        // The first beat of a run may come later than those that follow it, but not as late as a sinus beat.
        let usual_ms = quantile(stretch.slow().map(|i| rr[i]), 0.5).unwrap_or(0.0);
        stretch.slow_ms = stretch.slow_ms.max((quartile * usual_ms).sqrt());
        let mut within: Vec<f32> = stretch.within().map(|i| rr[i]).collect();
        let enough = stretch.slow().count() >= LEAST[0] && within.len() >= LEAST[1];
        stretch.interval = if enough { median(&mut within) } else { return None };
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
        let after_early = |i: usize| !self.is_conducted(i - 1) || self.rr[i - 1] < ON_TIME * self.quartile;
        let is_slow = move |i: &usize| self.is_slow(*i) && self.is_conducted(*i) && !after_early(*i);
        self.near.clone().skip(1).filter(is_slow)
    }

    /// Conducted beats that follow another within a run.
    fn within(&self) -> impl Iterator<Item = usize> + '_ {
        let follows =
            |i: &usize| self.is_run(*i) && self.rr[*i] >= EARLY * self.quartile && self.is_conducted(*i - 1);
        self.near.clone().skip(1).filter(follows)
    }

    /// The sinus interval: the longer ones of those between slow beats beside each other, as some are first beats of
    /// runs; where there are too few, the shorter ones of the pauses after runs are about as long.
    fn sinus_ms(&self) -> f32 {
        let (pairs, pauses): (Vec<usize>, Vec<usize>) = self.slow().partition(|i| self.is_slow(*i - 1));
        let rr = |beats: Vec<usize>| beats.into_iter().map(|i| self.rr[i]);
        let interval_ms =
            if pairs.len() >= LEAST[0] / 2 { quantile(rr(pairs), 0.75) } else { quantile(rr(pauses), 0.25) };
        interval_ms.unwrap_or(0.0)
    }

    fn has_second_focus(&self, shapes: &Shapes) -> bool {
        let skip = ((T_OVER_MS - self.interval) / STEP_MS as f32).ceil() as i64 + PRE_BEFORE as i64;
        let skip = skip.max(0) as usize;
        let is_hidden = skip + LEAST_STEPS > PRE;
        let sinus = MeanP::of(shapes, self.slow(), if is_hidden { 0 } else { skip });
        if sinus.agreement < AGREE || !self.changes_at_once() {
            return false;
        }
        if is_hidden {
            return self.is_even() && !self.has_multiples();
        }
        let run = MeanP::of(shapes, self.within(), skip);
        let is_one_rhythm = run.agreement >= AGREE || self.is_even();
        is_one_rhythm && sinus.apart(&run) - (sinus.noise() + run.noise()) / 2.0 > ANOTHER
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
        all >= LEAST[2] && at_once as f32 >= AT_ONCE * all as f32
    }

    /// True when the intervals within the runs hardly change from beat to beat; those of fibrillation do.
    fn is_even(&self) -> bool {
        let run: Vec<f32> = self.within().map(|i| self.rr[i]).collect();
        is_even(&run)
    }

    /// True when most slow intervals are about twice, three or four times those of the runs.
    fn has_multiples(&self) -> bool {
        let times = |i: usize| self.rr[i] / self.interval;
        let is_multiple = |t: f32| t.round() >= 2.0 && (t - t.round()).abs() <= MULTIPLE * t;
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
            let near = || distance(&clusters[c].mean, &clusters[usual].mean, &weights).0 < CONDUCTED;
            counts[c] > 0 && (c == usual || near())
        })
        .collect();
    member_of.iter().map(|c| alike[*c as usize]).collect()
}
