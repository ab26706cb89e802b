//! Distance of two shapes: 0 for the same, 1 for unlike, 2 for opposite ones.

use super::calibration::{
    CORE, LEADS_TO_LEAVE_ONE, LEFT_OUT_ADDS, ODD_LEAD, OTHER_LEADS_CLOSE, READABLE_ENERGY, SHIFT,
    SHIFT_ORDER, STEPS,
};
use crate::classify::calibration::NO_ENERGY;

/// Distance of two shapes, 0 same, 1 unlike, 2 opposite, over the leads by weight, at the best shift of `b`
/// against `a` within [`SHIFT`]; gives the distance and the shift.
pub fn distance(a: &[f32], b: &[f32], weights: &[f32]) -> (f32, i32) {
    let mut best = (f32::MAX, 0);
    for shift in SHIFT_ORDER {
        let d = distance_at(a, b, weights, shift);
        if d < best.0 {
            best = (d, shift as i32 - SHIFT as i32);
        }
    }
    best
}

/// Distance with `b` read from step `shift` where `a` is read from step [`SHIFT`]. With three leads and more,
/// one lead that disagrees while all others agree closely is left out: electrode motion moves one lead,
/// another beat shows on all.
pub fn distance_at(a: &[f32], b: &[f32], weights: &[f32], shift: usize) -> f32 {
    let (mut apart, mut together) = (0.0f32, NO_ENERGY);
    let mut worst = (0.0f32, NO_ENERGY);
    for (lead, weight) in weights.iter().enumerate() {
        let a = &a[lead * STEPS + SHIFT..lead * STEPS + SHIFT + CORE];
        let b = &b[lead * STEPS + shift..lead * STEPS + shift + CORE];
        let (mut d, mut e) = (0.0f32, 0.0f32);
        for k in 0..CORE {
            let diff = a[k] - b[k];
            d += diff * diff;
            e += a[k] * a[k] + b[k] * b[k];
        }
        apart += weight * d;
        together += weight * e;
        if weight * d > worst.0 {
            worst = (weight * d, weight * e);
        }
    }
    let all = apart / together;
    if weights.len() < LEADS_TO_LEAVE_ONE || all < OTHER_LEADS_CLOSE || worst.0 < ODD_LEAD * worst.1 {
        return all;
    }
    let others = (apart - worst.0).max(0.0) / (together - worst.1).max(NO_ENERGY);
    if others < OTHER_LEADS_CLOSE { others + LEFT_OUT_ADDS } else { all }
}

/// Distance of two shapes on each lead that can be read at the beat, `b` read from step `shift`.
pub fn lead_distances<'a>(
    a: &'a [f32],
    b: &'a [f32],
    weights: &'a [f32],
    shift: usize,
) -> impl Iterator<Item = f32> + 'a {
    weights.iter().enumerate().filter_map(move |(lead, weight)| {
        let a = &a[lead * STEPS + SHIFT..lead * STEPS + SHIFT + CORE];
        let b = &b[lead * STEPS + shift..lead * STEPS + shift + CORE];
        let (mut d, mut e) = (0.0f32, NO_ENERGY);
        for (a, b) in a.iter().zip(b) {
            d += (a - b) * (a - b);
            e += a * a + b * b;
        }
        // Weights are over the usual energy of the lead: this is near 2 on a clear lead, far less on a lost
        // one.
        (weight * e > READABLE_ENERGY).then_some(d / e)
    })
}

/// Distance of two shapes on the lead on which they differ most, `b` read from step `shift`, of the leads
/// that can be read at the beat.
pub fn worst_lead(a: &[f32], b: &[f32], weights: &[f32], shift: usize) -> f32 {
    lead_distances(a, b, weights, shift).fold(0.0, f32::max)
}
