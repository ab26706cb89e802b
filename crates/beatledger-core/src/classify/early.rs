//! The last word: which early beats are supraventricular ectopy, and how sure every class is.

use rayon::prelude::*;

use super::decide;
use super::features::{COUNT, Facts};
use super::trees::{self, Trees};
use super::{Labels, Study};
use crate::model::BeatClass;
use crate::settings::Settings;

/// Asks the trees about every beat that is early and not ventricular, and gives every class its confidence.
///
/// The setting `prematurity_percent` rules twice: a beat less early than `floor_share` of it is never S, and the
/// score starts from how early the beat is against it.
pub fn decide(facts: &Facts<'_>, settings: &Settings) -> Study {
    let model = Trees::built_in();
    let beats: Vec<Judgement> =
        (0..facts.rr.len()).into_par_iter().map(|i| judge(facts, &model, i, settings)).collect();
    let labels = Labels {
        classes: beats.iter().map(|b| b.class).collect(),
        confidences: beats.iter().map(|b| b.confidence).collect(),
        evidence: (0..beats.len())
            .map(|i| decide::evidence(facts.known, &facts.verdicts.judged, i))
            .collect(),
        shapes: Vec::new(),
    };
    Study {
        labels,
        rules: facts.classes.to_vec(),
        ventricular: beats.iter().map(|b| b.ventricular).collect(),
        rows: beats.into_iter().map(|b| b.row).collect(),
    }
}

/// How much earlier than the setting a beat must be in an absolutely irregular stretch, as a share.
const IRREGULAR_MORE: f32 = 0.2;

struct Judgement {
    class: BeatClass,
    confidence: f32,
    ventricular: f32,
    row: Option<[f32; COUNT]>,
}

fn judge(facts: &Facts<'_>, model: &Trees, i: usize, settings: &Settings) -> Judgement {
    let (by_rules, scale) = (facts.classes[i], &model.scale);
    let ventricular = decide::ventricular(facts.known, &facts.verdicts.judged, i);
    let several = usize::from(facts.known.leads > 1);
    let p_v = trees::probability(&scale.v[several], ventricular);
    let plain = |class, confidence| Judgement { class, confidence, ventricular, row: None };
    match by_rules {
        BeatClass::V => return plain(BeatClass::V, p_v),
        BeatClass::F => return plain(BeatClass::F, scale.fusion),
        _ => {}
    }
    let when = &facts.known.when[i];
    let threshold = settings.prematurity_percent as f32 / 100.0;
    let Some(early) = when.early.filter(|e| *e >= scale.floor_share * threshold) else {
        return plain(BeatClass::N, 1.0 - p_v);
    };
    let row = facts.row(i);
    let score = trees::start(early, facts.irregular(i), threshold) + model.sum(&row);
    let p_s = trees::probability(&scale.s[several], score);
    // Where the rhythm is absolutely irregular an early beat is no ectopy, unless it is far too early for that.
    let barred = facts.irregular(i) && early < threshold + IRREGULAR_MORE;
    let (class, p) =
        if score > scale.threshold && !barred { (BeatClass::S, p_s) } else { (BeatClass::N, 1.0 - p_s) };
    Judgement { class, confidence: p * (1.0 - p_v), ventricular, row: Some(row) }
}
