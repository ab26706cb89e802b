//! The sample of a beat: the main deflection on the clearest lead.

use rayon::prelude::*;

use super::lead_choice::readable_lead;
use crate::condition::raw::read_bridged;
use crate::detect::calibration::fiducial::{LEVEL_REACH_S, REACH_S, SMOOTH_HALF_S, TAPER, USUAL_DIRECTION};
use crate::detect::calibration::work::MIN_BEATS_PER_THREAD;
use crate::model::{Quality, Recording, Span};
use crate::statistics::upper_median;

/// Both extremes of one complex on one lead: height in ADC units above the level, and sample.
#[derive(Clone, Copy, Debug, Default)]
struct Extremes {
    up: f32,
    up_at: i64,
    down: f32,
    down_at: i64,
    lead: usize,
}

/// Samples of the main deflections near `middles` (samples), in the same order. `order` lists the leads,
/// clearest first; a beat is placed on the first one that is readable at its second.
pub fn main_deflections(
    recording: &Recording,
    quality: &Quality,
    order: &[usize],
    middles: &[i64],
) -> Vec<i64> {
    let found: Vec<Extremes> = middles
        .par_iter()
        .with_min_len(MIN_BEATS_PER_THREAD)
        .map_init(Scratch::default, |scratch, m| {
            extremes(recording, readable_lead(recording, quality, order, *m), *m, scratch)
        })
        .collect();
    let points_up: Vec<bool> = (0..recording.leads.len())
        .map(|l| {
            let (up, down) = found
                .iter()
                .filter(|e| e.lead == l)
                .fold((0usize, 0usize), |(u, d), e| if e.up >= e.down { (u + 1, d) } else { (u, d + 1) });
            up >= down
        })
        .collect();
    found
        .iter()
        .map(|e| {
            let up = if points_up.get(e.lead).copied().unwrap_or(true) {
                e.up >= USUAL_DIRECTION * e.down
            } else {
                USUAL_DIRECTION * e.up > e.down
            };
            if up { e.up_at } else { e.down_at }
        })
        .collect()
}

/// Room for the moving sums around a beat, in order and sorted.
#[derive(Default)]
struct Scratch {
    sums: Vec<i64>,
    sorted: Vec<i64>,
}

fn extremes(recording: &Recording, lead: usize, middle: i64, scratch: &mut Scratch) -> Extremes {
    let rate = recording.rate;
    let around = rate.samples_from_seconds(LEVEL_REACH_S);
    let near = rate.samples_from_seconds(REACH_S);
    let smooth = (SMOOTH_HALF_S * rate.hz()).round() as i64;
    let span = Span::new(middle - around - smooth, middle + around + smooth + 1);
    let raw = read_bridged(recording, lead, span, around).raw;
    let width = (2 * smooth + 1) as usize;
    let Scratch { sums, sorted } = scratch;
    moving_sums_of(&raw, width, sums);
    sorted.clone_from(sums);
    let level = upper_median(sorted).unwrap_or(0) as f32 / width as f32;
    let mut out = Extremes { up_at: middle, down_at: middle, lead, ..Extremes::default() };
    for at in (around - near)..=(around + near) {
        let off = (at - around) as f32 / near as f32;
        let v = (sums[at as usize] as f32 / width as f32 - level) * (1.0 - TAPER * off * off);
        if v > out.up {
            (out.up, out.up_at) = (v, middle - around + at);
        }
        if -v > out.down {
            (out.down, out.down_at) = (-v, middle - around + at);
        }
    }
    out
}

/// Moving sums of `width` samples, at most as many as there are; over whole numbers they are exact.
fn moving_sums_of(raw: &[i32], width: usize, out: &mut Vec<i64>) {
    let mut sum: i64 = raw[..width].iter().map(|v| i64::from(*v)).sum();
    out.clear();
    out.push(sum);
    out.extend(raw[width..].iter().zip(raw).map(|(enters, leaves)| {
        sum += i64::from(*enters) - i64::from(*leaves);
        sum
    }));
}
