//! What is around every beat: recent intervals, jumps, P waves, and the normal beats that it is compared
//! with.

use rayon::prelude::*;

use super::calibration::{
    AHEAD_BEATS, FAR_BEATS, LEAST_HEIGHT_MV, LEAST_VALUES, MOST_LOG_PART_ENERGY, MOST_LOG_RATIO, NEAR_BEATS,
    NO_WEIGHT, PR_BEATS, RECENT_INTERVALS, SPREAD_BEATS, TREND_INTERVALS, UNKNOWN_P, UNKNOWN_SPREAD,
    WIDE_BEATS,
};
use crate::classify::calibration::NO_ENERGY;
use crate::classify::shapes::calibration::{CORE, P_STEPS, SHIFT, STEPS, T_STEPS};
use crate::classify::shapes::shape::Shapes;
use crate::classify::timing::irregular;
use crate::classify::timing::prematurity::BeatTiming;
use crate::classify::timing::running_means::RunningMeans;
use crate::model::BeatClass;
use crate::statistics::upper_median;

/// What is around each beat; one element a beat.
pub struct BeatContext {
    /// Median of the last eight normal-to-normal intervals before the beat, ms.
    pub trend_ms: Vec<f32>,
    /// The last normal-to-normal interval before the beat, ms.
    pub last_nn_ms: Vec<f32>,
    /// Median of the five intervals before, whatever they are, ms.
    pub recent_ms: Vec<f32>,
    /// Median of the intervals within 20 beats on either side, whatever they are, ms.
    pub wide_ms: Vec<f32>,
    /// Mean absolute deviation of normal beats from the sinus interval, as a share of it, within 12 beats.
    pub spread: Vec<f32>,
    /// Share of neighbouring intervals that jump, within 10 beats, ventricular beats left out.
    pub jumps_near: Vec<f32>,
    /// The same within 40 beats.
    pub jumps_far: Vec<f32>,
    /// The same over the beats after: where fibrillation begins, these show it first.
    pub jumps_after: Vec<f32>,
    /// Mean clearness of P waves of the 12 beats after that are not ventricular.
    pub p_after: Vec<f32>,
    /// Mean clearness of P waves of beats that are not ventricular within 10 beats.
    pub p_near: Vec<f32>,
    /// Median PR interval of the last nine normal beats, ms.
    pub pr_ms: Vec<f32>,
    /// The last normal beat before each beat.
    normal_before: Vec<u32>,
    /// The first normal beat after each beat.
    normal_after: Vec<u32>,
}

/// Stands for 'no such beat'.
const NONE: u32 = u32::MAX;

/// How a beat compares with the normal beats around it; zero where there is none.
#[derive(Clone, Copy, Debug, Default)]
pub struct AgainstNormals {
    /// Log of peak to peak over theirs, mean over the leads by energy.
    pub height: f32,
    /// Distance of the tracing where the P wave stands.
    pub p_distance: f32,
    /// Log of its energy over theirs.
    pub p_energy: f32,
    /// Distance of the tracing where the T wave stands: 2 when the T wave is turned.
    pub t_distance: f32,
    /// Log of its energy over theirs.
    pub t_energy: f32,
}

impl BeatContext {
    /// Looks around every beat; all slices have one element a beat.
    pub fn of(
        rr: &[f32],
        classes: &[BeatClass],
        timings: &[BeatTiming],
        p_before: &[Option<f32>],
        pr_ms: &[Option<f32>],
    ) -> Self {
        let n = rr.len();
        let normal = |i: usize| classes[i] == BeatClass::N;
        let is_nn = |i: usize| i > 0 && rr[i].is_finite() && normal(i) && normal(i - 1);
        let conducted = |i: usize| !classes[i].is_ventricular();
        let trend_ms = median_of_last(n, TREND_INTERVALS, |i| is_nn(i).then(|| rr[i]));
        let last_nn_ms = median_of_last(n, 1, |i| is_nn(i).then(|| rr[i]));
        let recent_ms = median_of_last(n, RECENT_INTERVALS, |i| rr[i].is_finite().then(|| rr[i]));
        let pr_ms = median_of_last(n, PR_BEATS, |i| pr_ms[i].filter(|_| normal(i)));
        let wide_ms = (0..n)
            .into_par_iter()
            .map_init(Vec::new, |near, i| {
                near.clear();
                near.extend(
                    rr[i.saturating_sub(WIDE_BEATS)..(i + WIDE_BEATS + 1).min(n)]
                        .iter()
                        .filter(|r| r.is_finite()),
                );
                upper_median(near).unwrap_or(f32::NAN)
            })
            .collect();
        let off = |i: usize| timings[i].early.filter(|_| is_nn(i)).map(|e| e.abs().min(1.0));
        let jumps = irregular::jumps(rr, classes);
        let spread = mean_within(n, SPREAD_BEATS, &RunningMeans::of((0..n).map(off)), UNKNOWN_SPREAD);
        let p_waves = RunningMeans::of((0..n).map(|i| p_before[i].filter(|_| conducted(i))));
        let (normal_before, normal_after) = normals_beside(n, normal);
        Self {
            trend_ms,
            last_nn_ms,
            recent_ms,
            wide_ms,
            spread,
            jumps_near: mean_within(n, NEAR_BEATS, &jumps, 0.0),
            jumps_far: mean_within(n, FAR_BEATS, &jumps, 0.0),
            jumps_after: mean_ahead(n, &jumps, 0.0),
            p_after: mean_ahead(n, &p_waves, UNKNOWN_P),
            p_near: mean_within(n, NEAR_BEATS, &p_waves, UNKNOWN_P),
            pr_ms,
            normal_before,
            normal_after,
        }
    }

    /// Up to two normal beats before beat `i` and two after it.
    pub fn normals(&self, i: usize) -> [Option<usize>; 4] {
        let step = |of: &[u32], j: Option<usize>| j.and_then(|j| (of[j] != NONE).then(|| of[j] as usize));
        let before = step(&self.normal_before, Some(i));
        let after = step(&self.normal_after, Some(i));
        [before, step(&self.normal_before, before), after, step(&self.normal_after, after)]
    }

    /// How beat `i` compares with the normal beats around it.
    pub fn against_normals(&self, shapes: &Shapes, i: usize) -> AgainstNormals {
        let normals = self.normals(i);
        let others = || normals.iter().flatten();
        let n = others().count();
        if n == 0 {
            return AgainstNormals::default();
        }
        let weights = shapes.weights(i);
        let mut out = AgainstNormals::default();
        let mut total = NO_WEIGHT;
        for (lead, weight) in weights.iter().enumerate() {
            let core = |j: usize| &shapes.of(j)[lead * STEPS + SHIFT..lead * STEPS + SHIFT + CORE];
            let height = others().map(|j| peak_to_peak(core(*j))).sum::<f32>() / n as f32;
            let ratio = (peak_to_peak(core(i)).max(LEAST_HEIGHT_MV) / height.max(LEAST_HEIGHT_MV)).ln();
            let ratio = ratio.clamp(-MOST_LOG_RATIO, MOST_LOG_RATIO);
            let usual = weight * others().map(|j| energy(core(*j))).sum::<f32>() / n as f32;
            out.height += usual * ratio;
            total += usual;
        }
        out.height /= total;
        let p: Vec<&[f32]> = others().map(|j| shapes.p_stretch(*j)).collect();
        (out.p_distance, out.p_energy) = against_mean(shapes.p_stretch(i), &p, P_STEPS, weights);
        let t: Vec<&[f32]> = others().map(|j| shapes.t_stretch(*j)).collect();
        (out.t_distance, out.t_energy) = against_mean(shapes.t_stretch(i), &t, T_STEPS, weights);
        out
    }
}

/// Distance of `own` to the mean of `others` (0 same, 1 unlike, 2 opposite) and log of the ratio of energies.
fn against_mean(own: &[f32], others: &[&[f32]], steps: usize, weights: &[f32]) -> (f32, f32) {
    let (mut dot, mut a, mut b) = (0.0f32, NO_ENERGY, NO_ENERGY);
    let n = others.len().max(1) as f32;
    for (lead, weight) in weights.iter().enumerate() {
        for k in lead * steps..(lead + 1) * steps {
            let mean = others.iter().map(|o| o[k]).sum::<f32>() / n;
            dot += weight * own[k] * mean;
            a += weight * own[k] * own[k];
            b += weight * mean * mean;
        }
    }
    (1.0 - 2.0 * dot / (a + b), (a / b).ln().clamp(-MOST_LOG_PART_ENERGY, MOST_LOG_PART_ENERGY))
}

fn peak_to_peak(v: &[f32]) -> f32 {
    let (low, high) = v.iter().fold((f32::MAX, f32::MIN), |(l, h), v| (l.min(*v), h.max(*v)));
    high - low
}

fn energy(v: &[f32]) -> f32 {
    v.iter().map(|v| v * v).sum()
}

/// Median of the last `keep` values before each beat; NaN where there is none.
fn median_of_last(n: usize, keep: usize, value: impl Fn(usize) -> Option<f32>) -> Vec<f32> {
    let mut held = std::collections::VecDeque::with_capacity(keep + 1);
    let mut sorted = Vec::with_capacity(keep);
    (0..n)
        .map(|i| {
            sorted.clear();
            sorted.extend(held.iter().copied());
            if let Some(v) = value(i) {
                held.push_back(v);
                if held.len() > keep {
                    held.pop_front();
                }
            }
            upper_median(&mut sorted).unwrap_or(f32::NAN)
        })
        .collect()
}

/// Mean within `reach` beats on either side; `otherwise` where too few values are there.
fn mean_within(n: usize, reach: usize, of: &RunningMeans, otherwise: f32) -> Vec<f32> {
    let mean = |i: usize| of.mean(i.saturating_sub(reach), (i + reach + 1).min(n), LEAST_VALUES);
    (0..n).map(|i| mean(i).unwrap_or(otherwise)).collect()
}

/// Mean over the beats after each beat; `otherwise` where too few values are there.
fn mean_ahead(n: usize, of: &RunningMeans, otherwise: f32) -> Vec<f32> {
    let mean = |i: usize| of.mean((i + 1).min(n), (i + AHEAD_BEATS + 1).min(n), LEAST_VALUES);
    (0..n).map(|i| mean(i).unwrap_or(otherwise)).collect()
}

/// The normal beat before and after each beat.
fn normals_beside(n: usize, normal: impl Fn(usize) -> bool) -> (Vec<u32>, Vec<u32>) {
    let (mut before, mut after) = (vec![NONE; n], vec![NONE; n]);
    let mut held = NONE;
    for (i, before) in before.iter_mut().enumerate() {
        *before = held;
        if normal(i) {
            held = i as u32;
        }
    }
    held = NONE;
    for (i, after) in after.iter_mut().enumerate().rev() {
        *after = held;
        if normal(i) {
            held = i as u32;
        }
    }
    (before, after)
}
