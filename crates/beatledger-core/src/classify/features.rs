//! What the trees are asked about: numbers of one beat, its cluster and its neighbours, free of scale.
//!
//! All are ratios, shares or milliseconds, so that rate, gain, number and names of leads play no part. None is
//! ever missing: where something could not be measured, the value that says nothing stands in.

use super::around::Around;
use super::cluster::Cluster;
use super::decide::{Judged, Known, Verdicts};
use super::local;
use super::more::{self, More};
use super::names::NAMES;
use super::shape::{SHIFT, Shapes, distance, distance_at, worst_lead};
use crate::model::BeatClass;

/// How many numbers there are.
pub const COUNT: usize = NAMES.len();
/// Numbers of one beat.
pub type Numbers = [f32; COUNT];

/// All that the numbers are made of.
pub struct Facts<'a> {
    /// What the rules looked at.
    pub known: &'a Known<'a>,
    /// What they made of the clusters.
    pub verdicts: &'a Verdicts,
    /// Their classes.
    pub classes: &'a [BeatClass],
    /// RR before each beat, ms.
    pub rr: &'a [f32],
    /// PR interval, ms.
    pub pr_ms: &'a [Option<f32>],
    /// Start of the QRS from the fiducial, ms.
    pub on_ms: &'a [Option<f32>],
    /// The same of the dominant shape.
    pub usual_on_ms: f32,
    /// Shapes.
    pub shapes: &'a Shapes,
    /// Neighbourhoods.
    pub around: &'a Around,
    /// Forms and companies.
    pub more: &'a More,
    /// Clusters that come on time, with their numbers: nearest of these is an ordinary shape.
    pub on_time: Vec<usize>,
}

impl<'a> Facts<'a> {
    /// Clusters with enough members on time that they are ordinary shapes, at most six.
    pub fn on_time(clusters: &[Cluster], verdicts: &Verdicts) -> Vec<usize> {
        let least = (clusters.iter().map(|c| c.count).sum::<u32>() / 50).max(3);
        (0..clusters.len())
            .filter(|c| clusters[*c].count >= least && verdicts.judged[*c].early_share < 0.3)
            .take(6)
            .collect()
    }

    /// The numbers of beat `i`.
    pub fn row(&self, i: usize) -> Numbers {
        let mut row = Row { values: [0.0; COUNT], filled: 0 };
        self.timing(i, &mut row);
        self.shape(i, &mut row);
        self.waves(i, &mut row);
        self.context(i, &mut row);
        more::put(self, self.more, i, &mut row);
        local::put(self, i, &mut row);
        row.values
    }

    /// True in an absolutely irregular stretch, from its first beat on: there what follows tells, not what was.
    pub fn irregular(&self, i: usize) -> bool {
        let begins = self.around.jumps_after[i] > 0.5 && self.around.p_after[i] < 0.3;
        self.known.when[i].irregular || begins
    }

    fn early(&self, i: Option<usize>) -> f32 {
        let early = i.and_then(|i| self.known.when.get(i)).and_then(|w| w.early);
        early.map_or(0.0, |e| e.clamp(-3.0, 1.0))
    }

    fn timing(&self, i: usize, row: &mut Row) {
        let (rr, around) = (self.rr, self.around);
        let own = rr[i];
        let early_of = |base: f32| finite(1.0 - own / base, 0.0).clamp(-3.0, 1.0);
        let at = |j: Option<usize>| j.and_then(|j| rr.get(j)).copied().unwrap_or(f32::NAN);
        let when = &self.known.when[i];
        let early = self.early(Some(i));
        row.put(&[
            early,
            when.after.map_or(1.0, |a| a.min(4.0)),
            finite(own / at(Some(i + 1)), 1.0).min(4.0),
            finite(own / at(i.checked_sub(1)), 1.0).min(4.0),
            self.early(i.checked_sub(1)),
            self.early(Some(i + 1)),
            early_of(around.trend_ms[i]),
            early_of(around.last_nn_ms[i]),
            early_of(around.recent_ms[i]),
            early_of(around.wide_ms[i]),
            finite((own + at(Some(i + 1))) / (2.0 * when.sinus_ms), 1.0).min(4.0),
            self.early(i.checked_sub(2)),
            self.early(Some(i + 2)),
            (early / around.spread[i].max(0.015)).clamp(-20.0, 20.0),
            around.spread[i],
            around.jumps_near[i],
            around.jumps_far[i],
            around.p_near[i],
            f32::from(u8::from(self.irregular(i))),
        ]);
    }

    fn cluster(&self, i: usize) -> &Judged {
        &self.verdicts.judged[self.known.member_of[i] as usize]
    }

    fn shape(&self, i: usize, row: &mut Row) {
        let (shape, weights) = (self.shapes.of(i), self.shapes.weights(i));
        let clusters = self.known.clusters;
        let dominant = &clusters[self.verdicts.dominant].mean;
        let judged = self.cluster(i);
        let (apart, shift) = near(shape, dominant, weights);
        let ordinary = self.on_time.iter().map(|k| near(shape, &clusters[*k].mean, weights).0);
        let to = |j: Option<usize>| {
            j.map_or(apart, |j| distance_at(shape, self.shapes.of(j), weights, SHIFT).min(2.0))
        };
        let normals = self.around.normals(i);
        let apart_near = normals.iter().map(|j| to(*j)).fold(2.0f32, f32::min);
        let worst = worst_lead(shape, dominant, weights, shift);
        row.put(&[
            apart,
            ordinary.fold(apart, f32::min),
            apart_near,
            worst,
            (judged.count.min(60) as f32).ln(),
            judged.early_share,
        ]);
    }

    fn waves(&self, i: usize, row: &mut Row) {
        let judged = self.cluster(i);
        let usual = &self.verdicts.judged[self.verdicts.dominant];
        let width = self.known.width_ms[i].unwrap_or(judged.width_ms);
        let levels = self.around.levels(self.shapes, i);
        let p = self.known.p_before[i].unwrap_or(judged.p_before);
        let pr = self.pr_ms[i];
        row.put(&[
            width - usual.width_ms,
            levels.height,
            p,
            p - self.around.p_near[i],
            pr.map_or(0.0, |pr| (pr - self.around.pr_ms[i]).clamp(-150.0, 150.0)),
            f32::from(u8::from(pr.is_none())),
            levels.before_odd,
            levels.before_energy,
            levels.t_turned,
            levels.t_energy,
        ]);
    }

    fn context(&self, i: usize, row: &mut Row) {
        let judged = self.cluster(i);
        let is = |j: Option<usize>, class: fn(BeatClass) -> bool| {
            f32::from(u8::from(j.and_then(|j| self.classes.get(j)).is_some_and(|c| class(*c))))
        };
        let s: fn(BeatClass) -> bool = |c| c == BeatClass::S;
        let v: fn(BeatClass) -> bool = |c| c.is_ventricular();
        row.put(&[
            is(Some(i), s),
            is(Some(i), v),
            is(i.checked_sub(1), v),
            is(Some(i + 1), v),
            is(i.checked_sub(1), s),
            is(Some(i + 1), s),
            judged.apart,
            self.around.jumps_after[i],
            self.around.p_after[i],
        ]);
    }
}

/// Distance without looking for a better shift where there is none to gain.
fn near(shape: &[f32], mean: &[f32], weights: &[f32]) -> (f32, usize) {
    let rough = distance_at(shape, mean, weights, SHIFT);
    if !(0.03..=1.2).contains(&rough) {
        return (rough.min(2.0), SHIFT);
    }
    let (d, shift) = distance(shape, mean, weights);
    (d, (shift + SHIFT as i32) as usize)
}

fn finite(value: f32, otherwise: f32) -> f32 {
    if value.is_finite() { value } else { otherwise }
}

/// The numbers, filled from the front.
pub struct Row {
    values: [f32; COUNT],
    filled: usize,
}

impl Row {
    /// Fills the next numbers.
    pub fn put(&mut self, values: &[f32]) {
        for (to, from) in self.values[self.filled..].iter_mut().zip(values) {
            *to = finite(*from, 0.0);
        }
        self.filled += values.len();
    }
}
