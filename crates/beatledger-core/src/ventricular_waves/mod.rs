//! Waves without beats: ventricular flutter and fibrillation, told from the samples.
//!
//! A lead is judged in windows of four seconds after drift and hum are taken away. Shifted by half of its mean
//! period and added to itself, a wave that swings like a sine cancels out; beats, which are spikes with rest
//! between them, do not. The share that is left is the leakage of Kuo and Dillman (Computers in Cardiology 1978,
//! from memory). Flutter and fibrillation leave little, hardly ever rest near zero, swing at 130 to 540 a minute
//! and are as large as beats. The limits hold no record of the MIT-BIH Arrhythmia, Noise Stress Test, CPSC 2021
//! and CinC 2017 data but the one with ventricular flutter; a doubtful window is not reported, because the beats
//! inside a reported stretch are hidden from the reader.
//!
//! Only windows that may hold it are looked at: very many beats, hardly any, or time that cannot be read.

mod calibration;
mod window;

use std::ops::Range;

use rayon::prelude::*;

use crate::model::{Progress, Quality, Recording, SecondQuality, Span};
use calibration::{
    FEW_BEATS, JOIN_S, LEAST_S, LEAST_SIZE_MV, LEAST_SIZE_SHARE, MANY_BEATS, MOST_LEAKAGE, MOST_REST,
    SWINGS_PER_SECOND, WINDOW_S, WINDOWS_SAMPLED,
};
use window::{Measured, WindowFilter};

/// Finds stretches of ventricular flutter or fibrillation, sorted and disjoint; `beats` are the samples of the
/// beats that were found.
pub fn ventricular(
    recording: &Recording,
    quality: &Quality,
    beats: &[i64],
    progress: &Progress,
) -> Vec<Span> {
    let filter = WindowFilter::new(recording.rate.hz());
    let wanted = wanted(recording, quality, beats);
    if wanted.is_empty() || progress.is_cancelled() {
        return Vec::new();
    }
    let mut jobs: Vec<(usize, Range<i64>)> = Vec::new();
    for lead in 0..recording.leads.len() {
        jobs.extend(wanted.iter().map(|seconds| (lead, seconds.clone())));
    }
    let usual: Vec<Option<f32>> = (0..recording.leads.len())
        .into_par_iter()
        .map(|lead| usual_mv(recording, quality, &filter, lead))
        .collect();
    let found: Vec<Vec<Span>> = jobs
        .par_iter()
        .map(|(lead, seconds)| match usual[*lead] {
            Some(usual_mv) if !progress.is_cancelled() => {
                windows_of(recording, quality, &filter, *lead, seconds.clone(), usual_mv)
            }
            _ => Vec::new(),
        })
        .collect();
    let join = recording.rate.samples_from_seconds(JOIN_S);
    let mut spans = Span::merged(found.concat(), join);
    spans.retain(|s| recording.rate.seconds_from_samples(s.len()) >= LEAST_S);
    spans
}

/// First seconds of the windows that are looked at, as ranges.
fn wanted(recording: &Recording, quality: &Quality, beats: &[i64]) -> Vec<Range<i64>> {
    let last = recording.rate.seconds_from_samples(recording.samples).floor() as i64 - WINDOW_S;
    let mut out: Vec<Range<i64>> = Vec::new();
    for second in 0..=last {
        let span = window_span(recording, second);
        let from = beats.partition_point(|b| *b < span.start);
        let count = beats[from..].partition_point(|b| *b < span.end);
        if count >= MANY_BEATS || count <= FEW_BEATS || span.covered_by(&quality.unreadable) > 0 {
            match out.last_mut() {
                Some(range) if range.end == second => range.end = second + 1,
                _ => out.push(second..second + 1),
            }
        }
    }
    out
}

fn window_span(recording: &Recording, second: i64) -> Span {
    let at = |s: i64| recording.rate.samples_from_seconds(s as f64);
    Span::new(at(second), at(second + WINDOW_S))
}

/// The windows among those beginning in `seconds` that hold nothing but waves on the lead.
fn windows_of(
    recording: &Recording,
    quality: &Quality,
    filter: &WindowFilter,
    lead: usize,
    seconds: Range<i64>,
    usual_mv: f32,
) -> Vec<Span> {
    seconds
        .filter(|second| is_connected(quality, lead, *second))
        .filter_map(|second| {
            let span = window_span(recording, second);
            let measured = filter.measure(recording, lead, span)?;
            is_waves(&measured, usual_mv).then_some(span)
        })
        .collect()
}

/// True when a window is one swing after the other, and large.
fn is_waves(measured: &Measured, usual_mv: f32) -> bool {
    measured.leakage < MOST_LEAKAGE
        && measured.rest_share < MOST_REST
        && SWINGS_PER_SECOND.contains(&measured.per_second)
        && measured.size_mv > (LEAST_SIZE_SHARE * usual_mv).max(LEAST_SIZE_MV)
}

/// True when the electrode has contact throughout the window.
fn is_connected(quality: &Quality, lead: usize, second: i64) -> bool {
    let kinds = quality.leads.get(lead).and_then(|l| {
        let end = (second + WINDOW_S) as usize;
        l.kind.get(second as usize..end.min(l.kind.len()))
    });
    kinds.is_some_and(|kinds| {
        kinds
            .iter()
            .all(|k| !matches!(k, SecondQuality::Flat | SecondQuality::Railed | SecondQuality::Missing))
    })
}

/// The usual size of the lead where it can be read.
fn usual_mv(recording: &Recording, quality: &Quality, filter: &WindowFilter, lead: usize) -> Option<f32> {
    let kinds = &quality.leads.get(lead)?.kind;
    let readable: Vec<i64> = (0..kinds.len().saturating_sub(WINDOW_S as usize))
        .filter(|s| kinds[*s..*s + WINDOW_S as usize].iter().all(|k| k.is_readable()))
        .map(|s| s as i64)
        .collect();
    let every = readable.len().div_ceil(WINDOWS_SAMPLED).max(1);
    let some = readable.iter().step_by(every);
    let mut sizes: Vec<f32> = some
        .filter_map(|s| filter.measure(recording, lead, window_span(recording, *s)))
        .map(|m| m.size_mv)
        .collect();
    sizes.sort_by(f32::total_cmp);
    sizes.get(sizes.len() / 2).copied()
}

#[cfg(test)]
mod tests;
