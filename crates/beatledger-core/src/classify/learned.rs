//! The last word: which beats are ventricular, which early beats are supraventricular ectopy, and how sure.
//!
//! Beats that are ordinary by shape and not early are not asked about: they are normal. The score of a
//! ventricular beat is shared with the beats of its own shape, so that one shape gets one answer.

use rayon::prelude::*;

use super::aberrant::{LEAST_LEADS, LESS_VENTRICULAR, is_aberrant};
use super::decide;
use super::features::{Facts, Numbers};
use super::run;
use super::trees::{self, Trees};
use super::{Labels, Study};
use crate::model::BeatClass;
use crate::settings::Settings;

/// Clusters nearer than this to the dominant shape are ordinary.
const ORDINARY: f32 = 0.15;
/// Beats less early than this are on time.
const ON_TIME: f32 = 0.08;
/// Beats with a lower ventricular score by the rules are ordinary.
const SURELY_NOT: f32 = -1.5;
/// Score of a beat that is not asked about, and furthest score that is shared with others of its shape.
const FURTHEST: f32 = 6.0;
/// A shape speaks for its members from this many on.
const SEVERAL: u32 = 4;
/// How much earlier than the setting a beat must be in an absolutely irregular stretch, as a share.
const IRREGULAR_MORE: f32 = 0.4;
/// From the beat before an interpolated beat to the beat after it, as a share of the sinus interval: conduction through
/// an AV node not yet recovered delays the latter a little (common practice).
const INTERPOLATED: (f32, f32) = (0.85, 1.2);

/// What the trees say of one beat.
struct Said {
    ventricular: f32,
    ectopic: Option<f32>,
    /// Wide as a ventricular beat, but conducted with aberration.
    aberrant: bool,
    numbers: Option<Box<Numbers>>,
}

/// Asks the trees and gives every beat its class and confidence. With `keep`, what they were asked is kept.
///
/// The setting `prematurity_percent` rules twice: a beat less early than `floor_share` of it is never S, and the
/// score starts from how early the beat is against it.
pub fn decide(facts: &Facts<'_>, settings: &Settings, keep: bool) -> Study {
    let model = Trees::built_in();
    let n = facts.rr.len();
    let mut said: Vec<Said> = (0..n)
        .into_par_iter()
        .map(|i| if is_asked(facts, i) { ask(facts, &model, i, settings, keep) } else { unasked() })
        .collect();
    let shared = share(&said, facts.known.member_of, model.scale.group_share);
    let ventricular = |i: usize| shared[i] > ventricular_from(facts, &model);
    for i in 2..n {
        if ventricular(i - 1) && !ventricular(i - 2) && is_interpolated(facts, i - 1) {
            said[i].ectopic = None;
        }
    }
    let mut classes: Vec<BeatClass> =
        (0..n).map(|i| class(facts, &model, i, &said[i], shared[i], settings)).collect();
    run::extend(&mut classes, facts.rr, facts.known.when, settings, true);
    let several = several(facts);
    let confidences =
        (0..n).map(|i| confidence(&model, several, classes[i], said[i].ectopic, shared[i])).collect();
    let judged = &facts.verdicts.judged;
    let labels = Labels {
        classes,
        confidences,
        evidence: (0..n).map(|i| decide::evidence(facts.known, judged, i)).collect(),
        shapes: Vec::new(),
    };
    Study {
        labels,
        rules: facts.classes.to_vec(),
        ventricular: shared,
        rows: said.iter_mut().map(|s| s.numbers.take()).collect(),
    }
}

fn is_asked(facts: &Facts<'_>, i: usize) -> bool {
    let judged = &facts.verdicts.judged[facts.known.member_of[i] as usize];
    judged.apart >= ORDINARY
        || facts.known.when[i].early.is_some_and(|e| e >= ON_TIME)
        || facts.classes[i] != BeatClass::N
        || facts.more.scores[i] >= SURELY_NOT
}

fn unasked() -> Said {
    Said { ventricular: -FURTHEST, ectopic: None, aberrant: false, numbers: None }
}

fn ask(facts: &Facts<'_>, model: &Trees, i: usize, settings: &Settings, keep: bool) -> Said {
    let row = facts.row(i);
    let threshold = settings.prematurity_percent as f32 / 100.0;
    let early = facts.known.when[i].early.filter(|e| *e >= model.scale.floor_share * threshold);
    let ectopic = early
        .map(|early| trees::start(early, facts.irregular(i), threshold) + trees::sum(&model.ectopic, &row));
    let wide = trees::start_ventricular(facts.more.scores[i]) + trees::sum(&model.ventricular, &row);
    let conducted = facts.known.leads >= LEAST_LEADS && is_aberrant(&row, threshold);
    Said {
        ventricular: if conducted { wide - LESS_VENTRICULAR } else { wide },
        ectopic,
        aberrant: conducted && wide > ventricular_from(facts, model),
        numbers: keep.then(|| Box::new(row)),
    }
}

/// True when the beats before and after beat `i` lie one sinus interval apart: it was interpolated, and the beat
/// after it is early against beat `i` only.
fn is_interpolated(facts: &Facts<'_>, i: usize) -> bool {
    let share = (facts.rr[i] + facts.rr[i + 1]) / facts.known.when[i].sinus_ms;
    INTERPOLATED.0 <= share && share <= INTERPOLATED.1
}

/// Which of the model's pairs of constants holds: 0 with one lead, 1 with more.
fn several(facts: &Facts<'_>) -> usize {
    usize::from(facts.known.leads > 1)
}

fn ventricular_from(facts: &Facts<'_>, model: &Trees) -> f32 {
    model.scale.ventricular_from[several(facts)]
}

/// Every score, moved towards the mean of the others of the same shape.
fn share(said: &[Said], member_of: &[u32], group_share: f32) -> Vec<f32> {
    let clusters = member_of.iter().max().map_or(0, |m| *m as usize + 1);
    let (mut sums, mut counts) = (vec![0.0f64; clusters], vec![0u32; clusters]);
    let clamped = |s: &Said| s.ventricular.clamp(-FURTHEST, FURTHEST);
    for (said, c) in said.iter().zip(member_of) {
        sums[*c as usize] += f64::from(clamped(said));
        counts[*c as usize] += 1;
    }
    let shared = |(said, c): (&Said, &u32)| {
        let (sum, count) = (sums[*c as usize], counts[*c as usize]);
        if count < SEVERAL {
            return said.ventricular;
        }
        let others = ((sum - f64::from(clamped(said))) / f64::from(count - 1)) as f32;
        (1.0 - group_share) * said.ventricular + group_share * others
    };
    said.iter().zip(member_of).map(shared).collect()
}

fn class(
    facts: &Facts<'_>,
    model: &Trees,
    i: usize,
    said: &Said,
    shared: f32,
    settings: &Settings,
) -> BeatClass {
    if shared > ventricular_from(facts, model) {
        return BeatClass::V;
    }
    let early = facts.known.when[i].early.unwrap_or(0.0);
    let premature = settings.prematurity_percent as f32 / 100.0;
    if facts.known.when[i].in_focus && early >= premature {
        return BeatClass::S;
    }
    let judged = &facts.verdicts.judged[facts.known.member_of[i] as usize];
    if judged.fusion && early < premature {
        return BeatClass::F;
    }
    // Where the rhythm is absolutely irregular an early beat is no ectopy, unless it is far too early for that.
    let enough = premature + IRREGULAR_MORE;
    let barred = facts.irregular(i) && early < enough;
    let ectopic = said.ectopic.is_some_and(|s| s > model.scale.ectopic_from);
    if said.aberrant || (ectopic && !barred) { BeatClass::S } else { BeatClass::N }
}

/// A beat that is S because it continues a run is as sure as a toss of a coin at least.
const IN_A_RUN: f32 = 0.5;

fn confidence(model: &Trees, several: usize, class: BeatClass, ectopic: Option<f32>, shared: f32) -> f32 {
    let scale = &model.scale;
    let v = trees::probability(&scale.v[several], shared);
    let s = ectopic.map_or(0.0, |s| trees::probability(&scale.s[several], s));
    match class {
        BeatClass::V => v,
        BeatClass::F => scale.fusion,
        BeatClass::S => s.max(IN_A_RUN) * (1.0 - v),
        BeatClass::N | BeatClass::Q => (1.0 - s) * (1.0 - v),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_shape_gets_one_answer_and_a_few_beats_speak_for_themselves() {
        let said = |scores: &[f32]| -> Vec<Said> {
            scores.iter().map(|v| Said { ventricular: *v, ..unasked() }).collect()
        };
        let many = share(&said(&[3.0, 3.0, 3.0, 3.0, -1.0]), &[0; 5], 0.5);
        assert!(many[4] > 0.9 && many[0] > 2.0, "{many:?}");
        let few = share(&said(&[3.0, 3.0, -1.0]), &[0; 3], 0.5);
        assert!((few[2] + 1.0).abs() < 1e-6);
    }
}
