//! Score, class and evidence of one beat by rules: from its cluster and from its own timing.

use super::beat_facts::BeatFacts;
use super::calibration::{
    CLUSTER_TIMING_SHARE, FUSION_LESS_EARLY, LEAST_OWN_TIMING, LEAST_SHAPE_SHARE, MOST_OWN_TIMING,
    OWN_TIMING_WEIGHT, RULE_IRREGULAR_MORE, RULE_START, WELL_KNOWN_MEMBERS,
};
use super::cluster_score::ScoredCluster;
use crate::classify::calibration::CLEARLY_EARLY;
use crate::model::{BeatClass, Evidence};
use crate::settings::Settings;

/// How ventricular beat `i` is: above zero it is V. The timing of a large cluster counts for its members,
/// that of a beat of a rare cluster by itself.
pub fn rule_score(facts: &BeatFacts<'_>, clusters: &[ScoredCluster], i: usize) -> f32 {
    let cluster = &clusters[facts.member_of[i] as usize];
    let timing = &facts.timings[i];
    let early = timing.early.unwrap_or(0.0);
    let own = (OWN_TIMING_WEIGHT * (early - CLEARLY_EARLY)).clamp(LEAST_OWN_TIMING, MOST_OWN_TIMING);
    let own = if timing.irregular { 0.0 } else { own };
    let share = (cluster.count as f32 / WELL_KNOWN_MEMBERS as f32).min(1.0) * CLUSTER_TIMING_SHARE;
    let by_timing = share * cluster.timing_score + (1.0 - share) * own;
    // In noise a shape that no other beat has is noise.
    let is_rare = cluster.count < WELL_KNOWN_MEMBERS;
    let shape_share = if is_rare { facts.quality[i].max(LEAST_SHAPE_SHARE) } else { 1.0 };
    cluster.shape_score * shape_share + by_timing + RULE_START
}

/// Class of beat `i` by rules alone; S here means no more than early.
pub fn rule_class(
    facts: &BeatFacts<'_>,
    clusters: &[ScoredCluster],
    i: usize,
    settings: &Settings,
) -> BeatClass {
    let timing = &facts.timings[i];
    let is_fusion = clusters[facts.member_of[i] as usize].fusion;
    if is_fusion && timing.early.unwrap_or(0.0) < FUSION_LESS_EARLY {
        return BeatClass::F;
    }
    if rule_score(facts, clusters, i) > 0.0 {
        return BeatClass::V;
    }
    let threshold = settings.prematurity_percent as f32 / 100.0;
    let threshold = if timing.irregular { threshold + RULE_IRREGULAR_MORE } else { threshold };
    if timing.early.is_some_and(|e| e >= threshold) { BeatClass::S } else { BeatClass::N }
}

/// What is kept of why beat `i` got its class.
pub fn evidence(facts: &BeatFacts<'_>, clusters: &[ScoredCluster], i: usize) -> Evidence {
    Evidence {
        prematurity: facts.timings[i].early,
        pause_after: facts.timings[i].rr_after,
        width_ms: facts.width_ms[i],
        shape_distance: clusters[facts.member_of[i] as usize].distance,
        p_before: facts.p_before[i],
        quality: facts.quality[i],
        paced: false,
    }
}
