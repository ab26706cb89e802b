//! Clear beats: prominent candidates that are not the P or T wave of a larger one.

use rayon::prelude::*;

use super::selection::Context;
use super::template_match::similarity;
use crate::detect::calibration::clear_beats::{
    ABOVE_T_WAVES, ABOVE_T_WAVES_OF, BLUNT_T_WAVE_MAX_HEIGHT, BLUNT_T_WAVE_MAX_SHARPNESS, COMPARED_BEATS,
    MIN_COMPARED, T_WAVE_MAX_HEIGHT, WIDE_T_WAVE_MAX_HEIGHT, WIDE_T_WAVE_MAX_SHARPNESS,
};
use crate::detect::calibration::selection::{
    CLEAR_PROMINENCE, LATE_T_WAVE_S, P_WAVE_MAX_HEIGHT, P_WAVE_S, T_WAVE_S,
};
use crate::detect::calibration::template_match::SAME_KIND;
use crate::detect::calibration::work::MIN_BEATS_PER_THREAD;
use crate::detect::envelope::Candidate;

/// The clear beats in order.
pub fn clear_beats(context: &Context<'_>) -> Vec<usize> {
    let (refractory, rate_hz) = (context.refractory, context.rate_hz);
    let p_wave = (P_WAVE_S * rate_hz).round() as i64;
    let mut kept: Vec<usize> = Vec::new();
    for i in (0..context.all.places.len()).filter(|i| context.prominence(*i) >= CLEAR_PROMINENCE) {
        let c = context.place(i);
        // A larger candidate takes the place of smaller ones too close before it, P waves among them.
        while let Some(last) = kept.last().map(|k| context.place(*k)) {
            let after = c.step - last.step;
            let is_p = after < p_wave && last.height < P_WAVE_MAX_HEIGHT * c.height;
            if !is_p && (after >= refractory || last.height >= c.height) {
                break;
            }
            kept.pop();
        }
        let is_part_of_last = kept
            .last()
            .map(|k| context.place(*k))
            .is_some_and(|last| c.step - last.step < refractory || is_t_wave(c, last, rate_hz));
        if !is_part_of_last {
            kept.push(i);
        }
    }
    kept
}

/// Whether `c` looks like the T wave of the larger beat `last`: soon after it, and small, blunt or much less sharp.
fn is_t_wave(c: &Candidate, last: &Candidate, rate_hz: f64) -> bool {
    let after_s = (c.step - last.step) as f64 / rate_hz;
    let is_small = after_s < T_WAVE_S && c.height < T_WAVE_MAX_HEIGHT * last.height;
    let is_blunt = after_s < LATE_T_WAVE_S
        && c.height < BLUNT_T_WAVE_MAX_HEIGHT * last.height
        && c.sharpness < BLUNT_T_WAVE_MAX_SHARPNESS * c.height;
    let is_wide = after_s < T_WAVE_S
        && c.height < WIDE_T_WAVE_MAX_HEIGHT * last.height
        && c.sharpness < WIDE_T_WAVE_MAX_SHARPNESS * last.sharpness;
    is_small || is_blunt || is_wide
}

/// Puts back early beats that were taken for T waves: those much larger than what follows other beats of the same
/// shape. A T wave follows every beat, an early wide beat follows one.
pub fn with_early_beats(context: &Context<'_>, clear: &[usize]) -> Vec<usize> {
    let early: Vec<Option<usize>> = (0..clear.len())
        .into_par_iter()
        .with_min_len(MIN_BEATS_PER_THREAD)
        .map(|k| early_after(context, clear, k))
        .collect();
    clear.iter().zip(early).flat_map(|(beat, early)| [Some(*beat), early]).flatten().collect()
}

/// The early beat after the clear beat at `k`, where there is one.
fn early_after(context: &Context<'_>, clear: &[usize], k: usize) -> Option<usize> {
    let early = largest_after(context, clear, k).filter(|i| context.prominence(*i) >= CLEAR_PROMINENCE)?;
    let near =
        (1..=COMPARED_BEATS).flat_map(|j| [k.checked_sub(j), Some(k + j).filter(|n| *n < clear.len())]);
    let others: Vec<f32> = near
        .flatten()
        .filter(|o| similarity(context.all, clear[*o], clear[k]) >= SAME_KIND)
        .map(|o| largest_after(context, clear, o).map_or(0.0, |i| context.place(i).height))
        .collect();
    let lower = others.iter().filter(|h| context.place(early).height > ABOVE_T_WAVES * **h).count();
    (others.len() >= MIN_COMPARED && lower as f32 >= ABOVE_T_WAVES_OF * others.len() as f32).then_some(early)
}

/// The largest candidate after the clear beat at `k` where its T wave may be.
fn largest_after(context: &Context<'_>, clear: &[usize], k: usize) -> Option<usize> {
    let places = &context.all.places;
    let reach = (LATE_T_WAVE_S * context.rate_hz).ceil() as i64;
    let next = clear.get(k + 1).map_or(i64::MAX, |n| places[*n].step);
    let last = places[clear[k]].step;
    let between = clear[k] + 1..clear.get(k + 1).copied().unwrap_or(places.len());
    between
        .take_while(|i| places[*i].step - last < reach)
        .filter(|i| {
            places[*i].step - last >= context.refractory && next - places[*i].step >= context.refractory
        })
        .max_by(|a, b| places[*a].height.total_cmp(&places[*b].height).then(b.cmp(a)))
}
