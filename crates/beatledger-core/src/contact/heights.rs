//! How high each beat is on a lead, against the beats around it and against the tracing beside it.

use super::calibration::{
    BEAT_SIDE_S, BESIDE_FROM, BESIDE_QUANTILE, BESIDE_TO, LEAST_OF_USUAL_HEIGHT, LEAST_STANDING_OUT,
    LOW_HEIGHT, USUAL_EVERY, USUAL_QUANTILE, USUAL_S,
};
use crate::condition::raw::read_bridged;
use crate::model::{Quality, Recording, SecondQuality, Span};
use crate::statistics;

/// Whether each beat may be one on this lead; `None` where the lead cannot be read. What is hardly higher than nothing is
/// none, nor is what is lower than usual and no higher than the tracing beside it: hum and muscle noise look so.
pub(super) fn may_be_beats(
    recording: &Recording,
    quality: &Quality,
    lead: usize,
    beats: &[i64],
) -> Vec<Option<bool>> {
    let shares = relative(recording, quality, lead, beats);
    let kinds = quality.leads.get(lead).map_or(&[][..], |l| &l.kind);
    let is_noisy = |beat: i64| {
        let second = recording.rate.seconds_from_samples(beat) as usize;
        kinds.get(second).is_some_and(|kind| *kind == SecondQuality::Noisy)
    };
    let told = |(beat, share): (&i64, f32)| match share {
        share if share.is_nan() => None,
        share if share < LEAST_OF_USUAL_HEIGHT => Some(false),
        share if share < LOW_HEIGHT && is_noisy(*beat) => Some(stands_out(recording, lead, *beat)),
        _ => Some(true),
    };
    beats.iter().zip(shares).map(told).collect()
}

/// True when a beat is higher than the tracing a little before and after it.
fn stands_out(recording: &Recording, lead: usize, beat: i64) -> bool {
    let side = recording.rate.samples_from_seconds(BEAT_SIDE_S).max(1);
    let beside = (BESIDE_FROM..BESIDE_TO)
        .flat_map(|k| [-k, k])
        .map(|k| bend(recording, lead, beat + 2 * k * side, side));
    let usual = statistics::quantile(beside, BESIDE_QUANTILE).unwrap_or(0.0);
    bend(recording, lead, beat, side) >= LEAST_STANDING_OUT * usual
}

/// Height of each beat over the usual height around it; NaN where the lead cannot be read.
fn relative(recording: &Recording, quality: &Quality, lead: usize, beats: &[i64]) -> Vec<f32> {
    let side = recording.rate.samples_from_seconds(BEAT_SIDE_S).max(1);
    let reach = recording.rate.samples_from_seconds(USUAL_S);
    let kinds = quality.leads.get(lead).map_or(&[][..], |l| &l.kind);
    let height = |beat: &i64| {
        let second = recording.rate.seconds_from_samples(*beat) as usize;
        let is_readable = kinds.get(second).copied().is_none_or(SecondQuality::is_readable);
        if is_readable { bend(recording, lead, *beat, side) } else { f32::NAN }
    };
    let heights: Vec<f32> = beats.iter().map(height).collect();
    let mut out = Vec::with_capacity(beats.len());
    for (chunk, part) in heights.chunks(USUAL_EVERY).enumerate() {
        let middle = beats[chunk * USUAL_EVERY + part.len() / 2];
        let from = beats.partition_point(|b| *b < middle - reach);
        let to = beats.partition_point(|b| *b <= middle + reach);
        let around = heights[from..to].iter().copied().filter(|h| h.is_finite());
        let usual = statistics::quantile(around, USUAL_QUANTILE).unwrap_or(0.0);
        out.extend(part.iter().map(|h| if usual > 0.0 { h / usual } else { f32::NAN }));
    }
    out
}

/// Range of the samples beside a beat, less what a slope alone would give.
fn bend(recording: &Recording, lead: usize, beat: i64, side: i64) -> f32 {
    let raw = read_bridged(recording, lead, Span::new(beat - side, beat + side + 1), side).raw;
    let (first, last) = (raw[0] as f32, raw[raw.len() - 1] as f32);
    let slope = (last - first) / (raw.len() - 1) as f32;
    let level = raw.iter().enumerate().map(|(i, v)| *v as f32 - first - slope * i as f32);
    let (low, high) = level.fold((f32::INFINITY, f32::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
    high - low
}
