//! Beats too many by timing: a burst of noise is left out, an ectopic beat of another shape stays.

use rayon::prelude::*;

use super::selection::{Context, Selection};
use super::template_match::{similarities, similarity};
use crate::detect::calibration::extra_beats::{
    CALM_CLEARNESS, CALM_MIN_PROMINENCE, CALM_SLOPE, DISSIMILAR_BELOW, MIDDLE_ROOM_PROMINENCE,
    MIDDLE_ROOM_SIMILARITY, MIN_ON_OTHER_LEADS, RECURRENCE_COUNT, RECURRENCE_REACH_BEATS,
    RECURRENCE_SIMILARITY, REFRACTORY_S, SMALL_ROOM_INTERVALS, SMALL_ROOM_SIMILARITY, SMALL_ROOM_SLOPE,
    SMALL_ROOM_SLOPE_FROM, WIDE_ROOM_PROMINENCE, WIDE_ROOM_SIMILARITY,
};
use crate::detect::calibration::selection::{EXTRA_BELOW_INTERVALS, SURE_PROMINENCE};
use crate::detect::calibration::work::MIN_BEATS_PER_THREAD;

/// Leaves out a beat that is unlike its neighbours and comes between two that are one usual interval apart: a burst
/// of noise.
/// An ectopic beat of another shape is kept by its prominence, by the pause after it, or because its shape recurs.
pub fn without_extra_beats(context: &Context<'_>, beats: &[usize]) -> Selection {
    let similarity = similarities(context.all, beats);
    let recurs = recurring(context, beats, &similarity);
    let around = (0..beats.len()).into_par_iter().with_min_len(MIN_BEATS_PER_THREAD);
    let usual: Vec<f64> = around.map(|k| context.usual_interval(beats, k)).collect();
    let mut kept = Selection::default();
    for (k, beat) in beats.iter().enumerate() {
        let usual = usual[k];
        let step = context.step(*beat);
        let before = kept.beats.last().map_or(usual, |b| (step - context.step(*b)) as f64);
        let after = beats.get(k + 1).map_or(usual, |b| (context.step(*b) - step) as f64);
        let prominence = context.prominence(*beat);
        let sure = sure_prominence(context, *beat, before.min(after) / context.rate_hz);
        let (min_similarity, sure) = needed((before + after) / usual, prominence, sure);
        if prominence > sure || similarity[k] >= min_similarity || recurs(*beat) {
            kept.push(*beat, similarity[k]);
        }
    }
    kept
}

/// The similarity from which a beat stays and the prominence above which it does, whose neighbours are `room` usual
/// intervals apart.
fn needed(room: f64, prominence: f32, sure: f32) -> (f32, f32) {
    if room < SMALL_ROOM_INTERVALS {
        let relief = SMALL_ROOM_SLOPE * (prominence - SMALL_ROOM_SLOPE_FROM).max(0.0);
        (SMALL_ROOM_SIMILARITY - relief, sure)
    } else if room < EXTRA_BELOW_INTERVALS {
        (MIDDLE_ROOM_SIMILARITY, sure.min(MIDDLE_ROOM_PROMINENCE))
    } else {
        (WIDE_ROOM_SIMILARITY, WIDE_ROOM_PROMINENCE)
    }
}

/// The prominence above which a candidate that is `near_s` from the nearest beat is a beat by that alone.
fn sure_prominence(context: &Context<'_>, beat: usize, near_s: f64) -> f32 {
    let is_shown = context.all.marks.get(beat).is_none_or(|m| m.second_height >= MIN_ON_OTHER_LEADS);
    if near_s <= REFRACTORY_S || !is_shown {
        return SURE_PROMINENCE;
    }
    let calm = (context.place(beat).clearness - CALM_CLEARNESS).max(0.0);
    (SURE_PROMINENCE - CALM_SLOPE * calm).max(CALM_MIN_PROMINENCE)
}

/// Tells of a beat whether its shape, dissimilar to its neighbours, recurs nearby.
fn recurring(context: &Context<'_>, beats: &[usize], similarities: &[f32]) -> impl Fn(usize) -> bool {
    let dissimilar: Vec<usize> =
        (0..beats.len()).filter(|k| similarities[*k] < DISSIMILAR_BELOW).map(|k| beats[k]).collect();
    let recurs: Vec<bool> = (0..dissimilar.len())
        .into_par_iter()
        .map(|k| {
            let around = k.saturating_sub(RECURRENCE_REACH_BEATS)
                ..(k + RECURRENCE_REACH_BEATS + 1).min(dissimilar.len());
            let same_kind = around.filter(|o| {
                *o != k && similarity(context.all, dissimilar[*o], dissimilar[k]) >= RECURRENCE_SIMILARITY
            });
            same_kind.take(RECURRENCE_COUNT).count() == RECURRENCE_COUNT
        })
        .collect();
    move |beat| dissimilar.binary_search(&beat).is_ok_and(|s| recurs[s])
}
