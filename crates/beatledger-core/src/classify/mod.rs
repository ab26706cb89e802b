//! Beats to N S V F Q, with evidence and a confidence.
//!
//! Clusters of shapes (`shapes`) and the times of beats (`timing`) are scored by rules (`rules`), scores become
//! features (`features`), and trees give the final classes (`trees`). Rules go in rounds: what one round finds
//! ectopic no longer counts for the sinus interval of the next. A folder names only folders before it.
//! ST levels, groups, rhythm events and edits of a reader must not come in: they are later stages.

mod calibration;
mod features;
#[cfg(test)]
mod golden_row_tests;
mod labels;
mod rules;
mod shapes;
mod study;
mod timing;
mod trees;

use rayon::prelude::*;

use crate::model::{BeatClass, LeadQuality, Progress, Quality, Recording, SecondQuality, Waves};
use crate::settings::Settings;
use calibration::{FULL_QUALITY, ROUNDS, USUAL_QRS_START_MS};
use features::cluster_stats::cluster_median;
use features::inputs::ordinary_clusters;
use rules::beat_facts::BeatFacts;
use rules::cluster_score::{ScoredClusters, score_clusters};
use rules::rule_score::rule_class;
use timing::atrial_focus::Foci;

pub use features::row::FeatureRow;
pub use features::schema::Feature;
pub use labels::Labels;
pub use rules::pacing;
pub use study::Study;

/// What the beats are classified from.
struct Given<'a> {
    recording: &'a Recording,
    quality: &'a Quality,
    settings: &'a Settings,
    samples: &'a [i64],
    waves: &'a [Waves],
}

/// Labels every beat in `samples`; `waves` has one element for each.
pub fn classify(
    recording: &Recording,
    quality: &Quality,
    settings: &Settings,
    samples: &[i64],
    waves: &[Waves],
    progress: &Progress,
) -> Labels {
    label(&Given { recording, quality, settings, samples, waves }, progress, false).labels
}

/// Labels every beat and keeps what it was decided from.
pub fn study(
    recording: &Recording,
    quality: &Quality,
    settings: &Settings,
    samples: &[i64],
    waves: &[Waves],
    progress: &Progress,
) -> Study {
    label(&Given { recording, quality, settings, samples, waves }, progress, true)
}

/// Rules in rounds, then the trees; `keep` keeps the features.
fn label(given: &Given<'_>, progress: &Progress, keep: bool) -> Study {
    let Given { recording, quality, settings, samples, waves } = *given;
    if samples.is_empty() {
        return Study::default();
    }
    let shapes = shapes::shape::Shapes::read(recording, quality, settings, samples, progress);
    progress.set(5, 10);
    let (member_of, clusters) = shapes::cluster::clusters(&shapes, samples.len());
    progress.set(7, 10);
    let width_ms = each(recording, waves, width_ms);
    let rr = timing::rr_intervals::rr_ms(recording, quality, samples);
    let runs = timing::rr_runs::runs(&rr);
    let mut classes = timing::first_guess::first_guess(&rr, &runs);
    let mut in_run = timing::rr_runs::long_runs(&runs, &rr);
    let foci = Foci::of(&shapes, &rr, &member_of, &clusters);
    foci.mark(&mut classes, &mut in_run);
    let p_before = timing::p_waves::p_before(&shapes, &classes, &rr);
    let at_beats: Vec<f32> = samples.iter().map(|s| best_quality(quality, recording, *s)).collect();
    let mut study = Study::default();
    for round in 0..ROUNDS {
        let timings = timing::prematurity::beat_timings(&rr, &classes, &in_run, &p_before, &foci);
        let facts = BeatFacts {
            timings: &timings,
            width_ms: &width_ms,
            p_before: &p_before,
            member_of: &member_of,
            clusters: &clusters,
            quality: &at_beats,
            leads: shapes.leads(),
        };
        let scored = score_clusters(&facts, settings);
        let class = |i: usize| rule_class(&facts, &scored.each, i, settings);
        classes = (0..samples.len()).into_par_iter().map(class).collect();
        timing::run_extension::extend(&mut classes, &rr, &timings, settings, false);
        if round + 1 == ROUNDS {
            progress.set(8, 10);
            let by_rules = ByRules { facts: &facts, scored: &scored, classes: &classes };
            study = by_trees(given, &by_rules, &rr, &shapes, keep);
        }
    }
    study.labels.shapes = member_of;
    study
}

/// What the last round of rules gives.
struct ByRules<'a> {
    facts: &'a BeatFacts<'a>,
    scored: &'a ScoredClusters,
    classes: &'a [BeatClass],
}

/// Final classes, after the last round of rules.
fn by_trees(
    given: &Given<'_>,
    by_rules: &ByRules<'_>,
    rr: &[f32],
    shapes: &shapes::shape::Shapes,
    keep: bool,
) -> Study {
    let ByRules { facts, scored, classes } = *by_rules;
    let pr_ms = each(given.recording, given.waves, pr_ms);
    let qrs_start_ms = each(given.recording, given.waves, qrs_start_ms);
    let weights = shapes::cluster::level_weights(facts.clusters.get(scored.dominant), facts.leads);
    let dominant_qrs_start_ms =
        cluster_median(facts, scored.dominant, &qrs_start_ms).unwrap_or(USUAL_QRS_START_MS);
    let inputs = features::inputs::FeatureInputs {
        facts,
        scored,
        classes,
        rr,
        pr_ms: &pr_ms,
        qrs_start_ms: &qrs_start_ms,
        dominant_qrs_start_ms,
        shapes,
        context: &features::beat_context::BeatContext::of(rr, classes, facts.timings, facts.p_before, &pr_ms),
        day: &features::day_stats::DayStats::of(facts, scored, &weights, rr),
        ordinary: &ordinary_clusters(facts, scored),
    };
    trees::tree_classes::decide(&inputs, given.settings, keep)
}

/// A measure of the waves of each beat.
fn each(
    recording: &Recording,
    waves: &[Waves],
    measure: fn(&Recording, &Waves) -> Option<f32>,
) -> Vec<Option<f32>> {
    waves.iter().map(|w| measure(recording, w)).collect()
}

fn width_ms(recording: &Recording, waves: &Waves) -> Option<f32> {
    waves.qrs_samples().filter(|w| *w > 0).map(|w| recording.rate.ms_from_samples(w) as f32)
}

fn pr_ms(recording: &Recording, waves: &Waves) -> Option<f32> {
    waves.pr_samples().filter(|w| *w > 0).map(|w| recording.rate.ms_from_samples(w) as f32)
}

/// Start of the QRS from the fiducial, ms.
fn qrs_start_ms(recording: &Recording, waves: &Waves) -> Option<f32> {
    waves.qrs_on.map(|on| recording.rate.ms_from_samples(i64::from(on)) as f32)
}

/// Score of the best lead at a beat, 0 to 1.
fn best_quality(quality: &Quality, recording: &Recording, sample: i64) -> f32 {
    let second = recording.rate.seconds_from_samples(sample) as usize;
    let score = |l: &LeadQuality| match l.kind.get(second) {
        Some(SecondQuality::Good | SecondQuality::Noisy) => l.score.get(second).copied().unwrap_or(0),
        _ => 0,
    };
    quality.leads.iter().map(score).max().map_or(0.0, |s| f32::from(s) / FULL_QUALITY)
}
