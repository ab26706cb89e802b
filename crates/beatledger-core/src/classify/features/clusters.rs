//! Features of the cluster of a beat, of similar clusters, and of the day.

use super::calibration::{
    DISTANCE_FAR_BEATS, LEAST_CLUSTER_RATIO, LEAST_LENGTH_MS, LEAST_SHARE, LEAST_SPEED, MOST_LOG_ENERGY,
    MOST_MEMBERS, NEAR_BEATS,
};
use super::cluster_stats::ClusterStats;
use super::inputs::FeatureInputs;
use super::row::RowBuilder;
use super::schema::Feature;

/// Sets the features of beat `i` that this file knows.
pub fn set(inputs: &FeatureInputs<'_>, i: usize, row: &mut RowBuilder) {
    let own = &inputs.day.clusters[inputs.facts.member_of[i] as usize];
    scores(inputs, i, row);
    timing(own, row);
    similar(own, row);
    descriptors(inputs, own, row);
    day(inputs, i, row);
}

fn scores(inputs: &FeatureInputs<'_>, i: usize, row: &mut RowBuilder) {
    let cluster = inputs.cluster(i);
    row.set(Feature::ClusterCount, (cluster.count.min(MOST_MEMBERS) as f32).ln());
    row.set(Feature::ClusterRegularEarlyShare, cluster.early_share);
    row.set(Feature::ClusterDistance, cluster.distance);
    row.set(Feature::ClusterShapeScore, cluster.shape_score);
    row.set(Feature::ClusterTimingScore, cluster.timing_score);
    row.set_if(Feature::Fusion, cluster.fusion);
}

fn timing(own: &ClusterStats, row: &mut RowBuilder) {
    row.set(Feature::ClusterShare, own.share.max(LEAST_SHARE).ln());
    row.set(Feature::ClusterRegularEarly, own.regular_early);
    row.set(Feature::ClusterRrAfter, own.rr_after);
    row.set(Feature::ClusterRuns, own.runs);
    row.set(Feature::ClusterEarly, own.early);
    row.set(Feature::ClusterEarlyShare, own.early_share);
    row.set(Feature::ClusterRrSpread, own.rr_spread);
}

fn similar(own: &ClusterStats, row: &mut RowBuilder) {
    let similar = &own.similar;
    row.set(Feature::SimilarShare, similar.share.max(LEAST_SHARE).ln());
    row.set(Feature::SimilarRegularEarlyShare, similar.regular_early_share);
    row.set(Feature::SimilarEarlyShare, similar.early_share);
    row.set(Feature::SimilarRrSpread, similar.rr_spread);
    row.set(Feature::SimilarP, similar.p_before);
    row.set(Feature::SimilarWidthMs, similar.width_ms);
}

fn descriptors(inputs: &FeatureInputs<'_>, own: &ClusterStats, row: &mut RowBuilder) {
    let (own, dominant) = (&own.descriptors, &inputs.day.dominant);
    let log_ratio = |a: f32, b: f32| (a / b).max(LEAST_CLUSTER_RATIO).ln();
    row.set(Feature::ClusterLengthRatio, log_ratio(own.length_ms, dominant.length_ms.max(LEAST_LENGTH_MS)));
    row.set(Feature::ClusterSpeedRatio, log_ratio(own.speed, dominant.speed.max(LEAST_SPEED)));
    let energy_ratio = (own.energy - dominant.energy).clamp(-MOST_LOG_ENERGY, MOST_LOG_ENERGY);
    row.set(Feature::ClusterEnergyRatio, energy_ratio);
}

fn day(inputs: &FeatureInputs<'_>, i: usize, row: &mut RowBuilder) {
    let (day, n) = (inputs.day, inputs.rr.len());
    let dominant = &day.clusters[inputs.scored.dominant];
    row.set(Feature::DominantShare, dominant.similar.share);
    row.set(Feature::DominantLengthMs, dominant.descriptors.length_ms);
    row.set(Feature::DominantSpeed, dominant.descriptors.speed);
    row.set(Feature::DistanceNear, day.mean_distance(i, NEAR_BEATS));
    row.set(Feature::DistanceFar, day.mean_distance(i, DISTANCE_FAR_BEATS));
    row.set(Feature::VNear, day.ventricular_share(i, NEAR_BEATS));
    row.set(Feature::VShare, day.ventricular_share(i, n));
    row.set(Feature::IrregularShare, day.irregular_share);
}
