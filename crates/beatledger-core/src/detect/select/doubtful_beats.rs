//! Beats among the doubtful candidates between clear beats, by shape and timing.

use rayon::prelude::*;

use super::selection::Context;
use super::template_match::similarity_to_neighbours;
use crate::detect::calibration::doubtful_beats::{
    HIGH_SIMILARITY, HIGH_SIMILARITY_PROMINENCE, MIN_PROMINENCE, MIN_SHARPNESS, MISSING_PROMINENCE,
    MISSING_SIMILARITY, OTHER_PROMINENCE, OTHER_SIMILARITY, P_WAVE_S, SOON_PROMINENCE, SOON_SIMILARITY,
};
use crate::detect::calibration::selection::{
    MISSING_FROM_INTERVALS, MISSING_SIDE_INTERVALS, P_WAVE_MAX_HEIGHT, T_WAVE_S,
};
use crate::detect::calibration::work::MIN_BEATS_PER_THREAD;

/// The clear beats and the beats between them.
pub fn with_doubtful_beats(context: &Context<'_>, clear: &[usize]) -> Vec<usize> {
    let added: Vec<Vec<usize>> = (0..clear.len() + 1)
        .into_par_iter()
        .with_min_len(MIN_BEATS_PER_THREAD)
        .map(|k| beats_before(context, clear, k))
        .collect();
    let clear = clear.iter().map(Some).chain([None]);
    added.into_iter().zip(clear).flat_map(|(added, after)| added.into_iter().chain(after.copied())).collect()
}

/// Beats among the doubtful candidates between the clear beats at `k - 1` and `k`, sorted.
fn beats_before(context: &Context<'_>, clear: &[usize], k: usize) -> Vec<usize> {
    let places = &context.all.places;
    let before = k.checked_sub(1).map(|b| clear[b]);
    let after = clear.get(k).copied();
    let between = before.map_or(0, |b| b + 1)..after.unwrap_or(places.len());
    let mut doubtful: Vec<usize> = between.filter(|i| context.prominence(*i) >= MIN_PROMINENCE).collect();
    let mut added: Vec<usize> = Vec::new();
    if doubtful.is_empty() {
        return added;
    }
    let usual = context.usual_interval(clear, k);
    doubtful.sort_by(|a, b| places[*b].height.total_cmp(&places[*a].height).then(a.cmp(b)));
    for i in doubtful {
        let step = places[i].step;
        let taken = added.iter().chain(&before).chain(&after);
        if taken.clone().any(|t| (places[*t].step - step).abs() < context.refractory) {
            continue;
        }
        let last = taken.clone().map(|t| places[*t].step).filter(|t| *t < step).max();
        let next = taken.filter(|t| places[**t].step > step).min_by_key(|t| places[**t].step);
        let gap_before = last.map_or(f64::INFINITY, |t| (step - t) as f64);
        let gap_after = next.map_or(f64::INFINITY, |t| (places[*t].step - step) as f64);
        let is_low = next.is_some_and(|t| places[i].height < P_WAVE_MAX_HEIGHT * places[*t].height);
        if is_low && gap_after < P_WAVE_S * context.rate_hz {
            continue;
        }
        let gap = Gap {
            before: gap_before / usual,
            after: gap_after / usual,
            before_s: gap_before / context.rate_hz,
        };
        if is_beat(context, clear, k, i, &gap) {
            added.push(i);
        }
    }
    added.sort_unstable();
    added
}

/// The distances of a candidate from its neighbours.
struct Gap {
    /// In usual intervals.
    before: f64,
    /// In usual intervals.
    after: f64,
    before_s: f64,
}

/// Whether a doubtful candidate before the clear beat at `k` is a beat.
fn is_beat(context: &Context<'_>, clear: &[usize], k: usize, i: usize, gap: &Gap) -> bool {
    let place = context.place(i);
    if place.sharpness < MIN_SHARPNESS * place.height {
        return false;
    }
    let prominence = context.prominence(i);
    let similarity = similarity_to_neighbours(context.all, clear, k.min(clear.len().saturating_sub(1)), i);
    let is_missing = gap.before + gap.after > MISSING_FROM_INTERVALS
        && gap.before > MISSING_SIDE_INTERVALS
        && gap.after > MISSING_SIDE_INTERVALS;
    let (min_similarity, min_prominence) = if gap.before_s < T_WAVE_S {
        (SOON_SIMILARITY, SOON_PROMINENCE)
    } else if is_missing {
        (MISSING_SIMILARITY, MISSING_PROMINENCE)
    } else {
        (OTHER_SIMILARITY, OTHER_PROMINENCE)
    };
    let is_twin =
        similarity >= HIGH_SIMILARITY && prominence >= HIGH_SIMILARITY_PROMINENCE && gap.before_s >= T_WAVE_S;
    (similarity >= min_similarity && prominence >= min_prominence) || is_twin
}
