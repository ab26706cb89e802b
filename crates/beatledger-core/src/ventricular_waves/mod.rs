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
//! A window is told from the leads in contact together. What is the same on all of them at once is motion or a common
//! disturbance and no heart; what swings too slowly for flutter, without anything as sharp as a QRS complex, is motion too, and so is a large swing under
//! beats that has a pace of its own.
//!
//! Only windows that may hold it are looked at: very many beats, hardly any, or time that cannot be read.

mod calibration;
mod usual_beat;
mod window;

use rayon::prelude::*;

use crate::model::{DoubtfulWaves, Progress, Quality, Recording, SecondQuality, Span, WavesDoubt};
use calibration::{
    FEW_BEATS, JOIN_S, LEAST_GROWTH, LEAST_S, LEAST_SIZE_MV, LEAST_SIZE_SHARE, LEAST_SIZE_UNDER_BEATS,
    LEAST_SLOW_SIZE, MANY_BEATS, MOST_BEATS, MOST_LEAKAGE, MOST_REST, MOST_SHARP, OWN_PACE,
    SLOW_SWINGS_PER_SECOND, SWINGS_PER_SECOND, UNDER_BEATS_PER_SECOND, WINDOW_S, WINDOWS_SAMPLED,
};
use usual_beat::UsualBeat;
use window::{Alike, Measured, WindowFilter};

/// What swings without beats.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Swings {
    /// Ventricular flutter or fibrillation, sorted and disjoint.
    pub ventricular: Vec<Span>,
    /// What of it is doubtful, and why.
    pub doubtful: Vec<DoubtfulWaves>,
    /// Motion, sorted and disjoint: the same on all leads at once, or swings too slow for flutter without anything as sharp
    /// as a QRS complex, or large ones under beats at a pace of their own.
    pub motion: Vec<Span>,
}

/// What a lead usually shows.
struct Usual {
    /// Root mean square of a window, mV.
    size_mv: f32,
    /// Its QRS complex, where there are beats enough.
    beat: Option<UsualBeat>,
}

/// What a window holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Verdict {
    Waves,
    Doubtful(WavesDoubt),
    Motion,
    Neither,
}

/// Finds stretches of ventricular flutter or fibrillation and of motion that imitates it or beats; `beats` are the samples
/// of the beats that were found, `growth` how many times higher each second is than usual.
pub fn swings(
    recording: &Recording,
    quality: &Quality,
    beats: &[i64],
    growth: &[f32],
    progress: &Progress,
) -> Swings {
    let filter = WindowFilter::new(recording.rate.hz());
    let wanted = wanted(recording, quality, beats, growth);
    if wanted.is_empty() || progress.is_cancelled() {
        return Swings::default();
    }
    let usual: Vec<Option<Usual>> = (0..recording.leads.len())
        .into_par_iter()
        .map(|lead| {
            let size_mv = usual_mv(recording, quality, &filter, lead)?;
            Some(Usual { size_mv, beat: UsualBeat::of(recording, lead, beats) })
        })
        .collect();
    let verdict = |second: &i64| {
        if progress.is_cancelled() {
            return Verdict::Neither;
        }
        verdict(recording, quality, &filter, beats, *second, &usual)
    };
    let verdicts: Vec<Verdict> = wanted.par_iter().map(verdict).collect();
    let join = recording.rate.samples_from_seconds(JOIN_S);
    let spans = |is_wanted: &dyn Fn(&Verdict) -> bool| {
        let these = wanted.iter().zip(&verdicts).filter(|(_, verdict)| is_wanted(verdict));
        let mut spans =
            Span::merged(these.map(|(second, _)| window_span(recording, *second)).collect(), join);
        spans.retain(|s| recording.rate.seconds_from_samples(s.len()) >= LEAST_S);
        spans
    };
    let ventricular = spans(&|v| matches!(v, Verdict::Waves | Verdict::Doubtful(_)));
    let told = spans(&|v| *v == Verdict::Waves);
    let alike = spans(&|v| *v == Verdict::Doubtful(WavesDoubt::AlikeOnAllLeads));
    let doubt = |span: &Span| match (span.covered_by(&told), span.covered_by(&alike)) {
        (0, 0) => Some(DoubtfulWaves { span: *span, doubt: WavesDoubt::OneLead }),
        (told, alike) if alike > told => {
            Some(DoubtfulWaves { span: *span, doubt: WavesDoubt::AlikeOnAllLeads })
        }
        _ => None,
    };
    Swings {
        doubtful: ventricular.iter().filter_map(doubt).collect(),
        motion: Span::without(&spans(&|v| *v == Verdict::Motion), &ventricular),
        ventricular,
    }
}

/// First seconds of the windows that are looked at.
fn wanted(recording: &Recording, quality: &Quality, beats: &[i64], growth: &[f32]) -> Vec<i64> {
    let last = recording.rate.seconds_from_samples(recording.samples).floor() as i64 - WINDOW_S;
    let is_wanted = |second: &i64| {
        let span = window_span(recording, *second);
        let from = beats.partition_point(|b| *b < span.start);
        let count = beats[from..].partition_point(|b| *b < span.end);
        let seconds = growth.get(*second as usize..(second + WINDOW_S) as usize);
        let is_grown = seconds.is_some_and(|growth| growth.iter().all(|g| *g >= LEAST_GROWTH));
        is_grown || count >= MANY_BEATS || count <= FEW_BEATS || span.covered_by(&quality.unreadable) > 0
    };
    (0..=last).filter(is_wanted).collect()
}

fn window_span(recording: &Recording, second: i64) -> Span {
    let at = |s: i64| recording.rate.samples_from_seconds(s as f64);
    Span::new(at(second), at(second + WINDOW_S))
}

/// What the leads in contact show together in the window that begins at `second`.
fn verdict(
    recording: &Recording,
    quality: &Quality,
    filter: &WindowFilter,
    beats: &[i64],
    second: i64,
    usual: &[Option<Usual>],
) -> Verdict {
    let span = window_span(recording, second);
    let from = beats.partition_point(|b| *b < span.start);
    let inside = &beats[from..from + beats[from..].partition_point(|b| *b < span.end)];
    let mut windows: Vec<(Measured, f32, Vec<f32>)> = Vec::new();
    let (mut slow, mut swings) = (0, 0);
    for (lead, usual) in usual.iter().enumerate() {
        if let Some(usual) = usual.as_ref().filter(|_| is_connected(quality, lead, second))
            && let Some((measured, window)) = filter.measure(recording, lead, span, &[])
        {
            // What is no larger with its beats is not larger without them.
            let is_large = measured.size_mv > LEAST_SIZE_UNDER_BEATS * usual.size_mv;
            let without_beats = || filter.measure(recording, lead, span, inside).map(|(under, _)| under);
            let under = is_large.then(without_beats).flatten().filter(|under| {
                is_swing_under_beats(under, usual.size_mv, inside.len())
                    && usual.beat.as_ref().is_some_and(|beat| beat.is_of_most(recording, inside))
            });
            let is_slow = |under: Measured| SLOW_SWINGS_PER_SECOND.contains(&under.per_second);
            slow += usize::from(under.is_some_and(is_slow));
            swings += usize::from(under.is_some() || is_slow_swing(&measured, usual.size_mv));
            windows.push((measured, usual.size_mv, window));
        }
    }
    let waves = windows.iter().filter(|(measured, usual_mv, _)| is_waves(measured, *usual_mv)).count();
    let alike = || {
        let traces: Vec<&[f32]> = windows.iter().map(|w| w.2.as_slice()).collect();
        window::alike(&traces)
    };
    match (waves, windows.len()) {
        (0, 0) => Verdict::Neither,
        (_, all) if slow == all => Verdict::Motion,
        (0, all) if swings == all => Verdict::Motion,
        (0, _) => Verdict::Neither,
        (waves, all) if 2 * waves <= all || all == 1 => Verdict::Doubtful(WavesDoubt::OneLead),
        _ => match alike() {
            Alike::Same => Verdict::Motion,
            Alike::Much => Verdict::Doubtful(WavesDoubt::AlikeOnAllLeads),
            Alike::No => Verdict::Waves,
        },
    }
}

/// True when a window is one swing after the other, and large.
fn is_waves(measured: &Measured, usual_mv: f32) -> bool {
    measured.leakage < MOST_LEAKAGE
        && measured.rest_share < MOST_REST
        && SWINGS_PER_SECOND.contains(&measured.per_second)
        && measured.size_mv > (LEAST_SIZE_SHARE * usual_mv).max(LEAST_SIZE_MV)
}

/// True when a window swings, large and too slowly for flutter, and nothing in it is as sharp as a QRS complex.
fn is_slow_swing(measured: &Measured, usual_mv: f32) -> bool {
    measured.leakage < MOST_LEAKAGE
        && measured.rest_share < MOST_REST
        && SLOW_SWINGS_PER_SECOND.contains(&measured.per_second)
        && measured.sharp_share < MOST_SHARP
        && measured.size_mv > LEAST_SLOW_SIZE * usual_mv
}

/// True when a window swings, large and at a pace of its own, once its beats are taken out.
fn is_swing_under_beats(measured: &Measured, usual_mv: f32, beats: usize) -> bool {
    let swings = measured.per_second * WINDOW_S as f32;
    measured.leakage < MOST_LEAKAGE
        && measured.rest_share < MOST_REST
        && UNDER_BEATS_PER_SECOND.contains(&measured.per_second)
        && (1..=MOST_BEATS).contains(&beats)
        && (swings - beats as f32).abs() > OWN_PACE
        && measured.size_mv > LEAST_SIZE_UNDER_BEATS * usual_mv
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
        .filter_map(|s| filter.measure(recording, lead, window_span(recording, *s), &[]))
        .map(|(measured, _)| measured.size_mv)
        .collect();
    sizes.sort_by(f32::total_cmp);
    sizes.get(sizes.len() / 2).copied()
}

#[cfg(test)]
mod tests;
