//! Candidates to beats: clear ones first, then doubtful ones by shape and timing.

use rayon::prelude::*;

use super::alike::{ALIKE, likeness, likeness_at};
use super::candidates::{Candidate, Candidates};
use super::extras::without_extras;
use super::second::second_look;
use crate::statistics::upper_median;

/// A candidate this far up from the background to a beat is clear.
const CLEAR_SHARE: f32 = 0.35;
/// A candidate below this is never a beat.
const DOUBTFUL_SHARE: f32 = 0.12;
/// Within this of a larger beat a candidate may be its T wave, s.
const T_WAVE_S: f64 = 0.36;
/// A blunt T wave may come as late as this, s.
const LATE_T_WAVE_S: f64 = 0.45;
/// Within this before a larger beat a candidate may be its P wave, s.
const P_WAVE_S: f64 = 0.28;
/// A P wave is at most this share of its QRS complex in the band.
const P_WAVE_SHARE: f32 = 0.6;
/// A T wave is at most this share of its QRS complex in the band.
const T_WAVE_SHARE: f32 = 0.5;
/// The T wave of a wide beat may be higher, up to this share of it,
const WIDE_T_WAVE_SHARE: f32 = 0.75;
/// and is less sharp than this share of the beat.
const SOFTER: f32 = 0.6;
/// A doubtful candidate this short before a beat is its P wave when it is as low as one, s: PR intervals of up to
/// about 0.25 s, less half of the QRS complex.
const DOUBTFUL_P_S: f64 = 0.25;
/// A doubtful candidate whose bends are lower than this share of its height is blunt, as T waves are; in a usual
/// beat both are the same.
const BLUNT: f32 = 0.8;
/// Beats to either side whose T waves tell what follows a beat.
const FOLLOWED: usize = 8;
/// Fewer of one shape tell nothing.
const LEAST_FOLLOWED: usize = 4;
/// A candidate this many times higher than what follows other beats is no T wave.
const OUTGROWN: f32 = 1.8;

/// Chosen candidates, as sorted indices, and how alike each is to its neighbours (-1 to 1).
pub(super) struct Chosen {
    /// Index of each beat in the candidates.
    pub beats: Vec<usize>,
    /// Likeness of each beat to those around it.
    pub likeness: Vec<f32>,
}

/// Chooses the beats. `rate_hz` is that of the steps.
pub(super) fn choose(all: &Candidates, rate_hz: f64, refractory_s: f64) -> Chosen {
    let refractory = (refractory_s * rate_hz).round() as i64;
    let clear = clear_ones(&all.places, refractory, rate_hz);
    let clear = with_early(all, &clear, refractory, rate_hz);
    let beats = add_doubtful(all, &clear, refractory, rate_hz);
    let (beats, likeness) = without_extras(all, &beats, rate_hz);
    second_look(all, Chosen { beats, likeness }, refractory, rate_hz)
}

pub(super) fn share(c: &Candidate) -> f32 {
    (c.height - c.rest) / (1.0 - c.rest).max(0.05)
}

fn clear_ones(places: &[Candidate], refractory: i64, rate_hz: f64) -> Vec<usize> {
    let p_wave = (P_WAVE_S * rate_hz).round() as i64;
    let mut kept: Vec<usize> = Vec::new();
    for (i, c) in places.iter().enumerate().filter(|(_, c)| share(c) >= CLEAR_SHARE) {
        // A larger one takes the place of smaller ones too close before it, P waves among them.
        while let Some(last) = kept.last().map(|k| &places[*k]) {
            let after = c.step - last.step;
            let is_p = after < p_wave && last.height < P_WAVE_SHARE * c.height;
            if !is_p && (after >= refractory || last.height >= c.height) {
                break;
            }
            kept.pop();
        }
        let is_shadow = kept
            .last()
            .map(|k| &places[*k])
            .is_some_and(|last| c.step - last.step < refractory || is_t_wave(c, last, rate_hz));
        if !is_shadow {
            kept.push(i);
        }
    }
    kept
}

/// Whether `c` looks like the T wave of the larger beat `last`: soon after it, and small, blunt or much less sharp.
fn is_t_wave(c: &Candidate, last: &Candidate, rate_hz: f64) -> bool {
    let after_s = (c.step - last.step) as f64 / rate_hz;
    let is_small = after_s < T_WAVE_S && c.height < T_WAVE_SHARE * last.height;
    let is_blunt = after_s < LATE_T_WAVE_S && c.height < 0.7 * last.height && c.sharpness < 0.55 * c.height;
    let is_softer = after_s < T_WAVE_S
        && c.height < WIDE_T_WAVE_SHARE * last.height
        && c.sharpness < SOFTER * last.sharpness;
    is_small || is_blunt || is_softer
}

/// Puts back what was taken for a T wave but is much larger than what follows other beats of the same shape: a
/// T wave follows every beat, an early wide beat follows one.
fn with_early(all: &Candidates, clear: &[usize], refractory: i64, rate_hz: f64) -> Vec<usize> {
    let places = &all.places;
    let reach = (LATE_T_WAVE_S * rate_hz).ceil() as i64;
    // The largest that follows a beat where a T wave may be.
    let follows = |k: usize| {
        let next = clear.get(k + 1).map_or(i64::MAX, |n| places[*n].step);
        let last = places[clear[k]].step;
        let here = clear[k] + 1..clear.get(k + 1).copied().unwrap_or(places.len());
        here.take_while(|i| places[*i].step - last < reach)
            .filter(|i| places[*i].step - last >= refractory && next - places[*i].step >= refractory)
            .max_by(|a, b| places[*a].height.total_cmp(&places[*b].height).then(b.cmp(a)))
    };
    let outgrown = |k: usize| {
        let early = follows(k).filter(|i| share(&places[*i]) >= CLEAR_SHARE)?;
        let near = (1..=FOLLOWED).flat_map(|j| [k.checked_sub(j), Some(k + j).filter(|n| *n < clear.len())]);
        let others: Vec<f32> = near
            .flatten()
            .filter(|o| likeness(all, clear[*o], clear[k]) >= ALIKE)
            .map(|o| follows(o).map_or(0.0, |i| places[i].height))
            .collect();
        let larger = others.iter().filter(|h| places[early].height > OUTGROWN * **h).count();
        (others.len() >= LEAST_FOLLOWED && 4 * larger >= 3 * others.len()).then_some(early)
    };
    let early: Vec<Option<usize>> =
        (0..clear.len()).into_par_iter().with_min_len(AT_LEAST).map(outgrown).collect();
    clear.iter().zip(early).flat_map(|(beat, early)| [Some(*beat), early]).flatten().collect()
}

/// Beats that one thread looks at, at least.
pub(super) const AT_LEAST: usize = 256;

/// The clear beats and what is a beat between them.
fn add_doubtful(all: &Candidates, clear: &[usize], refractory: i64, rate_hz: f64) -> Vec<usize> {
    let between = |k: usize| doubtful_before(all, clear, k, refractory, rate_hz);
    let added: Vec<Vec<usize>> =
        (0..clear.len() + 1).into_par_iter().with_min_len(AT_LEAST).map(between).collect();
    let clear = clear.iter().map(Some).chain([None]);
    added.into_iter().zip(clear).flat_map(|(added, after)| added.into_iter().chain(after.copied())).collect()
}

/// Beats among the doubtful candidates between the clear beats at `k - 1` and `k`, sorted.
fn doubtful_before(all: &Candidates, clear: &[usize], k: usize, refractory: i64, rate_hz: f64) -> Vec<usize> {
    let places = &all.places;
    let before = k.checked_sub(1).map(|b| clear[b]);
    let after = clear.get(k).copied();
    let between = before.map_or(0, |b| b + 1)..after.unwrap_or(places.len());
    let mut doubtful: Vec<usize> = between.filter(|i| share(&places[*i]) >= DOUBTFUL_SHARE).collect();
    let mut added: Vec<usize> = Vec::new();
    if doubtful.is_empty() {
        return added;
    }
    let usual = usual_interval(places, clear, k, rate_hz);
    doubtful.sort_by(|a, b| places[*b].height.total_cmp(&places[*a].height).then(a.cmp(b)));
    for i in doubtful {
        let step = places[i].step;
        let taken = added.iter().chain(&before).chain(&after);
        if taken.clone().any(|t| (places[*t].step - step).abs() < refractory) {
            continue;
        }
        let last = taken.clone().map(|t| places[*t].step).filter(|t| *t < step).max();
        let next = taken.filter(|t| places[**t].step > step).min_by_key(|t| places[**t].step);
        let gap_before = last.map_or(f64::INFINITY, |t| (step - t) as f64);
        let gap_after = next.map_or(f64::INFINITY, |t| (places[*t].step - step) as f64);
        let is_low = next.is_some_and(|t| places[i].height < P_WAVE_SHARE * places[*t].height);
        if is_low && gap_after < DOUBTFUL_P_S * rate_hz {
            continue;
        }
        if is_beat(all, clear, k, i, gap_before / usual, gap_after / usual, gap_before / rate_hz) {
            added.push(i);
        }
    }
    added.sort_unstable();
    added
}

/// Whether a doubtful candidate is a beat; gaps are in usual intervals.
fn is_beat(
    all: &Candidates,
    clear: &[usize],
    k: usize,
    i: usize,
    before: f64,
    after: f64,
    before_s: f64,
) -> bool {
    if all.places[i].sharpness < BLUNT * all.places[i].height {
        return false;
    }
    let share = share(&all.places[i]);
    let like = likeness_at(all, clear, k.min(clear.len().saturating_sub(1)), i);
    let (needed_like, needed_share) = if before_s < T_WAVE_S {
        (0.9, 0.3)
    } else if before + after > 1.6 && before > 0.4 && after > 0.4 {
        // A beat is missing here by timing.
        (0.5, 0.16)
    } else {
        (0.8, 0.2)
    };
    (like >= needed_like && share >= needed_share) || (like >= 0.92 && share >= 0.14 && before_s >= T_WAVE_S)
}

/// Median interval of the clear beats around position `k`, steps.
pub(super) fn usual_interval(places: &[Candidate], clear: &[usize], k: usize, rate_hz: f64) -> f64 {
    let around = k.saturating_sub(6)..(k + 6).min(clear.len());
    let mut gaps: Vec<i64> =
        clear[around].windows(2).map(|w| places[w[1]].step - places[w[0]].step).collect();
    upper_median(&mut gaps).map_or(0.9 * rate_hz, |gap| (gap as f64).clamp(0.25 * rate_hz, 2.0 * rate_hz))
}
