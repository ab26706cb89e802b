//! How ventricular the shape and the timing of every cluster are.
//!
//! A cluster is scored first: all its members look alike, so they show together what one alone could not.

use super::beat_facts::BeatFacts;
use super::calibration::{
    BELOW_WIDE_MS, CLEARLY_VENTRICULAR, DISTANCE_WEIGHT, EARLY_SHARE_WEIGHT, FEW_MEMBERS_SHARE,
    FULL_SHAPE_ADDS, FULL_SHAPE_MEMBERS, FUSION_RARER, LEAST_FUSION_DISTANCE, LEAST_TIMING_SCORE,
    LEAST_VENTRICULAR_MEMBERS, MOST_BY_DISTANCE, MOST_BY_WIDTH, MOST_FUSION_DISTANCE,
    MOST_FUSION_EARLY_SHARE, MOST_TIMING_SCORE, NEUTRAL_DISTANCE, NEUTRAL_EARLY_SHARE, NEUTRAL_WIDER_MS,
    P_WEIGHT, SAMPLED_MEMBERS, SHAPE_START, USUAL_WIDTH_MS, VENTRICULAR_CLUSTERS, WIDER_MS_PER_POINT,
};
use super::dominant;
use crate::classify::calibration::CLEARLY_EARLY;
use crate::classify::shapes::cluster::level_weights;
use crate::classify::shapes::distance::distance;
use crate::classify::shapes::fusion;
use crate::settings::Settings;
use crate::statistics::upper_median;

/// One cluster with its scores.
#[derive(Clone, Debug)]
pub struct ScoredCluster {
    /// Distance of its mean to the dominant shape.
    pub distance: f32,
    /// How ventricular its shape and width are; the higher, the more.
    pub shape_score: f32,
    /// How ventricular the timing of its members is.
    pub timing_score: f32,
    /// True when its mean is a blend of the dominant and a ventricular shape.
    pub fusion: bool,
    /// Number of members.
    pub count: u32,
    /// Share of its members that come clearly early.
    pub early_share: f32,
    /// Usual QRS width of its members, ms.
    pub width_ms: f32,
    /// How clear P waves stand before its members, 0 to 1.
    pub p_before: f32,
}

/// All clusters with their scores, and which is the dominant one.
pub struct ScoredClusters {
    /// One a cluster.
    pub each: Vec<ScoredCluster>,
    /// Index of the dominant cluster.
    pub dominant: usize,
}

/// Scores every cluster.
pub fn score_clusters(facts: &BeatFacts<'_>, settings: &Settings) -> ScoredClusters {
    let members = members(facts);
    let early: Vec<f32> = members.iter().map(|m| early_share(facts, m)).collect();
    let dominant = dominant::dominant(facts, &early);
    let weights = level_weights(facts.clusters.get(dominant), facts.leads);
    let usual_p = members.get(dominant).and_then(|m| mean_p(facts, m)).unwrap_or(0.0);
    let usual_ms =
        usual_width(facts, members.get(dominant).map_or(&[], Vec::as_slice)).unwrap_or(USUAL_WIDTH_MS);
    let mut each: Vec<ScoredCluster> = facts
        .clusters
        .iter()
        .enumerate()
        .map(|(c, cluster)| {
            let distance = distance(&cluster.mean, &facts.clusters[dominant].mean, &weights).0;
            let width_ms = usual_width(facts, &members[c]).unwrap_or(usual_ms);
            let p_before = mean_p(facts, &members[c]).unwrap_or(usual_p);
            let wider_ms = width_ms - usual_ms.max(settings.wide_qrs_ms as f32 - BELOW_WIDE_MS);
            ScoredCluster {
                distance,
                shape_score: shape_score(distance, wider_ms, usual_p - p_before, cluster.count),
                timing_score: (EARLY_SHARE_WEIGHT * (early[c] - NEUTRAL_EARLY_SHARE))
                    .clamp(LEAST_TIMING_SCORE, MOST_TIMING_SCORE),
                fusion: false,
                count: cluster.count,
                early_share: early[c],
                width_ms,
                p_before,
            }
        })
        .collect();
    mark_fusion(facts, &mut each, dominant, &weights);
    ScoredClusters { each, dominant }
}

/// How ventricular a cluster is by its distance to the dominant shape, by how much wider it is, and by how
/// much less clear its P waves are.
fn shape_score(distance: f32, wider_ms: f32, p_lost: f32, members: u32) -> f32 {
    let by_distance =
        (DISTANCE_WEIGHT * (distance - NEUTRAL_DISTANCE)).clamp(-MOST_BY_DISTANCE, MOST_BY_DISTANCE);
    let by_width = ((wider_ms - NEUTRAL_WIDER_MS) / WIDER_MS_PER_POINT).clamp(-MOST_BY_WIDTH, MOST_BY_WIDTH);
    let score = by_distance + by_width + P_WEIGHT * p_lost + SHAPE_START;
    // One or two beats of a shape may be noise: their shape counts less.
    let known = (members as f32 / FULL_SHAPE_MEMBERS).min(1.0);
    score * known.mul_add(FULL_SHAPE_ADDS, FEW_MEMBERS_SHARE)
}

fn members(facts: &BeatFacts<'_>) -> Vec<Vec<u32>> {
    let mut members = vec![Vec::new(); facts.clusters.len()];
    for (i, c) in facts.member_of.iter().enumerate() {
        members[*c as usize].push(i as u32);
    }
    members
}

/// Share of the members that come clearly early; members in irregular stretches do not count.
fn early_share(facts: &BeatFacts<'_>, members: &[u32]) -> f32 {
    let timed =
        members.iter().map(|i| &facts.timings[*i as usize]).filter(|w| w.early.is_some() && !w.irregular);
    let (all, early) = timed.fold((0u32, 0u32), |(all, early), w| {
        (all + 1, early + u32::from(w.early.is_some_and(|e| e > CLEARLY_EARLY)))
    });
    if all == 0 { NEUTRAL_EARLY_SHARE } else { early as f32 / all as f32 }
}

fn usual_width(facts: &BeatFacts<'_>, members: &[u32]) -> Option<f32> {
    let every = (members.len() / SAMPLED_MEMBERS).max(1);
    let mut widths: Vec<f32> =
        members.iter().step_by(every).filter_map(|i| facts.width_ms[*i as usize]).collect();
    upper_median(&mut widths)
}

fn mean_p(facts: &BeatFacts<'_>, members: &[u32]) -> Option<f32> {
    let every = (members.len() / SAMPLED_MEMBERS).max(1);
    let seen: Vec<f32> = members.iter().step_by(every).filter_map(|i| facts.p_before[*i as usize]).collect();
    (!seen.is_empty()).then(|| seen.iter().sum::<f32>() / seen.len() as f32)
}

/// Marks clusters whose mean is a blend of the dominant shape and that of a clearly ventricular cluster.
fn mark_fusion(facts: &BeatFacts<'_>, each: &mut [ScoredCluster], dominant: usize, weights: &[f32]) {
    let is_ventricular = |c: &ScoredCluster| {
        c.shape_score + c.timing_score > CLEARLY_VENTRICULAR && c.count >= LEAST_VENTRICULAR_MEMBERS
    };
    let ventricular: Vec<usize> =
        (0..each.len()).filter(|c| is_ventricular(&each[*c])).take(VENTRICULAR_CLUSTERS).collect();
    for c in 0..each.len() {
        let between = (LEAST_FUSION_DISTANCE..MOST_FUSION_DISTANCE).contains(&each[c].distance)
            && each[c].early_share < MOST_FUSION_EARLY_SHARE
            && c != dominant;
        let rare = each[c].count * FUSION_RARER < facts.clusters[dominant].count;
        each[c].fusion = between
            && rare
            && ventricular.iter().filter(|v| **v != c).any(|v| {
                let means = [c, dominant, *v].map(|k| facts.clusters[k].mean.as_slice());
                fusion::is_blend(means, weights)
            });
    }
}
