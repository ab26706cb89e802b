//! Whether a fast regular rhythm may be called one of the sinus node: it begins and ends gradually, its rate breathes, and P
//! waves stand before its beats (common practice). What lacks one of these is told without its mechanism.

use std::ops::Range;

use super::calibration::{
    BREATH_BLOCK, FEWEST_BREATH_BLOCKS, LEAST_BREATH, SINUS_P, STEP_SIDE, SUDDEN_REACH, SUDDEN_STEP,
};
use super::columns::Columns;
use crate::statistics;

/// Why the rhythm of `beats` cannot be called one of the sinus node; `None` where it can.
pub(super) fn against_sinus(columns: &Columns<'_>, beats: &Range<usize>) -> Option<&'static str> {
    if is_step(columns, beats.start, |before, after| before > SUDDEN_STEP * after) {
        return Some("it begins suddenly");
    }
    if is_step(columns, beats.end - 1, |before, after| after > SUDDEN_STEP * before) {
        return Some("it ends suddenly");
    }
    if !breathes(columns, beats) {
        return Some("its rate does not vary as that of the sinus node does");
    }
    let p: Vec<f32> = columns.p_before[beats.clone()].iter().copied().filter(|p| p.is_finite()).collect();
    let shown = p.iter().sum::<f32>() / p.len().max(1) as f32;
    (shown < SINUS_P).then_some("P waves do not show before its beats")
}

/// True when the interval changes within a beat or two near beat `at`: medians of a few intervals on both sides of some
/// beat differ as `differs` says.
fn is_step(columns: &Columns<'_>, at: usize, differs: impl Fn(f32, f32) -> bool) -> bool {
    let from = at.saturating_sub(SUDDEN_REACH).max(STEP_SIDE + 1);
    let to = (at + SUDDEN_REACH).min(columns.len().saturating_sub(STEP_SIDE));
    (from..to).any(|i| {
        let side = |range: Range<usize>| {
            let mut rr: Vec<f32> = columns.rr_ms[range].to_vec();
            (rr.iter().all(|r| r.is_finite())).then(|| statistics::upper_median(&mut rr)).flatten()
        };
        let (before, after) = (side(i - STEP_SIDE..i), side(i..i + STEP_SIDE));
        before.zip(after).is_some_and(|(before, after)| differs(before, after))
    })
}

/// True when the rate changes over the episode, or the episode is too short to ask.
fn breathes(columns: &Columns<'_>, beats: &Range<usize>) -> bool {
    let rr: Vec<f32> =
        columns.rr_ms[beats.start + 1..beats.end].iter().copied().filter(|r| r.is_finite()).collect();
    let blocks: Vec<f32> =
        rr.chunks_exact(BREATH_BLOCK).filter_map(|c| statistics::upper_median(&mut c.to_vec())).collect();
    if blocks.len() < FEWEST_BREATH_BLOCKS {
        return true;
    }
    let (low, high) = blocks.iter().fold((f32::INFINITY, 0.0f32), |(l, h), b| (l.min(*b), h.max(*b)));
    high - low >= LEAST_BREATH * low
}
