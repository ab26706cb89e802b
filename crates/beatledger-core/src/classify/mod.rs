//! Beats to N S V F Q, with evidence and a confidence.
//!
//! Shapes are clustered, clusters are judged against the day's own dominant shape, and every beat is judged
//! by its cluster and its timing. Rounds: the first finds what is ectopic by shape, the next knows the sinus
//! interval without it. In the end a small trained model tells which beats are ventricular, all beats of one shape
//! together, and which early beats are supraventricular ectopy.

mod aberrant;
mod around;
mod atrial;
mod cluster;
mod company;
mod decide;
mod features;
mod focus;
mod form;
mod fusion;
mod guess;
mod learned;
mod local;
mod more;
mod names;
pub mod paced;
mod run;
mod shape;
mod sums;
mod timing;
mod trees;

use rayon::prelude::*;

use crate::model::{BeatClass, Evidence, Progress, Quality, Recording, SecondQuality, Waves};
use crate::settings::Settings;
use decide::Known;

/// A label for every beat, as parallel columns.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Labels {
    /// Class of each beat.
    pub classes: Vec<BeatClass>,
    /// Confidence in it, 0 to 1.
    pub confidences: Vec<f32>,
    /// Why.
    pub evidence: Vec<Evidence>,
    /// Shape cluster of each beat: same number, same shape; larger clusters have smaller numbers.
    pub shapes: Vec<u32>,
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
    look(&Given { recording, quality, settings, samples, waves }, progress, false).labels
}

/// What the classes are decided from, for training.
#[derive(Clone, Debug, Default)]
pub struct Study {
    /// The classes and what goes with them.
    pub labels: Labels,
    /// Numbers of the beats that the trees are asked about, named by [`FEATURES`]; `None` for all others.
    pub rows: Vec<Option<Box<[f32; FEATURES.len()]>>>,
    /// Classes by rules alone.
    pub rules: Vec<BeatClass>,
    /// Ventricular score of each beat.
    pub ventricular: Vec<f32>,
}

/// Names of the numbers of [`Study::rows`].
pub const FEATURES: [&str; features::COUNT] = names::NAMES;

/// Labels every beat and keeps what it was decided from.
pub fn study(
    recording: &Recording,
    quality: &Quality,
    settings: &Settings,
    samples: &[i64],
    waves: &[Waves],
    progress: &Progress,
) -> Study {
    look(&Given { recording, quality, settings, samples, waves }, progress, true)
}

/// What the beats are judged from.
struct Given<'a> {
    recording: &'a Recording,
    quality: &'a Quality,
    settings: &'a Settings,
    samples: &'a [i64],
    waves: &'a [Waves],
}

/// Rules in rounds, then the trees; what they were asked is kept when `keep` says so.
fn look(given: &Given<'_>, progress: &Progress, keep: bool) -> Study {
    let Given { recording, quality, settings, samples, waves } = *given;
    if samples.is_empty() {
        return Study::default();
    }
    let shapes = shape::Shapes::read(recording, quality, settings, samples, progress);
    progress.set(5, 10);
    let (member_of, clusters) = cluster::clusters(&shapes, samples.len());
    progress.set(7, 10);
    let width_ms: Vec<Option<f32>> = waves.iter().map(|w| width_ms(recording, w)).collect();
    let rr = timing::rr_ms(recording, quality, samples);
    let runs = guess::runs(&rr);
    let mut classes = guess::first_guess(&rr, &runs);
    let mut runs = guess::long_runs(&runs, &rr);
    let foci = focus::Foci::of(&shapes, &rr, &member_of, &clusters);
    foci.put(&mut classes, &mut runs);
    let p_before = atrial::p_before(&shapes, &classes, &rr);
    let at_beats: Vec<f32> = samples.iter().map(|s| best_quality(quality, recording, *s)).collect();
    let mut study = Study::default();
    for round in 0..ROUNDS {
        let when = timing::when(&rr, &classes, &runs, &p_before, &foci);
        let known = Known {
            when: &when,
            width_ms: &width_ms,
            p_before: &p_before,
            member_of: &member_of,
            clusters: &clusters,
            quality: &at_beats,
            leads: shapes.leads(),
        };
        let verdicts = decide::judge(&known, settings);
        let judged = &verdicts.judged;
        classes =
            (0..samples.len()).into_par_iter().map(|i| decide::decide(&known, judged, i, settings)).collect();
        run::extend(&mut classes, &rr, &when, settings, false);
        if round + 1 == ROUNDS {
            progress.set(8, 10);
            study = last_word(given, &known, &verdicts, (&classes, &rr, &shapes), keep);
        }
    }
    study.labels.shapes = member_of;
    study
}

/// Asks the trees, after the last round; `seen` are the classes by rules, the intervals and the shapes.
fn last_word(
    given: &Given<'_>,
    known: &Known<'_>,
    verdicts: &decide::Verdicts,
    seen: (&[BeatClass], &[f32], &shape::Shapes),
    keep: bool,
) -> Study {
    let (classes, rr, shapes) = seen;
    let of = |what: fn(&Recording, &Waves) -> Option<f32>| -> Vec<Option<f32>> {
        given.waves.iter().map(|w| what(given.recording, w)).collect()
    };
    let (pr_ms, on_ms) = (of(pr_ms), of(on_ms));
    let around = around::Around::of(rr, classes, known.when, known.p_before, &pr_ms);
    let weights = cluster::level_weights(known.clusters.get(verdicts.dominant), known.leads);
    let facts = features::Facts {
        known,
        verdicts,
        classes,
        rr,
        pr_ms: &pr_ms,
        on_ms: &on_ms,
        usual_on_ms: more::usual(known, verdicts.dominant, &on_ms).unwrap_or(USUAL_ON_MS),
        shapes,
        around: &around,
        more: &more::More::of(known, verdicts, &weights, rr),
        on_time: features::Facts::on_time(known.clusters, verdicts),
    };
    learned::decide(&facts, given.settings, keep)
}

/// Start of the QRS from the fiducial where none was measured, ms; common practice.
const USUAL_ON_MS: f32 = -40.0;

fn pr_ms(recording: &Recording, waves: &Waves) -> Option<f32> {
    waves.pr_samples().filter(|w| *w > 0).map(|w| recording.rate.ms_from_samples(w) as f32)
}

fn on_ms(recording: &Recording, waves: &Waves) -> Option<f32> {
    waves.qrs_on.map(|on| recording.rate.ms_from_samples(i64::from(on)) as f32)
}

/// Rounds of judging: what the first calls ectopic no longer blurs the sinus interval in the next.
const ROUNDS: usize = 3;

fn width_ms(recording: &Recording, waves: &Waves) -> Option<f32> {
    waves.qrs_samples().filter(|w| *w > 0).map(|w| recording.rate.ms_from_samples(w) as f32)
}

/// Score of the best lead at a beat, 0 to 1.
fn best_quality(quality: &Quality, recording: &Recording, sample: i64) -> f32 {
    let second = recording.rate.seconds_from_samples(sample) as usize;
    let score = |l: &crate::model::LeadQuality| match l.kind.get(second) {
        Some(SecondQuality::Good | SecondQuality::Noisy) => l.score.get(second).copied().unwrap_or(0),
        _ => 0,
    };
    quality.leads.iter().map(score).max().map_or(0.0, |s| f32::from(s) / 255.0)
}
