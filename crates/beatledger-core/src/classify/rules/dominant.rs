//! The dominant shape: that of the beats of the underlying rhythm.

use super::beat_facts::BeatFacts;
use super::calibration::DOMINANT_CANDIDATES;
use crate::classify::calibration::SIMILAR_DISTANCE;
use crate::classify::shapes::calibration::SHIFT;
use crate::classify::shapes::cluster::level_weights;
use crate::classify::shapes::distance::distance_at;

/// The dominant cluster, by most beats on time, its own and those of similar clusters. `early` is the share
/// of members of each cluster that come clearly early.
///
/// Noise may split the normal beats into many clusters and leave a ventricular shape in one: the larger
/// cluster alone is not dominant for that.
pub fn dominant(facts: &BeatFacts<'_>, early: &[f32]) -> usize {
    let clusters = facts.clusters;
    let on_time = |c: usize| clusters[c].count as f32 * (1.0 - early[c]);
    let mut largest: Vec<usize> = (0..clusters.len()).collect();
    largest.sort_by(|a, b| on_time(*b).total_cmp(&on_time(*a)).then(a.cmp(b)));
    let weights = level_weights(largest.first().map(|c| &clusters[*c]), facts.leads);
    let with_similar = |c: usize| -> f32 {
        let weight = |k: usize| match k == c {
            true => 1.0,
            false => {
                (-distance_at(&clusters[c].mean, &clusters[k].mean, &weights, SHIFT) / SIMILAR_DISTANCE).exp()
            }
        };
        (0..clusters.len()).map(|k| weight(k) * on_time(k)).sum()
    };
    // The first of equals is the larger one.
    let mut best = (f32::MIN, 0);
    for c in largest.into_iter().take(DOMINANT_CANDIDATES) {
        let beats = with_similar(c);
        if beats > best.0 {
            best = (beats, c);
        }
    }
    best.1
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::classify::shapes::calibration::STEPS;
    use crate::classify::shapes::cluster::Cluster;

    #[test]
    fn normal_beats_that_noise_splits_into_three_clusters_stay_dominant_over_one_large_ventricular_shape() {
        let shape = |width: f32, shift: f32| -> Vec<f32> {
            (0..STEPS).map(|k| (-((k as f32 - 20.0 - shift) / width).powi(2)).exp()).collect()
        };
        let cluster = |mean: Vec<f32>, count: u32| Cluster { mean, count };
        let clusters = [
            cluster(shape(9.0, 0.0).iter().map(|v| -v).collect(), 400),
            cluster(shape(2.0, 0.0), 300),
            cluster(shape(2.2, 0.1), 290),
            cluster(shape(1.9, 0.2), 280),
        ];
        let facts = BeatFacts {
            timings: &[],
            width_ms: &[],
            p_before: &[],
            member_of: &[],
            clusters: &clusters,
            quality: &[],
            leads: 1,
        };
        assert_ne!(dominant(&facts, &[0.3, 0.0, 0.0, 0.0]), 0);
        assert_ne!(dominant(&facts, &[0.0, 0.0, 0.0, 0.0]), 0, "though none comes early");
        assert_eq!(dominant(&facts, &[0.0, 1.0, 1.0, 1.0]), 0, "narrow beats that are all early");
    }
}
