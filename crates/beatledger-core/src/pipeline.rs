//! The stages in order, with progress and cancel.

use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};

use crate::model::{Found, FoundBeat, Recording, Span};
use crate::settings::Settings;
use crate::{classify, condition, delineate, detect, group, levels, oscillate};

/// How far the finding of beats is, and whether it should stop. Shared between the worker and the window.
#[derive(Debug, Default)]
pub struct Progress {
    stage: AtomicU32,
    permille: AtomicU32,
    cancelled: AtomicBool,
}

/// Names of the stages that [`find`] runs through, in order.
pub const STAGES: [&str; 5] = ["signal quality", "beats", "wave limits", "classes", "shape groups"];

impl Progress {
    /// Asks the work to stop at the next chance.
    pub fn cancel(&self) {
        self.cancelled.store(true, Ordering::Relaxed);
    }

    /// True once [`Progress::cancel`] was called; stages look at it between blocks.
    pub fn is_cancelled(&self) -> bool {
        self.cancelled.load(Ordering::Relaxed)
    }

    /// Says that `done` of `of` blocks of the present stage are ready.
    pub fn set(&self, done: usize, of: usize) {
        self.permille.store((1000 * done / of.max(1)) as u32, Ordering::Relaxed);
    }

    /// Name of the present stage and the share of the whole work that is done, 0 to 1.
    pub fn now(&self) -> (&'static str, f32) {
        let stage = self.stage.load(Ordering::Relaxed) as usize;
        let within = self.permille.load(Ordering::Relaxed) as f32 / 1000.0;
        (STAGES[stage.min(STAGES.len() - 1)], (stage as f32 + within.min(1.0)) / STAGES.len() as f32)
    }

    fn enter(&self, stage: usize) -> Option<()> {
        self.stage.store(stage as u32, Ordering::Relaxed);
        self.permille.store(0, Ordering::Relaxed);
        (!self.is_cancelled()).then_some(())
    }
}

/// Finds everything that needs no reader. A pure function of recording and settings, on one thread or many;
/// `None` when it was cancelled.
pub fn find(recording: &Recording, settings: &Settings, progress: &Progress) -> Option<Found> {
    progress.enter(0)?;
    let quality = condition::quality(recording, settings, progress);
    progress.enter(1)?;
    let detected = detect::detect(recording, &quality, settings, progress);
    let mut quality = detected.quality.unwrap_or(quality);
    let ventricular_waves = oscillate::ventricular(recording, &quality, &detected.samples, progress);
    quality.unreadable = Span::without(&quality.unreadable, &ventricular_waves);
    progress.enter(2)?;
    let waves = delineate::delineate(recording, &quality, settings, &detected.samples, progress);
    progress.enter(3)?;
    let mut labels = classify::classify(recording, &quality, settings, &detected.samples, &waves, progress);
    classify::paced::mark(recording, &detected.samples, &mut labels);
    let classes = &labels.classes;
    let levels = levels::levels(recording, &quality, settings, &detected.samples, classes, &waves, progress);
    let labelled = delineate::Labelled {
        samples: &detected.samples,
        classes,
        waves: &waves,
        evidence: &labels.evidence,
    };
    let (averaged, in_average) = delineate::averages(recording, &quality, settings, &labelled);
    progress.enter(4)?;
    let (member_of, groups) = group::group(recording, settings, &detected.samples, &labels, progress);
    progress.enter(4)?;
    let beats = (0..detected.samples.len())
        .map(|i| FoundBeat {
            sample: detected.samples[i],
            class: labels.classes[i],
            confidence: labels.confidences[i],
            group: member_of[i],
            waves: waves[i],
            evidence: labels.evidence[i],
        })
        .collect();
    Some(Found {
        quality,
        ventricular_waves,
        beats,
        groups,
        looks_inverted: detected.looks_inverted,
        levels,
        averaged,
        in_average,
    })
}
