//! The neighbourhood of every beat: recent intervals, irregularity, P waves, ectopy and ordinary beats near.

use rayon::prelude::*;

use super::shape::{CORE, POST, PRE, SHIFT, STEPS, Shapes};
use super::timing::{Share, When, median};
use crate::model::BeatClass;

/// What is around each beat; one element a beat.
pub struct Around {
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
    /// Share of neighbouring intervals that differ by more than 8 %, within 10 beats, ventricular beats left out.
    pub jumps_near: Vec<f32>,
    /// The same within 40 beats.
    pub jumps_far: Vec<f32>,
    /// The same over the 12 beats after: where fibrillation begins, these tell it first.
    pub jumps_after: Vec<f32>,
    /// Mean clearness of P waves of the 12 beats after that are not ventricular.
    pub p_after: Vec<f32>,
    /// Mean clearness of P waves of beats that are not ventricular within 10 beats.
    pub p_near: Vec<f32>,
    /// Median PR interval of the last nine normal beats, ms.
    pub pr_ms: Vec<f32>,
    before: Vec<u32>,
    after: Vec<u32>,
}

const NONE: u32 = u32::MAX;

/// How a beat's levels compare with ordinary beats near it; zero where there is none.
#[derive(Clone, Copy, Debug, Default)]
pub struct Levels {
    /// Log of peak to peak over that of the neighbours, mean over the leads.
    pub height: f32,
    /// Distance of the tracing before the QRS.
    pub before_odd: f32,
    /// Log of its energy over that of the neighbours.
    pub before_energy: f32,
    /// Distance of the tracing after the QRS: 2 when the T wave is turned.
    pub t_turned: f32,
    /// Log of its energy over that of the neighbours.
    pub t_energy: f32,
}

impl Around {
    /// Looks around every beat.
    pub fn of(
        rr: &[f32],
        classes: &[BeatClass],
        when: &[When],
        p_before: &[Option<f32>],
        pr_ms: &[Option<f32>],
    ) -> Self {
        let n = rr.len();
        let normal = |i: usize| classes[i] == BeatClass::N;
        let is_nn = |i: usize| i > 0 && rr[i].is_finite() && normal(i) && normal(i - 1);
        let conducted = |i: usize| !classes[i].is_ventricular();
        let trend_ms = last(n, 8, |i| is_nn(i).then(|| rr[i]));
        let last_nn_ms = last(n, 1, |i| is_nn(i).then(|| rr[i]));
        let recent_ms = last(n, 5, |i| rr[i].is_finite().then(|| rr[i]));
        let pr_ms = last(n, 9, |i| pr_ms[i].filter(|_| normal(i)));
        let wide_ms = (0..n)
            .into_par_iter()
            .map_init(Vec::new, |near, i| {
                near.clear();
                near.extend(rr[i.saturating_sub(20)..(i + 21).min(n)].iter().filter(|r| r.is_finite()));
                if near.is_empty() { f32::NAN } else { median(near) }
            })
            .collect();
        let off = |i: usize| when[i].early.filter(|_| is_nn(i)).map(|e| e.abs().min(1.0));
        let jump = |i: usize| {
            let clean = i > 1 && rr[i].is_finite() && rr[i - 1].is_finite() && (i - 2..=i).all(conducted);
            clean.then(|| share((rr[i] - rr[i - 1]).abs() > 0.04 * (rr[i] + rr[i - 1])))
        };
        let jumps = Share::of((0..n).map(jump));
        let spread = within(n, 12, &Share::of((0..n).map(off)), 0.03);
        let p_waves = Share::of((0..n).map(|i| p_before[i].filter(|_| conducted(i))));
        let ahead = |of: &Share, otherwise: f32| -> Vec<f32> {
            (0..n).map(|i| of.mean((i + 1).min(n), (i + 13).min(n), 4).unwrap_or(otherwise)).collect()
        };
        let (before, after) = neighbours(n, normal);
        Self {
            trend_ms,
            last_nn_ms,
            recent_ms,
            wide_ms,
            spread,
            jumps_near: within(n, 10, &jumps, 0.0),
            jumps_far: within(n, 40, &jumps, 0.0),
            jumps_after: ahead(&jumps, 0.0),
            p_after: ahead(&p_waves, 0.5),
            p_near: within(n, 10, &p_waves, 0.5),
            pr_ms,
            before,
            after,
        }
    }

    /// Up to two normal beats before beat `i` and two after it.
    pub fn normals(&self, i: usize) -> [Option<usize>; 4] {
        let step = |of: &[u32], j: Option<usize>| j.and_then(|j| (of[j] != NONE).then(|| of[j] as usize));
        let before = step(&self.before, Some(i));
        let after = step(&self.after, Some(i));
        [before, step(&self.before, before), after, step(&self.after, after)]
    }

    /// How the levels of beat `i` compare with the normal beats near it.
    pub fn levels(&self, shapes: &Shapes, i: usize) -> Levels {
        let normals = self.normals(i);
        let others = || normals.iter().flatten();
        let n = others().count();
        if n == 0 {
            return Levels::default();
        }
        let weights = shapes.weights(i);
        let mut out = Levels::default();
        let mut total = 1e-6f32;
        for (lead, weight) in weights.iter().enumerate() {
            let core = |j: usize| &shapes.of(j)[lead * STEPS + SHIFT..lead * STEPS + SHIFT + CORE];
            let height = others().map(|j| peak_to_peak(core(*j))).sum::<f32>() / n as f32;
            let ratio = (peak_to_peak(core(i)).max(1e-3) / height.max(1e-3)).ln().clamp(-3.0, 3.0);
            let usual = weight * others().map(|j| energy(core(*j))).sum::<f32>() / n as f32;
            out.height += usual * ratio;
            total += usual;
        }
        out.height /= total;
        let before: Vec<&[f32]> = others().map(|j| shapes.before(*j)).collect();
        (out.before_odd, out.before_energy) = unlike(shapes.before(i), &before, PRE, weights);
        let after: Vec<&[f32]> = others().map(|j| shapes.after(*j)).collect();
        (out.t_turned, out.t_energy) = unlike(shapes.after(i), &after, POST, weights);
        out
    }
}

/// Distance of `own` to the mean of `others` (0 same, 1 unlike, 2 opposite) and log of the ratio of energies.
fn unlike(own: &[f32], others: &[&[f32]], steps: usize, weights: &[f32]) -> (f32, f32) {
    let (mut dot, mut a, mut b) = (0.0f32, 1e-9f32, 1e-9f32);
    let n = others.len().max(1) as f32;
    for (lead, weight) in weights.iter().enumerate() {
        for k in lead * steps..(lead + 1) * steps {
            let mean = others.iter().map(|o| o[k]).sum::<f32>() / n;
            dot += weight * own[k] * mean;
            a += weight * own[k] * own[k];
            b += weight * mean * mean;
        }
    }
    (1.0 - 2.0 * dot / (a + b), (a / b).ln().clamp(-4.0, 4.0))
}

fn peak_to_peak(v: &[f32]) -> f32 {
    let (low, high) = v.iter().fold((f32::MAX, f32::MIN), |(l, h), v| (l.min(*v), h.max(*v)));
    high - low
}

fn energy(v: &[f32]) -> f32 {
    v.iter().map(|v| v * v).sum()
}

fn share(is: bool) -> f32 {
    f32::from(u8::from(is))
}

/// Median of the last `keep` values before each beat; NaN where there is none.
fn last(n: usize, keep: usize, value: impl Fn(usize) -> Option<f32>) -> Vec<f32> {
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
            if sorted.is_empty() { f32::NAN } else { median(&mut sorted) }
        })
        .collect()
}

/// Mean within `reach` beats on either side; `otherwise` where fewer than four values are there.
fn within(n: usize, reach: usize, of: &Share, otherwise: f32) -> Vec<f32> {
    let mean = |i: usize| of.mean(i.saturating_sub(reach), (i + reach + 1).min(n), 4);
    (0..n).map(|i| mean(i).unwrap_or(otherwise)).collect()
}

/// The normal beat before and after each beat.
fn neighbours(n: usize, normal: impl Fn(usize) -> bool) -> (Vec<u32>, Vec<u32>) {
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
