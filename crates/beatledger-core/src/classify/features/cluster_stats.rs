//! What the members of a cluster have in common, and those of similar clusters.
//!
//! Noise may split one shape into many clusters: the statistics of similar clusters are pooled.

use super::calibration::{MOST_MEAN_RR_AFTER, SIMILAR_WITHIN};
use super::row::one_if;
use crate::classify::calibration::{CLEARLY_EARLY, NO_ENERGY, SIMILAR_DISTANCE};
use crate::classify::rules::beat_facts::BeatFacts;
use crate::classify::rules::cluster_score::ScoredClusters;
use crate::classify::shapes::calibration::SHIFT;
use crate::classify::shapes::descriptors::Descriptors;
use crate::classify::shapes::distance::distance_at;
use crate::statistics::upper_median;

/// What is common to the members of one cluster.
#[derive(Clone, Copy, Debug, Default)]
pub struct ClusterStats {
    /// Share of all beats.
    pub share: f32,
    /// Mean prematurity of members with a known interval outside irregular stretches.
    pub regular_early: f32,
    /// Mean of RR after over the sinus interval, irregular stretches left out.
    pub rr_after: f32,
    /// Share of members whose neighbour on either side is of the same cluster.
    pub runs: f32,
    /// Mean prematurity of all members.
    pub early: f32,
    /// Share of all members that come clearly early.
    pub early_share: f32,
    /// Mean distance of the members' RR from their mean, as a share of it: ectopy keeps its coupling
    /// interval.
    pub rr_spread: f32,
    /// The mean shape.
    pub descriptors: Descriptors,
    /// The same over similar clusters, this one among them.
    pub similar: SimilarStats,
}

/// What is common to the members of similar clusters, each weighted by its members and its similarity.
#[derive(Clone, Copy, Debug, Default)]
pub struct SimilarStats {
    /// Share of all beats.
    pub share: f32,
    /// Share that comes clearly early, irregular stretches left out.
    pub regular_early_share: f32,
    /// Share that comes clearly early.
    pub early_share: f32,
    /// Mean distance of RR from the mean of the own cluster, as a share of it.
    pub rr_spread: f32,
    /// Clearness of P waves before them, 0 to 1.
    pub p_before: f32,
    /// QRS width, ms.
    pub width_ms: f32,
}

/// Statistics of every cluster; `weights` level the leads.
pub fn cluster_stats(
    facts: &BeatFacts<'_>,
    scored: &ScoredClusters,
    weights: &[f32],
    rr: &[f32],
) -> Vec<ClusterStats> {
    let mut all = means_of_members(facts, rr);
    let beats = facts.member_of.len().max(1) as f32;
    for (stats, cluster) in all.iter_mut().zip(facts.clusters) {
        stats.share = cluster.count as f32 / beats;
        stats.descriptors = Descriptors::of(&cluster.mean, weights);
    }
    for c in 0..all.len() {
        all[c].similar = similar(facts, scored, weights, &all, c);
    }
    all
}

/// Pools the clusters similar to cluster `c`: the weight of a cluster falls as exp(-distance /
/// [`SIMILAR_DISTANCE`]).
fn similar(
    facts: &BeatFacts<'_>,
    scored: &ScoredClusters,
    weights: &[f32],
    all: &[ClusterStats],
    c: usize,
) -> SimilarStats {
    let mut total = NO_ENERGY;
    let mut sums = SimilarStats::default();
    for (k, other) in facts.clusters.iter().enumerate() {
        let distance =
            if k == c { 0.0 } else { distance_at(&facts.clusters[c].mean, &other.mean, weights, SHIFT) };
        if distance > SIMILAR_WITHIN * SIMILAR_DISTANCE {
            continue;
        }
        let weight = other.count as f32 * (-distance / SIMILAR_DISTANCE).exp();
        total += weight;
        sums.regular_early_share += weight * scored.each[k].early_share;
        sums.p_before += weight * scored.each[k].p_before;
        sums.early_share += weight * all[k].early_share;
        sums.rr_spread += weight * all[k].rr_spread;
        sums.width_ms += weight * scored.each[k].width_ms;
    }
    SimilarStats {
        share: total / facts.member_of.len().max(1) as f32,
        regular_early_share: sums.regular_early_share / total,
        early_share: sums.early_share / total,
        rr_spread: sums.rr_spread / total,
        p_before: sums.p_before / total,
        width_ms: sums.width_ms / total,
    }
}

/// How many members of a cluster have a value, and the sum of their RR.
#[derive(Clone, Copy, Default)]
struct Tally {
    rr: u32,
    rr_sum_ms: f64,
    early: u32,
    regular_early: u32,
    rr_after: u32,
}

/// Means over the members of each cluster by themselves.
fn means_of_members(facts: &BeatFacts<'_>, rr: &[f32]) -> Vec<ClusterStats> {
    let mut all = vec![ClusterStats::default(); facts.clusters.len()];
    let mut tallies = vec![Tally::default(); all.len()];
    for (i, c) in facts.member_of.iter().enumerate().filter(|(i, _)| rr[*i].is_finite()) {
        tallies[*c as usize].rr += 1;
        tallies[*c as usize].rr_sum_ms += f64::from(rr[i]);
    }
    for (i, c) in facts.member_of.iter().enumerate() {
        add_beat(facts, rr, i, &mut all[*c as usize], &mut tallies[*c as usize]);
    }
    for ((stats, tally), cluster) in all.iter_mut().zip(tallies).zip(facts.clusters) {
        stats.early /= tally.early.max(1) as f32;
        stats.early_share /= tally.early.max(1) as f32;
        stats.regular_early /= tally.regular_early.max(1) as f32;
        stats.rr_after = if tally.rr_after == 0 { 1.0 } else { stats.rr_after / tally.rr_after as f32 };
        stats.runs /= cluster.count.max(1) as f32;
    }
    all
}

/// Adds beat `i` to the sums of its cluster.
fn add_beat(facts: &BeatFacts<'_>, rr: &[f32], i: usize, stats: &mut ClusterStats, tally: &mut Tally) {
    let timing = &facts.timings[i];
    if let Some(early) = timing.early {
        stats.early += early.clamp(-1.0, 1.0);
        stats.early_share += one_if(early > CLEARLY_EARLY);
        tally.early += 1;
    }
    if rr[i].is_finite() {
        let mean = (tally.rr_sum_ms / f64::from(tally.rr.max(1))) as f32;
        stats.rr_spread += (rr[i] / mean - 1.0).abs().min(1.0) / tally.rr.max(1) as f32;
    }
    if let Some(early) = timing.early.filter(|_| !timing.irregular) {
        stats.regular_early += early.clamp(-1.0, 1.0);
        tally.regular_early += 1;
    }
    if let Some(after) = timing.rr_after.filter(|_| !timing.irregular) {
        stats.rr_after += after.min(MOST_MEAN_RR_AFTER);
        tally.rr_after += 1;
    }
    let own = facts.member_of[i];
    let same = |j: Option<usize>| j.and_then(|j| facts.member_of.get(j)) == Some(&own);
    stats.runs += one_if(same(i.checked_sub(1)) || same(Some(i + 1)));
}

/// Median of a value over the members of a cluster that have one.
pub fn cluster_median(facts: &BeatFacts<'_>, cluster: usize, values: &[Option<f32>]) -> Option<f32> {
    let of = |(i, c): (usize, &u32)| values[i].filter(|_| *c as usize == cluster);
    let mut own: Vec<f32> = facts.member_of.iter().enumerate().filter_map(of).collect();
    upper_median(&mut own)
}
