//! Beats to N S V F Q, with evidence and a confidence.
//!
//! Shapes are clustered, clusters are judged against the day's own dominant shape, and every beat is judged
//! by its cluster and its timing. Two rounds: the first finds what is ectopic by shape, the second knows the
//! sinus interval without it.

mod atrial;
mod cluster;
mod decide;
mod fusion;
mod run;
mod shape;
mod timing;

use crate::model::{BeatClass, Evidence, Quality, Recording, SecondQuality, Waves};
use crate::pipeline::Progress;
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
    let shapes = shape::Shapes::read(recording, quality, settings, samples, progress);
    progress.set(6, 10);
    let (member_of, clusters) = cluster::clusters(&shapes, samples.len());
    progress.set(9, 10);
    let width_ms: Vec<Option<f32>> = waves.iter().map(|w| width_ms(recording, w)).collect();
    let rr = timing::rr_ms(recording, quality, samples);
    let mut classes = timing::first_guess(&rr);
    let p_before = atrial::p_before(&shapes, &classes);
    let at_beats: Vec<f32> = samples.iter().map(|s| best_quality(quality, recording, *s)).collect();
    let mut labels = Labels::default();
    for _round in 0..ROUNDS {
        let when = timing::when(&rr, &classes, &p_before);
        let known = Known {
            when: &when,
            width_ms: &width_ms,
            p_before: &p_before,
            member_of: &member_of,
            clusters: &clusters,
            quality: &at_beats,
            leads: shapes.leads(),
        };
        let judged = decide::judge(&known, settings);
        let decided: Vec<(BeatClass, f32)> =
            (0..samples.len()).map(|i| decide::decide(&known, &judged, i, settings)).collect();
        classes = decided.iter().map(|d| d.0).collect();
        run::extend(&mut classes, &rr, &when, settings);
        labels.confidences = decided.iter().map(|d| d.1).collect();
        labels.evidence = (0..samples.len()).map(|i| decide::evidence(&known, &judged, i)).collect();
    }
    labels.classes = classes;
    labels.shapes = member_of;
    labels
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
