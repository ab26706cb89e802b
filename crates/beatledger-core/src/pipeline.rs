//! The stages in order, with progress and cancel.

use crate::model::{BeatClass, Found, FoundBeat, Progress, Recording, Span};
use crate::settings::Settings;
use crate::{
    classify, condition, conduction, contact, delineate, detect, group, repolarisation, ventricular_waves,
    wiring,
};

/// Finds everything that needs no reader. A pure function of recording and settings, on one thread or many;
/// `None` when it was cancelled.
pub fn find(recording: &Recording, settings: &Settings, progress: &Progress) -> Option<Found> {
    progress.enter(0)?;
    let quality = condition::quality(recording, settings, progress);
    progress.enter(1)?;
    let mut detected = detect::detect(recording, &quality, settings, progress);
    let lead_changes = wiring::changes(recording, &detected.samples);
    let undone;
    let mut recording = recording;
    if !lead_changes.is_empty() {
        undone = wiring::undone(recording, &lead_changes);
        recording = &undone;
        let looks_inverted = detected.looks_inverted;
        detected = detect::detect(recording, &quality, settings, progress);
        detected.looks_inverted = looks_inverted;
    }
    let mut quality = detected.quality.unwrap_or(quality);
    let swings =
        ventricular_waves::swings(recording, &quality, &detected.samples, &detected.growth, progress);
    let waves_without_beats = swings.ventricular;
    contact::without_noise(recording, &quality, &mut detected.samples);
    quality.unreadable.extend(&swings.motion);
    quality.unreadable = Span::without(&Span::merged(quality.unreadable, 0), &waves_without_beats);
    detected.samples.retain(|beat| !swings.motion.iter().any(|motion| motion.contains(*beat)));
    let mut silences = contact::uncertain(recording, &quality, &detected.samples);
    silences.retain(|s| s.span.covered_by(&waves_without_beats) == 0);
    progress.enter(2)?;
    let waves = delineate::delineate(recording, &quality, &detected.samples, progress);
    progress.enter(3)?;
    let mut labels = classify::classify(recording, &quality, settings, &detected.samples, &waves, progress);
    classify::pacing::mark(recording, &detected.samples, &mut labels);
    let classes = &labels.classes;
    let repolarisation =
        repolarisation::repolarisation(recording, settings, &detected.samples, classes, &waves, progress);
    let labelled = delineate::Labelled {
        samples: &detected.samples,
        classes,
        waves: &waves,
        evidence: &labels.evidence,
    };
    let (averaged, in_average) = delineate::averages(recording, &quality, settings, &labelled);
    progress.enter(4)?;
    let mut beats: Vec<FoundBeat> = (0..detected.samples.len())
        .map(|i| FoundBeat {
            sample: detected.samples[i],
            class: labels.classes[i],
            confidence: labels.confidences[i],
            group: 0,
            waves: waves[i],
            evidence: labels.evidence[i],
        })
        .collect();
    let (conduction, on_time) = conduction::conduction(recording, &quality, &beats, &averaged);
    for i in on_time {
        (labels.classes[i], labels.confidences[i]) = (BeatClass::N, conduction::ON_TIME_CONFIDENCE);
        (beats[i].class, beats[i].confidence) = (labels.classes[i], labels.confidences[i]);
    }
    let (member_of, groups) = group::group(recording, settings, &detected.samples, &labels, progress);
    progress.enter(4)?;
    beats.iter_mut().zip(&member_of).for_each(|(beat, group)| beat.group = *group);
    Some(Found {
        conduction,
        quality,
        ventricular_waves: waves_without_beats,
        doubtful_waves: swings.doubtful,
        silences,
        beats,
        groups,
        looks_inverted: detected.looks_inverted,
        lead_changes,
        repolarisation,
        averaged,
        in_average,
    })
}
