//! Features of the shape of a beat, against the dominant shape and against its neighbours.

use super::calibration::{
    LEAST_LENGTH_MS, LEAST_LENGTH_RATIO, LEAST_SPEED, MOST_DISTANCE, MOST_LENGTH_RATIO, MOST_LOG_ENERGY,
    MOST_LOG_RATIO, MOST_NEIGHBOUR_SCORE, NO_NEIGHBOUR_DISTANCE, NO_NEIGHBOUR_SCORE, SHIFT_FROM, SHIFT_TO,
};
use super::inputs::FeatureInputs;
use super::row::RowBuilder;
use super::schema::Feature;
use crate::classify::shapes::calibration::SHIFT;
use crate::classify::shapes::descriptors::{Descriptors, cosine};
use crate::classify::shapes::distance::{distance, distance_at, lead_distances, worst_lead};

/// Sets the features of beat `i` that this file knows.
pub fn set(inputs: &FeatureInputs<'_>, i: usize, row: &mut RowBuilder) {
    row.set(Feature::Quality, inputs.facts.quality[i]);
    row.set(Feature::RuleScore, inputs.day.rule_scores[i]);
    distances(inputs, i, row);
    descriptors(inputs, i, row);
    neighbours(inputs, i, row);
}

fn distances(inputs: &FeatureInputs<'_>, i: usize, row: &mut RowBuilder) {
    let (shape, weights) = (inputs.shapes.of(i), inputs.shapes.weights(i));
    let dominant = inputs.dominant_shape();
    let (to_dominant, shift) = distance_and_step(shape, dominant, weights);
    let ordinary = inputs.ordinary.iter();
    let ordinary = ordinary.map(|k| distance_and_step(shape, &inputs.facts.clusters[*k].mean, weights).0);
    let to_beat = |j: Option<usize>| {
        let to = |j: usize| distance_at(shape, inputs.shapes.of(j), weights, SHIFT).min(MOST_DISTANCE);
        j.map_or(to_dominant, to)
    };
    let normals = inputs.context.normals(i);
    let best_lead = lead_distances(shape, dominant, weights, SHIFT).fold(MOST_DISTANCE, f32::min);
    row.set(Feature::DominantDistance, to_dominant);
    row.set(Feature::OrdinaryDistance, ordinary.fold(to_dominant, f32::min));
    row.set(Feature::NormalDistance, normals.iter().map(|j| to_beat(*j)).fold(MOST_DISTANCE, f32::min));
    row.set(Feature::WorstLeadDistance, worst_lead(shape, dominant, weights, shift));
    row.set(Feature::BestLeadDistance, best_lead);
}

/// Distance and the step from which the other shape is read; no better shift is looked for where there is
/// none to gain.
fn distance_and_step(shape: &[f32], other: &[f32], weights: &[f32]) -> (f32, usize) {
    let rough = distance_at(shape, other, weights, SHIFT);
    if !(SHIFT_FROM..=SHIFT_TO).contains(&rough) {
        return (rough.min(MOST_DISTANCE), SHIFT);
    }
    let (d, shift) = distance(shape, other, weights);
    (d, (shift + SHIFT as i32) as usize)
}

fn descriptors(inputs: &FeatureInputs<'_>, i: usize, row: &mut RowBuilder) {
    let (shape, weights) = (inputs.shapes.of(i), inputs.shapes.weights(i));
    let (dominant_shape, dominant) = (inputs.dominant_shape(), &inputs.day.dominant);
    let own = Descriptors::of(shape, weights);
    let cosines = (0..=2 * SHIFT).map(|step| cosine(shape, dominant_shape, weights, step));
    let log_ratio = |ratio: f32| ratio.ln().clamp(-MOST_LOG_RATIO, MOST_LOG_RATIO);
    // Weights at a beat carry the quality of the leads, those of the dominant shape do not.
    let energy = own.energy - Descriptors::of(dominant_shape, weights).energy;
    row.set(Feature::DominantCosine, cosines.fold(-1.0, f32::max));
    row.set(Feature::LengthRatio, log_ratio(own.length_ms / dominant.length_ms.max(LEAST_LENGTH_MS)));
    row.set(Feature::LengthMs, own.length_ms);
    row.set(Feature::SpeedRatio, log_ratio(own.speed / dominant.speed.max(LEAST_SPEED)));
    row.set(Feature::Speed, own.speed);
    row.set(Feature::Polarity, own.polarity * dominant.polarity.signum());
    row.set(Feature::PolarityChange, (own.polarity - dominant.polarity) * dominant.polarity.signum());
    row.set(Feature::EnergyRatio, energy.clamp(-MOST_LOG_ENERGY, MOST_LOG_ENERGY));
    row.set(Feature::PeakShare, own.peak);
}

fn neighbours(inputs: &FeatureInputs<'_>, i: usize, row: &mut RowBuilder) {
    let (shapes, n) = (inputs.shapes, inputs.rr.len());
    let (previous, next) = (i.checked_sub(1), (i + 1 < n).then_some(i + 1));
    let distance = |j: Option<usize>| {
        let to =
            |j: usize| distance_at(shapes.of(i), shapes.of(j), shapes.weights(i), SHIFT).min(MOST_DISTANCE);
        j.map_or(NO_NEIGHBOUR_DISTANCE, to)
    };
    let cluster_distance =
        |j: Option<usize>| j.map_or(NO_NEIGHBOUR_DISTANCE, |j| inputs.cluster(j).distance.min(MOST_DISTANCE));
    let score = |j: Option<usize>| {
        let of = |j: usize| inputs.day.rule_scores[j].clamp(-MOST_NEIGHBOUR_SCORE, MOST_NEIGHBOUR_SCORE);
        j.map_or(NO_NEIGHBOUR_SCORE, of)
    };
    let length_ms = |j: usize| Descriptors::of(shapes.of(j), shapes.weights(j)).length_ms;
    let length_over = |j: Option<usize>| {
        let ratio = j.map_or(1.0, |j| length_ms(i) / length_ms(j).max(LEAST_LENGTH_MS));
        ratio.clamp(LEAST_LENGTH_RATIO, MOST_LENGTH_RATIO).ln()
    };
    row.set(Feature::PreviousDistance, distance(previous));
    row.set(Feature::NextDistance, distance(next));
    row.set(Feature::PreviousClusterDistance, cluster_distance(previous));
    row.set(Feature::NextClusterDistance, cluster_distance(next));
    row.set(Feature::PreviousRuleScore, score(previous));
    row.set(Feature::NextRuleScore, score(next));
    row.set(Feature::LengthOverPrevious, length_over(previous));
    row.set(Feature::LengthOverNext, length_over(next));
}
