//! Final classes and confidences: which beats are ventricular, and which early beats are supraventricular
//! ectopy.
//!
//! The trees do not look at beats that are ordinary by shape and not early: these are normal. The ventricular
//! score is shared within a cluster, so that one shape gets one answer.

use rayon::prelude::*;

use super::calibration::{
    ASKED_DISTANCE, ASKED_EARLY, ASKED_RULE_SCORE, FURTHEST_SCORE, IRREGULAR_MORE, LEAST_IN_RUN,
    LEAST_INTERPOLATED, MOST_INTERPOLATED, SHARING_MEMBERS,
};
use super::model::{self, Model};
use super::weights_file;
use crate::classify::features::fill;
use crate::classify::features::inputs::FeatureInputs;
use crate::classify::features::row::FeatureRow;
use crate::classify::features::schema::Feature;
use crate::classify::labels::Labels;
use crate::classify::rules::aberrancy::{Signs, is_aberrant};
use crate::classify::rules::calibration::{LEAST_LEADS, LESS_VENTRICULAR};
use crate::classify::rules::rule_score::evidence;
use crate::classify::study::Study;
use crate::classify::timing::run_extension;
use crate::model::BeatClass;
use crate::settings::Settings;

/// Scores of one beat.
struct Scores {
    ventricular: f32,
    /// None for a beat that is not early enough.
    ectopic: Option<f32>,
    /// Wide as a ventricular beat, but conducted with aberration.
    aberrant: bool,
    row: Option<Box<FeatureRow>>,
}

/// Gives every beat its class and confidence. With `keep`, the features are kept.
///
/// The setting `prematurity_percent` counts twice: a beat less early than `floor_share` of it is never S, and
/// the score starts from how early the beat is against it.
pub fn decide(inputs: &FeatureInputs<'_>, settings: &Settings, keep: bool) -> Study {
    let model = weights_file::built_in();
    let n = inputs.rr.len();
    let mut scores: Vec<Scores> =
        (0..n)
            .into_par_iter()
            .map(|i| {
                if is_looked_at(inputs, i) {
                    score(inputs, &model, i, settings, keep)
                } else {
                    not_looked_at()
                }
            })
            .collect();
    let shared = share(&scores, inputs.facts.member_of, model.scale.cluster_share);
    let ventricular = |i: usize| shared[i] > ventricular_from(inputs, &model);
    for i in 2..n {
        if ventricular(i - 1) && !ventricular(i - 2) && is_interpolated(inputs, i - 1) {
            scores[i].ectopic = None;
        }
    }
    let mut classes: Vec<BeatClass> =
        (0..n).map(|i| class(inputs, &model, i, &scores[i], shared[i], settings)).collect();
    run_extension::extend(&mut classes, inputs.rr, inputs.facts.timings, settings, true);
    let several = several(inputs);
    let confidences =
        (0..n).map(|i| confidence(&model, several, classes[i], scores[i].ectopic, shared[i])).collect();
    let clusters = &inputs.scored.each;
    let labels = Labels {
        classes,
        confidences,
        evidence: (0..n).map(|i| evidence(inputs.facts, clusters, i)).collect(),
        shapes: Vec::new(),
    };
    Study {
        labels,
        rules: inputs.classes.to_vec(),
        ventricular: shared,
        rows: scores.iter_mut().map(|s| s.row.take()).collect(),
    }
}

fn is_looked_at(inputs: &FeatureInputs<'_>, i: usize) -> bool {
    let cluster = inputs.cluster(i);
    cluster.distance >= ASKED_DISTANCE
        || inputs.facts.timings[i].early.is_some_and(|e| e >= ASKED_EARLY)
        || inputs.classes[i] != BeatClass::N
        || inputs.day.rule_scores[i] >= ASKED_RULE_SCORE
}

fn not_looked_at() -> Scores {
    Scores { ventricular: -FURTHEST_SCORE, ectopic: None, aberrant: false, row: None }
}

fn score(inputs: &FeatureInputs<'_>, model: &Model, i: usize, settings: &Settings, keep: bool) -> Scores {
    let row = fill::row(inputs, i);
    let threshold = settings.prematurity_percent as f32 / 100.0;
    let early = inputs.facts.timings[i].early.filter(|e| *e >= model.scale.floor_share * threshold);
    let start = |early: f32| model::start_ectopic(early, inputs.is_irregular(i), threshold);
    let ectopic = early.map(|early| start(early) + model::sum(&model.ectopic, &row));
    let wide = model::start_ventricular(inputs.day.rule_scores[i]) + model::sum(&model.ventricular, &row);
    let conducted = inputs.facts.leads >= LEAST_LEADS && is_aberrant(signs(&row), threshold);
    Scores {
        ventricular: if conducted { wide - LESS_VENTRICULAR } else { wide },
        ectopic,
        aberrant: conducted && wide > ventricular_from(inputs, model),
        row: keep.then(|| Box::new(row)),
    }
}

/// What tells aberrant conduction, from the features.
fn signs(row: &FeatureRow) -> Signs {
    let of = |feature: Feature| row.get(feature);
    Signs {
        early: of(Feature::Early),
        begins: of(Feature::StartCosine).max(of(Feature::NormalStartCosine)),
        whole: of(Feature::DominantCosine).max(of(Feature::NormalCosine)),
        rr_spread: of(Feature::SimilarRrSpread),
    }
}

/// True when the beats before and after beat `i` lie one sinus interval apart: it was interpolated, and the
/// beat after it is early against beat `i` only.
fn is_interpolated(inputs: &FeatureInputs<'_>, i: usize) -> bool {
    let share = (inputs.rr[i] + inputs.rr[i + 1]) / inputs.facts.timings[i].sinus_ms;
    LEAST_INTERPOLATED <= share && share <= MOST_INTERPOLATED
}

/// Which of the model's pairs of constants holds: 0 with one lead, 1 with more.
fn several(inputs: &FeatureInputs<'_>) -> usize {
    usize::from(inputs.facts.leads > 1)
}

fn ventricular_from(inputs: &FeatureInputs<'_>, model: &Model) -> f32 {
    model.scale.ventricular_from[several(inputs)]
}

/// Every score, moved towards the mean of the others of the same shape.
fn share(scores: &[Scores], member_of: &[u32], cluster_share: f32) -> Vec<f32> {
    let clusters = member_of.iter().max().map_or(0, |m| *m as usize + 1);
    let (mut sums, mut counts) = (vec![0.0f64; clusters], vec![0u32; clusters]);
    let clamped = |s: &Scores| s.ventricular.clamp(-FURTHEST_SCORE, FURTHEST_SCORE);
    for (own, c) in scores.iter().zip(member_of) {
        sums[*c as usize] += f64::from(clamped(own));
        counts[*c as usize] += 1;
    }
    let shared = |(own, c): (&Scores, &u32)| {
        let (sum, count) = (sums[*c as usize], counts[*c as usize]);
        if count < SHARING_MEMBERS {
            return own.ventricular;
        }
        let others = ((sum - f64::from(clamped(own))) / f64::from(count - 1)) as f32;
        (1.0 - cluster_share) * own.ventricular + cluster_share * others
    };
    scores.iter().zip(member_of).map(shared).collect()
}

fn class(
    inputs: &FeatureInputs<'_>,
    model: &Model,
    i: usize,
    scores: &Scores,
    shared: f32,
    settings: &Settings,
) -> BeatClass {
    if shared > ventricular_from(inputs, model) {
        return BeatClass::V;
    }
    let early = inputs.facts.timings[i].early.unwrap_or(0.0);
    let premature = settings.prematurity_percent as f32 / 100.0;
    if inputs.facts.timings[i].in_focus && early >= premature {
        return BeatClass::S;
    }
    let cluster = inputs.cluster(i);
    if cluster.fusion && early < premature {
        return BeatClass::F;
    }
    // Where the rhythm is absolutely irregular an early beat is no ectopy, unless it is far too early for
    // that.
    let enough = premature + IRREGULAR_MORE;
    let barred = inputs.is_irregular(i) && early < enough;
    let ectopic = scores.ectopic.is_some_and(|s| s > model.scale.ectopic_from);
    if scores.aberrant || (ectopic && !barred) { BeatClass::S } else { BeatClass::N }
}

fn confidence(model: &Model, several: usize, class: BeatClass, ectopic: Option<f32>, shared: f32) -> f32 {
    let scale = &model.scale;
    let v = model::probability(&scale.v[several], shared);
    let s = ectopic.map_or(0.0, |s| model::probability(&scale.s[several], s));
    match class {
        BeatClass::V => v,
        BeatClass::F => scale.fusion,
        BeatClass::S => s.max(LEAST_IN_RUN) * (1.0 - v),
        BeatClass::N | BeatClass::Q => (1.0 - s) * (1.0 - v),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_shape_gets_one_answer_and_a_few_beats_keep_their_own_scores() {
        let scores = |ventricular: &[f32]| -> Vec<Scores> {
            ventricular.iter().map(|v| Scores { ventricular: *v, ..not_looked_at() }).collect()
        };
        let many = share(&scores(&[3.0, 3.0, 3.0, 3.0, -1.0]), &[0; 5], 0.5);
        assert!(many[4] > 0.9 && many[0] > 2.0, "{many:?}");
        let few = share(&scores(&[3.0, 3.0, -1.0]), &[0; 3], 0.5);
        assert!((few[2] + 1.0).abs() < 1e-6);
    }
}
