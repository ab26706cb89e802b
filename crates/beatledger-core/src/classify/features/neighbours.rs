//! Features from the beats around a beat: which of them are similar, how they came, and how its QRS begins.

use super::calibration::{
    BEGIN_STEPS, COMPARED_BEATS, MOST_DISTANCE, MOST_LOG_PART_ENERGY, NO_WEIGHT, ON_TIME_WEIGHT,
};
use super::inputs::FeatureInputs;
use super::row::{RowBuilder, one_if};
use super::schema::Feature;
use crate::classify::calibration::{CLEARLY_EARLY, SIMILAR_DISTANCE};
use crate::classify::shapes::calibration::{SHIFT, STEP_MS, STEPS, STEPS_BEFORE};
use crate::classify::shapes::descriptors::cosine;
use crate::classify::shapes::distance::distance_at;

/// Sets the features of beat `i` that this file knows.
pub fn set(inputs: &FeatureInputs<'_>, i: usize, row: &mut RowBuilder) {
    similar(inputs, i, row);
    let (shapes, weights) = (inputs.shapes, inputs.shapes.weights(i));
    let normals = inputs.context.normals(i);
    let cosines = normals.iter().flatten().map(|j| cosine(shapes.of(i), shapes.of(*j), weights, SHIFT));
    row.set(Feature::NormalCosine, cosines.fold(-1.0, f32::max));
    beginning(inputs, i, row);
}

/// The beats around; the weight of a beat falls as exp(-distance / [`SIMILAR_DISTANCE`]).
fn similar(inputs: &FeatureInputs<'_>, i: usize, row: &mut RowBuilder) {
    let (shapes, timings) = (inputs.shapes, inputs.facts.timings);
    let (own, weights) = (shapes.of(i), shapes.weights(i));
    let (mut nearest, mut second) = (MOST_DISTANCE, MOST_DISTANCE);
    let (mut total, mut early, mut compared) = (0.0f32, 0.0f32, 0u32);
    let around = i.saturating_sub(COMPARED_BEATS)..(i + COMPARED_BEATS + 1).min(inputs.rr.len());
    for j in around.filter(|j| *j != i) {
        let d = distance_at(own, shapes.of(j), weights, SHIFT).min(MOST_DISTANCE);
        if d < nearest {
            (nearest, second) = (d, nearest);
        } else {
            second = second.min(d);
        }
        let weight = (-d / SIMILAR_DISTANCE).exp();
        total += weight;
        compared += 1;
        early += weight * one_if(timings[j].early.is_some_and(|e| e > CLEARLY_EARLY));
    }
    row.set(Feature::NearestDistance, nearest);
    row.set(Feature::SecondNearestDistance, second);
    row.set(Feature::SimilarNearShare, total / compared.max(1) as f32);
    row.set(Feature::SimilarNearEarly, early / (total + ON_TIME_WEIGHT));
}

/// How the beginning of the QRS compares with that of the dominant shape and of the normal beats around:
/// aberrant conduction begins as the normal one does, a ventricular beat does not.
fn beginning(inputs: &FeatureInputs<'_>, i: usize, row: &mut RowBuilder) {
    let (shapes, weights) = (inputs.shapes, inputs.shapes.weights(i));
    let own = (shapes.of(i), inputs.qrs_start_ms[i].unwrap_or(inputs.dominant_qrs_start_ms));
    let dominant = (inputs.dominant_shape(), inputs.dominant_qrs_start_ms);
    let (like, energy) = compare(own, dominant, weights);
    let normals = inputs.context.normals(i);
    let normals = normals.iter().flatten().filter_map(|j| Some((shapes.of(*j), inputs.qrs_start_ms[*j]?)));
    let best = normals.map(|other| compare(own, other, weights).0).fold(-1.0f32, f32::max);
    row.set(Feature::StartCosine, like);
    row.set(Feature::StartEnergy, energy);
    row.set(Feature::NormalStartCosine, best);
}

/// Cosine and log of the ratio of energies of the beginnings of two shapes, each with its start from the
/// fiducial, ms.
fn compare(a: (&[f32], f32), b: (&[f32], f32), weights: &[f32]) -> (f32, f32) {
    let step = |start_ms: f32| {
        let step = STEPS_BEFORE as f32 + start_ms / STEP_MS as f32;
        step.clamp(0.0, (STEPS - BEGIN_STEPS - 1) as f32).round() as usize
    };
    let (from_a, from_b) = (step(a.1), step(b.1));
    let (mut ab, mut aa, mut bb) = (0.0f32, NO_WEIGHT, NO_WEIGHT);
    for (lead, weight) in weights.iter().enumerate() {
        let (a, b) = (&a.0[lead * STEPS + from_a..], &b.0[lead * STEPS + from_b..]);
        for k in 1..=BEGIN_STEPS {
            let (x, y) = (a[k] - a[0], b[k] - b[0]);
            ab += weight * x * y;
            aa += weight * x * x;
            bb += weight * y * y;
        }
    }
    let energy = (aa / bb).ln().clamp(-MOST_LOG_PART_ENERGY, MOST_LOG_PART_ENERGY);
    (ab / (aa * bb).sqrt(), energy)
}
