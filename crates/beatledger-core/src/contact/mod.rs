//! Long intervals without a beat: whether what was found in them is noise, and whether the electrodes were in contact.
//!
//! A pause is told only where a beat stands on either side and at least one lead has, between them, the unfiltered character
//! of the tracing around: as much noise as before and after, no more and no less, and a baseline that goes on moving with
//! breathing (common practice; the limits are design choices). Where no lead has it, the
//! silence is told as such and no pause, no interval and no rate is made of it. This stage knows samples, quality and the
//! places of the beats; no class of any beat.

mod calibration;
mod heights;
mod lead;

use rayon::prelude::*;

use crate::model::{ContactDoubt, Quality, Recording, Silence, Span};
use crate::statistics;
use calibration::{ALWAYS_S, AROUND_S, FEWEST_BEATS, FEWEST_NOISE, LEAST_OF_USUAL, LEAST_S};
use lead::Look;

/// Takes out of `beats` what no lead shows as a beat: noise in a silence.
pub fn without_noise(recording: &Recording, quality: &Quality, beats: &mut Vec<i64>) {
    let told: Vec<Vec<Option<bool>>> = (0..recording.leads.len())
        .into_par_iter()
        .map(|lead| heights::may_be_beats(recording, quality, lead, beats))
        .collect();
    let is_beat = |i: usize| {
        let mut told = told.iter().filter_map(|lead| lead[i]).peekable();
        told.peek().is_none() || told.any(|may_be| may_be)
    };
    let mut keep: Vec<bool> = (0..beats.len()).map(is_beat).collect();
    let silence = recording.rate.samples_from_seconds(ALWAYS_S);
    let is_long = |from: Option<&i64>, to: Option<&i64>| from.zip(to).is_some_and(|(a, b)| b - a >= silence);
    let mut first = 0;
    for run in keep.chunk_by_mut(|a, b| a == b) {
        let end = first + run.len();
        let beside_silence = is_long(first.checked_sub(1).map(|i| &beats[i]), beats.get(first))
            || is_long(beats.get(end - 1), beats.get(end));
        if !run[0] && run.len() < FEWEST_NOISE && !beside_silence {
            // What looks like noise among beats that do not is a beat in noise.
            run.fill(true);
        }
        first = end;
    }
    let mut keep = keep.into_iter();
    // `keep` has one flag a beat, so that it never runs out.
    beats.retain(|_| keep.next().unwrap_or(true));
}

/// Silences between `beats` in which no lead shows that it was in contact, in order.
pub fn uncertain(recording: &Recording, quality: &Quality, beats: &[i64]) -> Vec<Silence> {
    let look = Look::new(recording.rate.hz());
    long_intervals(recording, quality, beats)
        .into_par_iter()
        .filter_map(|i| doubt(recording, quality, beats, i, &look))
        .collect()
}

/// The beats that end an interval long enough to be asked about, with nothing unreadable in it.
fn long_intervals(recording: &Recording, quality: &Quality, beats: &[i64]) -> Vec<usize> {
    let [least, always] = [LEAST_S, ALWAYS_S].map(|s| recording.rate.samples_from_seconds(s));
    (1..beats.len())
        .filter(|i| {
            let between = Span::new(beats[i - 1], beats[*i]);
            between.len() >= least
                && (between.len() >= always || stands_out(beats, *i))
                && between.covered_by(&quality.unreadable) == 0
        })
        .collect()
}

/// True when the interval that ends at beat `i` is long for the intervals around it.
fn stands_out(beats: &[i64], i: usize) -> bool {
    let from = i.saturating_sub(FEWEST_BEATS).max(1);
    let to = (i + FEWEST_BEATS + 1).min(beats.len());
    let mut around: Vec<f64> =
        (from..to).filter(|k| *k != i).map(|k| (beats[k] - beats[k - 1]) as f64).collect();
    let usual = statistics::median(&mut around).unwrap_or(0.0);
    (beats[i] - beats[i - 1]) as f64 >= LEAST_OF_USUAL * usual
}

/// Why no lead shows that it was in contact, which includes that none shows a clear beat; `None` where one does, or where too
/// few beats lie around to compare with.
fn doubt(recording: &Recording, quality: &Quality, beats: &[i64], i: usize, look: &Look) -> Option<Silence> {
    let between = Span::new(beats[i - 1], beats[i]);
    let around = recording.rate.samples_from_seconds(AROUND_S);
    let whole = Span::new(between.start - around, between.end + around).overlap(recording.whole());
    let from = beats.partition_point(|b| *b < whole.start);
    let near: Vec<i64> =
        beats[from..].iter().take_while(|b| **b < whole.end).map(|b| b - whole.start).collect();
    if near.len() < FEWEST_BEATS {
        return None;
    }
    let silence = Span::new(between.start - whole.start, between.end - whole.start);
    let mut first = None;
    let mut mv = Vec::new();
    for lead in 0..recording.leads.len() {
        let second = |sample: i64| recording.rate.seconds_from_samples(sample) as usize;
        if !quality.is_readable(lead, second(between.start)..=second(between.end)) {
            continue;
        }
        recording.leads[lead].read_mv(whole, &mut mv);
        match look.lead(&mv, &near, silence) {
            Some(Ok(())) => return None,
            Some(Err(reason)) => first = first.or(Some(reason)),
            None => {}
        }
    }
    Some(Silence { span: between, reason: first.unwrap_or(ContactDoubt::NoBeatBeside) })
}
