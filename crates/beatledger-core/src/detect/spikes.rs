//! Spikes that no heart makes: the touch of a cable, a discharge.
//!
//! A QRS complex lasts 60 ms and more (common practice); of a spike all but a little stands within a few milliseconds of its
//! summit, and no complex follows it. Candidates are asked before the beats are chosen for good, so that a spike takes no true beat's place.

use rayon::prelude::*;

use super::calibration::spikes::{
    EARLIEST_COMPLEX_S, FEWEST_BEATS, LARGEST_COMPLEX, LARGEST_REST, LATEST_COMPLEX_S, LEAST_HEIGHT,
    NARROW_S, NARROWER_THAN_USUAL, SAMPLED, SHARP, SUMMIT_S, USUAL_AT_MOST, WIDE_S,
};
use super::calibration::work::MIN_BEATS_PER_THREAD;
use crate::condition::raw::read_bridged;
use crate::model::{Quality, Recording, Span};
use crate::statistics::quantile;

/// What a complex looks like on one lead.
#[derive(Clone, Copy)]
struct Look {
    /// Height, ADC units.
    height: f32,
    /// Share of it that stands close to the summit.
    sharp: f32,
    /// What is left of it and follows it when the summit is taken away, ADC units.
    rest: f32,
}

/// The usual complex of a lead; `None` where few beats show one, or where it is as sharp as a spike itself.
type Usual = Option<Look>;

/// Positions in `middles` (samples, rising) of what is no beat but a spike.
pub(super) fn spikes(recording: &Recording, quality: &Quality, middles: &[i64]) -> Vec<usize> {
    if middles.len() < FEWEST_BEATS {
        return Vec::new();
    }
    let stride = middles.len().div_ceil(SAMPLED);
    let leads: Vec<(usize, Look)> = (0..recording.leads.len())
        .filter_map(|lead| Some((lead, usual(recording, quality, lead, middles, stride)?)))
        .collect();
    if leads.is_empty() {
        return Vec::new();
    }
    (0..middles.len())
        .into_par_iter()
        .with_min_len(MIN_BEATS_PER_THREAD)
        .filter(|i| is_spike(recording, quality, &leads, middles[*i]))
        .collect()
}

fn usual(recording: &Recording, quality: &Quality, lead: usize, middles: &[i64], stride: usize) -> Usual {
    let some = middles.iter().step_by(stride).filter(|m| is_readable(recording, quality, lead, **m));
    let looks: Vec<Look> = some.filter_map(|m| look(recording, lead, *m)).collect();
    let middle = |of: fn(&Look) -> f32| quantile(looks.iter().map(of), 0.5);
    let usual =
        Look { height: middle(|l| l.height)?, sharp: middle(|l| l.sharp)?, rest: middle(|l| l.rest)? };
    (looks.len() >= FEWEST_BEATS && usual.sharp <= USUAL_AT_MOST).then_some(usual)
}

/// True when every lead that shows something shows a spike.
fn is_spike(recording: &Recording, quality: &Quality, leads: &[(usize, Look)], middle: i64) -> bool {
    let mut shown = 0;
    for (lead, usual) in leads {
        if !is_readable(recording, quality, *lead, middle) {
            continue;
        }
        let Some(look) = look(recording, *lead, middle) else { return false };
        if look.height < LEAST_HEIGHT * usual.height {
            continue;
        }
        shown += 1;
        let is_narrow = look.sharp >= SHARP.max(NARROWER_THAN_USUAL * usual.sharp);
        if !is_narrow || look.rest > (LARGEST_COMPLEX * usual.height).max(LARGEST_REST * look.height) {
            return false;
        }
    }
    shown > 0
}

fn is_readable(recording: &Recording, quality: &Quality, lead: usize, middle: i64) -> bool {
    let second = recording.rate.seconds_from_samples(middle) as usize;
    quality.leads.get(lead).and_then(|l| l.kind.get(second)).is_none_or(|k| k.is_readable())
}

/// What stands around `middle` on a lead; `None` where samples are missing or nothing stands there.
fn look(recording: &Recording, lead: usize, middle: i64) -> Option<Look> {
    let samples = |s: f64| recording.rate.samples_from_seconds(s).max(1);
    let narrow = ((NARROW_S * recording.rate.hz()) as i64).max(1);
    let (near, wide) = (samples(SUMMIT_S), samples(WIDE_S));
    let (early, late) = (samples(EARLIEST_COMPLEX_S), samples(LATEST_COMPLEX_S));
    let (before, after) = (near + early.max(wide), near + late.max(wide));
    let read = read_bridged(recording, lead, Span::new(middle - before, middle + after + 1), 1);
    if !read.gaps.is_empty() {
        return None;
    }
    let raw = read.raw;
    let level = {
        let mut values = raw.clone();
        values.sort_unstable();
        values[values.len() / 2]
    };
    let at = (before - near..=before + near).max_by_key(|i| (raw[*i as usize] - level).abs())?;
    let part = |from: i64, to: i64| from as usize..=to as usize;
    let height = bend(&raw[part(at - wide, at + wide)]);
    if height <= 0.0 {
        return None;
    }
    // What is left when the summit is cut out.
    let mut rest = raw[part(at - early, at + late)].to_vec();
    let cut = part(early - narrow, early + narrow);
    let (left, right) = (rest[*cut.start()], rest[*cut.end()]);
    for (k, i) in cut.enumerate() {
        rest[i] = left + (right - left) * k as i32 / (2 * narrow) as i32;
    }
    Some(Look { height, sharp: bend(&raw[part(at - narrow, at + narrow)]) / height, rest: bend(&rest) })
}

/// Range of values, less what a slope from the first to the last would give.
fn bend(raw: &[i32]) -> f32 {
    let (first, last) = (raw[0] as f32, raw[raw.len() - 1] as f32);
    let slope = (last - first) / (raw.len() - 1).max(1) as f32;
    let level = raw.iter().enumerate().map(|(i, v)| *v as f32 - first - slope * i as f32);
    let (low, high) = level.fold((f32::INFINITY, f32::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
    high - low
}
