//! Features of the width of the QRS, of the P wave before it and of the T wave after it.

use super::calibration::MOST_PR_CHANGE_MS;
use super::inputs::FeatureInputs;
use super::row::RowBuilder;
use super::schema::Feature;

/// Sets the features of beat `i` that this file knows.
pub fn set(inputs: &FeatureInputs<'_>, i: usize, row: &mut RowBuilder) {
    let (facts, context) = (inputs.facts, inputs.context);
    let (cluster, dominant) = (inputs.cluster(i), inputs.dominant());
    let width_ms = facts.width_ms[i].unwrap_or(cluster.width_ms);
    row.set(Feature::WidthMs, width_ms);
    row.set(Feature::ClusterWidthMs, cluster.width_ms);
    row.set(Feature::DominantWidthMs, dominant.width_ms);
    row.set(Feature::WiderMs, width_ms - dominant.width_ms);

    let p_before = facts.p_before[i].unwrap_or(cluster.p_before);
    row.set(Feature::PBefore, p_before);
    row.set(Feature::PBeforeChange, p_before - context.p_near[i]);
    row.set(Feature::PNear, context.p_near[i]);
    row.set(Feature::PAfter, context.p_after[i]);
    row.set(Feature::ClusterP, cluster.p_before);
    row.set(Feature::DominantP, dominant.p_before);

    let pr_change = |pr: f32| (pr - context.pr_ms[i]).clamp(-MOST_PR_CHANGE_MS, MOST_PR_CHANGE_MS);
    row.set(Feature::PrChangeMs, inputs.pr_ms[i].map_or(0.0, pr_change));
    row.set_if(Feature::PrMissing, inputs.pr_ms[i].is_none());

    let normals = context.against_normals(inputs.shapes, i);
    row.set(Feature::HeightRatio, normals.height);
    row.set(Feature::PStretchDistance, normals.p_distance);
    row.set(Feature::PStretchEnergy, normals.p_energy);
    row.set(Feature::TStretchDistance, normals.t_distance);
    row.set(Feature::TStretchEnergy, normals.t_energy);
}
