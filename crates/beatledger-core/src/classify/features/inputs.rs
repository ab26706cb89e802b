//! All that features are made of.

use super::beat_context::BeatContext;
use super::calibration::{
    BEGINS_IRREGULAR, BEGINS_WITHOUT_P, LEAST_ORDINARY_MEMBERS, ORDINARY_CLUSTERS, ORDINARY_EARLY_SHARE,
    ORDINARY_ONE_OF,
};
use super::day_stats::DayStats;
use crate::classify::rules::beat_facts::BeatFacts;
use crate::classify::rules::cluster_score::{ScoredCluster, ScoredClusters};
use crate::classify::shapes::shape::Shapes;
use crate::model::BeatClass;

/// All that features are made of; slices have one element a beat.
pub struct FeatureInputs<'a> {
    /// What the rules looked at.
    pub facts: &'a BeatFacts<'a>,
    /// The clusters with their scores by the rules.
    pub scored: &'a ScoredClusters,
    /// Classes by the rules.
    pub classes: &'a [BeatClass],
    /// RR before each beat, ms.
    pub rr: &'a [f32],
    /// PR interval, ms.
    pub pr_ms: &'a [Option<f32>],
    /// Start of the QRS from the fiducial, ms.
    pub qrs_start_ms: &'a [Option<f32>],
    /// The same of the dominant shape.
    pub dominant_qrs_start_ms: f32,
    /// Shapes.
    pub shapes: &'a Shapes,
    /// What is around each beat.
    pub context: &'a BeatContext,
    /// What is common to clusters and to the whole day.
    pub day: &'a DayStats,
    /// Ordinary clusters: large ones that usually come on time.
    pub ordinary: &'a [usize],
}

impl FeatureInputs<'_> {
    /// The cluster of beat `i`.
    pub fn cluster(&self, i: usize) -> &ScoredCluster {
        &self.scored.each[self.facts.member_of[i] as usize]
    }

    /// The dominant cluster.
    pub fn dominant(&self) -> &ScoredCluster {
        &self.scored.each[self.scored.dominant]
    }

    /// The dominant shape, leads one after the other.
    pub fn dominant_shape(&self) -> &[f32] {
        &self.facts.clusters[self.scored.dominant].mean
    }

    /// True in an absolutely irregular stretch, from its first beat on, which only the beats after it show.
    pub fn is_irregular(&self, i: usize) -> bool {
        let begins =
            self.context.jumps_after[i] > BEGINS_IRREGULAR && self.context.p_after[i] < BEGINS_WITHOUT_P;
        self.facts.timings[i].irregular || begins
    }
}

/// Large clusters that usually come on time, largest first.
pub fn ordinary_clusters(facts: &BeatFacts<'_>, scored: &ScoredClusters) -> Vec<usize> {
    let beats = facts.clusters.iter().map(|c| c.count).sum::<u32>();
    let least = (beats / ORDINARY_ONE_OF).max(LEAST_ORDINARY_MEMBERS);
    (0..facts.clusters.len())
        .filter(|c| facts.clusters[*c].count >= least && scored.each[*c].early_share < ORDINARY_EARLY_SHARE)
        .take(ORDINARY_CLUSTERS)
        .collect()
}
