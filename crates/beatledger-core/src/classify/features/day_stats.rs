//! What is worked out once for all beats: rule scores, statistics of clusters, and means over the day.

use super::calibration::MOST_MEAN_DISTANCE;
use super::cluster_stats::{ClusterStats, cluster_stats};
use super::row::one_if;
use crate::classify::rules::beat_facts::BeatFacts;
use crate::classify::rules::cluster_score::ScoredClusters;
use crate::classify::rules::rule_score::rule_score;
use crate::classify::shapes::descriptors::Descriptors;
use crate::classify::timing::running_means::RunningMeans;

/// What is worked out once for all beats.
pub struct DayStats {
    /// One a cluster.
    pub clusters: Vec<ClusterStats>,
    /// Ventricular score of each beat by the rules.
    pub rule_scores: Vec<f32>,
    /// Distance of the cluster of each beat to the dominant shape.
    distances: RunningMeans,
    /// 1 for each beat with a rule score above 0.
    ventricular: RunningMeans,
    /// Share of all beats in absolutely irregular stretches.
    pub irregular_share: f32,
    /// The dominant shape.
    pub dominant: Descriptors,
}

impl DayStats {
    /// Looks at all clusters and beats; `weights` level the leads.
    pub fn of(facts: &BeatFacts<'_>, scored: &ScoredClusters, weights: &[f32], rr: &[f32]) -> Self {
        let n = facts.member_of.len();
        let rule_scores: Vec<f32> = (0..n).map(|i| rule_score(facts, &scored.each, i)).collect();
        let distance = |i: usize| scored.each[facts.member_of[i] as usize].distance.min(MOST_MEAN_DISTANCE);
        let clusters = cluster_stats(facts, scored, weights, rr);
        let irregular = facts.timings.iter().filter(|t| t.irregular).count();
        Self {
            distances: RunningMeans::of((0..n).map(|i| Some(distance(i)))),
            ventricular: RunningMeans::of(rule_scores.iter().map(|s| Some(one_if(*s > 0.0)))),
            irregular_share: irregular as f32 / n.max(1) as f32,
            dominant: clusters.get(scored.dominant).map(|c| c.descriptors).unwrap_or_default(),
            clusters,
            rule_scores,
        }
    }

    /// Mean distance to the dominant shape of the clusters of the beats within `reach` beats of beat `i`.
    pub fn mean_distance(&self, i: usize, reach: usize) -> f32 {
        self.near(&self.distances, i, reach)
    }

    /// Share of the beats within `reach` beats of beat `i` with a rule score above 0.
    pub fn ventricular_share(&self, i: usize, reach: usize) -> f32 {
        self.near(&self.ventricular, i, reach)
    }

    fn near(&self, means: &RunningMeans, i: usize, reach: usize) -> f32 {
        let n = self.rule_scores.len();
        means.mean(i.saturating_sub(reach), (i + reach + 1).min(n), 1).unwrap_or(0.0)
    }
}
