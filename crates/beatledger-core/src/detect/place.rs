//! The sample of a beat: the main deflection on the clearest lead.

use rayon::prelude::*;

use crate::condition::raw::read_bridged;
use crate::model::{Quality, Recording, Span};
use crate::statistics::upper_median;

/// The main deflection lies this near to the middle of the complex, s.
const NEAR_S: f64 = 0.1;
/// At that distance a deflection counts by this much less than in the middle, in between by the square of the
/// distance: the trough that follows a wide complex is no part of it.
const TAPER: f32 = 0.7;
/// The level between waves is taken from this far around, s.
const AROUND_S: f64 = 0.3;
/// A deflection of the usual direction counts although it is this much smaller than the other one.
const USUAL_SHARE: f32 = 0.6;

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
pub(super) fn place(recording: &Recording, quality: &Quality, order: &[usize], middles: &[i64]) -> Vec<i64> {
    let found: Vec<Extremes> = middles
        .par_iter()
        .with_min_len(256)
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
                e.up >= USUAL_SHARE * e.down
            } else {
                USUAL_SHARE * e.up > e.down
            };
            if up { e.up_at } else { e.down_at }
        })
        .collect()
}

/// The first lead of `order` that is readable at `sample`; the first of all when none is.
pub(crate) fn readable_lead(recording: &Recording, quality: &Quality, order: &[usize], sample: i64) -> usize {
    let second = recording.rate.seconds_from_samples(sample).max(0.0) as usize;
    let is_readable =
        |l: &usize| quality.leads.get(*l).and_then(|q| q.kind.get(second)).is_none_or(|k| k.is_readable());
    order.iter().copied().find(is_readable).or(order.first().copied()).unwrap_or(0)
}

/// Room for the moving sums around a beat, in order and sorted.
#[derive(Default)]
struct Scratch {
    sums: Vec<i64>,
    sorted: Vec<i64>,
}

fn extremes(recording: &Recording, lead: usize, middle: i64, scratch: &mut Scratch) -> Extremes {
    let rate = recording.rate;
    let around = rate.samples_from_seconds(AROUND_S);
    let near = rate.samples_from_seconds(NEAR_S);
    // A mean over about 12 ms keeps noise from shifting the peak, and the peak from shifting.
    let smooth = (0.006 * rate.hz()).round() as i64;
    let span = Span::new(middle - around - smooth, middle + around + smooth + 1);
    let raw = read_bridged(recording, lead, span, around).raw;
    let width = (2 * smooth + 1) as usize;
    let Scratch { sums, sorted } = scratch;
    moving_sums_of(&raw, width, sums);
    sorted.clone_from(sums);
    let share = width as f32;
    let level = upper_median(sorted).unwrap_or(0) as f32 / share;
    let mut out = Extremes { up_at: middle, down_at: middle, lead, ..Extremes::default() };
    for at in (around - near)..=(around + near) {
        let off = (at - around) as f32 / near as f32;
        let v = (sums[at as usize] as f32 / share - level) * (1.0 - TAPER * off * off);
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
