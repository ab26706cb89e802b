//! A second pass over the beats, when all of their neighbours are known.
//!
//! It leaves out what only one of several leads shows, steps of the electrode, what follows a beat faster than a
//! ventricle can, and P waves that come before beat after beat.
//! It adds a low beat where one is missing.
//! Of two places that are too close for two beats, it keeps the one that is similar to the other beats.

use rayon::prelude::*;

use super::selection::{Context, Selection};
use super::template_match::{similarity, similarity_to_neighbours};
use crate::detect::calibration::second_pass as limit;
use crate::detect::calibration::selection::{
    EXTRA_BELOW_INTERVALS, MISSING_FROM_INTERVALS, MISSING_SIDE_INTERVALS, P_WAVE_S, SURE_PROMINENCE,
};
use crate::detect::calibration::work::{MIN_BEATS_PER_THREAD, MIN_DIVISOR};
use crate::detect::envelope::LeadMarks;

/// Corrects the selection.
pub fn second_pass(context: &Context<'_>, first: Selection) -> Selection {
    // P waves that were taken for beats hide one another the first time.
    let selection = context.without_non_beats(context.without_non_beats(first));
    let selection = context.with_missing_beats(selection);
    context.replace_by_more_similar(selection)
}

/// Whether the level changes as it does when an electrode moves.
fn is_electrode_step(marks: &LeadMarks) -> bool {
    let is_shown = marks.is_compared && marks.second_height >= limit::STEP_SHOWN_HEIGHT;
    let is_hardly_shown = marks.second_height < limit::HARDLY_SHOWN_HEIGHT;
    (marks.level_change > limit::STEP && !is_shown)
        || (marks.level_change > limit::SMALL_STEP && is_hardly_shown)
}

impl Context<'_> {
    fn without_non_beats(&self, selection: Selection) -> Selection {
        let beats = (0..selection.beats.len()).into_par_iter().with_min_len(MIN_BEATS_PER_THREAD);
        let keep: Vec<bool> = beats.map(|k| !self.is_non_beat(&selection, k)).collect();
        let mut out = Selection::default();
        for (k, _) in keep.iter().enumerate().filter(|(_, keep)| **keep) {
            out.push(selection.beats[k], selection.similarity[k]);
        }
        out
    }

    /// Whether the beat at position `k` is none.
    fn is_non_beat(&self, selection: &Selection, k: usize) -> bool {
        let (beat, similarity) = (selection.beats[k], selection.similarity[k]);
        let before_s =
            k.checked_sub(1).map_or(limit::NO_NEIGHBOUR_S, |b| self.seconds(selection.beats[b], beat));
        let after_s = selection.beats.get(k + 1).map_or(limit::NO_NEIGHBOUR_S, |b| self.seconds(beat, *b));
        if after_s > limit::P_WAVE_FROM_S && after_s < P_WAVE_S && self.is_p_wave(selection, k) {
            return true;
        }
        let marks = self.all.marks.get(beat).copied().unwrap_or_default();
        if similarity < limit::LARGE_STEP_SIMILARITY
            && marks.level_change > limit::LARGE_STEP
            && marks.second_height < limit::HARDLY_SHOWN_HEIGHT
        {
            return true;
        }
        if similarity >= limit::PROVEN_SIMILARITY {
            return false;
        }
        let usual_s = self.usual_interval(&selection.beats, k) / self.rate_hz;
        let is_extra = before_s + after_s < EXTRA_BELOW_INTERVALS * usual_s;
        let nearest = if before_s < after_s { k.checked_sub(1) } else { Some(k + 1) };
        let its_similarity = nearest.and_then(|n| selection.similarity.get(n)).copied().unwrap_or(1.0);
        let is_too_soon = before_s.min(after_s) < limit::TOO_SOON_S
            && self.prominence(beat) < SURE_PROMINENCE
            && similarity < its_similarity;
        let is_on_one_lead = marks.second_height < limit::ONE_LEAD_HEIGHT;
        (is_extra && (is_electrode_step(&marks) || is_on_one_lead || is_too_soon))
            || marks.second_height < 0.5 * limit::ONE_LEAD_HEIGHT
    }

    /// Whether the beat at `k` is the P wave of the next one: unlike it, not much higher, and before other beats too.
    fn is_p_wave(&self, selection: &Selection, k: usize) -> bool {
        let beats = &selection.beats;
        let (wave, beat) = (beats[k], beats[k + 1]);
        let height = self.place(wave).height / self.place(beat).height.max(MIN_DIVISOR);
        if height >= limit::HIGH_P_WAVE_HEIGHT || similarity(self.all, wave, beat) >= limit::P_WAVE_SIMILARITY
        {
            return false;
        }
        let offset = self.step(beat) - self.step(wave);
        let window = (k + 1).saturating_sub(limit::P_WAVE_REACH_BEATS)
            ..(k + 2 + limit::P_WAVE_REACH_BEATS).min(beats.len());
        let (mut asked, mut with_wave) = (0.0f32, 0.0);
        for b in window.filter(|b| *b != k + 1 && *b != k).map(|b| beats[b]) {
            // P waves that were taken for beats are not asked.
            if similarity(self.all, b, wave) < limit::SAME_P_WAVE
                || similarity(self.all, b, beat) >= limit::SAME_P_WAVE
            {
                asked += 1.0;
                with_wave += if self.has_wave(b, offset, wave) { 1.0 } else { 0.0 };
            }
        }
        let is_low = height < limit::LOW_P_WAVE_HEIGHT && with_wave >= limit::LOW_P_WAVE_OF * asked;
        let is_high = height < limit::HIGH_P_WAVE_HEIGHT && with_wave >= limit::HIGH_P_WAVE_OF * asked;
        asked >= limit::P_WAVE_MIN_BEATS && (is_low || is_high)
    }

    /// Whether a candidate like `wave` lies `offset` steps before `beat`.
    fn has_wave(&self, beat: usize, offset: i64, wave: usize) -> bool {
        let near = (limit::P_WAVE_PLACE_S * self.rate_hz).round() as i64;
        let step = self.step(beat) - offset;
        let from = self.all.places.partition_point(|c| c.step < step - near);
        (from..self.all.places.len())
            .take_while(|c| self.step(*c) <= step + near)
            .any(|c| c != wave && c != beat && similarity(self.all, c, wave) >= limit::SAME_P_WAVE)
    }

    /// Fills gaps with low beats that are similar to their neighbours.
    fn with_missing_beats(&self, selection: Selection) -> Selection {
        let beats = &selection.beats;
        let gaps = (0..beats.len()).into_par_iter().with_min_len(MIN_BEATS_PER_THREAD);
        let filled: Vec<Vec<(usize, f32)>> = gaps.map(|k| self.all_missing(beats, k)).collect();
        let mut out = Selection::default();
        for (k, filled) in filled.into_iter().enumerate() {
            out.push(beats[k], selection.similarity[k]);
            filled.into_iter().for_each(|(beat, similarity)| out.push(beat, similarity));
        }
        out
    }

    /// The beats missing between the beat at `k` and the next.
    fn all_missing(&self, beats: &[usize], k: usize) -> Vec<(usize, f32)> {
        let mut out = Vec::new();
        let Some(next) = beats.get(k + 1) else { return out };
        let usual_s = self.usual_interval(beats, k + 1) / self.rate_hz;
        if self.seconds(beats[k], *next) < limit::GAP_INTERVALS * usual_s {
            return out;
        }
        let mut from = beats[k];
        while let Some(found) = self.missing(beats, k + 1, (from, *next), usual_s) {
            out.push(found);
            from = found.0;
        }
        out
    }

    /// The first candidate between two that is a beat by its similarity and place, and its similarity.
    fn missing(
        &self,
        beats: &[usize],
        k: usize,
        (from, next): (usize, usize),
        usual_s: f64,
    ) -> Option<(usize, f32)> {
        let in_step_range = limit::IN_STEP_FROM_INTERVALS..limit::IN_STEP_TO_INTERVALS;
        (from + 1..next).find_map(|i| {
            let (before, after) = (self.seconds(from, i) / usual_s, self.seconds(i, next) / usual_s);
            let (clearness, prominence) = (self.place(i).clearness, self.prominence(i));
            let is_crowded = before < MISSING_SIDE_INTERVALS
                || after < MISSING_SIDE_INTERVALS
                || before + after < limit::GAP_INTERVALS;
            if is_crowded || clearness < limit::GAP_CLEARNESS || prominence < 0.0 {
                return None;
            }
            let similarity = similarity_to_neighbours(self.all, beats, k, i);
            let is_in_step = in_step_range.contains(&before)
                && in_step_range.contains(&after)
                && similarity > limit::IN_STEP_SIMILARITY
                && clearness > limit::IN_STEP_CLEARNESS;
            let is_prominent = before + after > MISSING_FROM_INTERVALS
                && similarity > limit::OUT_OF_STEP_SIMILARITY
                && prominence > limit::OUT_OF_STEP_PROMINENCE;
            (is_in_step || is_prominent).then_some((i, similarity))
        })
    }

    /// Of two candidates too close for two beats, one that is similar to the other beats takes the place of one that
    /// is not and is not much higher.
    fn replace_by_more_similar(&self, mut selection: Selection) -> Selection {
        for k in 0..selection.beats.len() {
            if selection.similarity[k] < limit::KEPT_SIMILARITY
                && let Some((beat, similarity)) = self.replacement(&selection, k)
            {
                (selection.beats[k], selection.similarity[k]) = (beat, similarity);
            }
        }
        selection
    }

    /// The most similar candidate that may replace the beat at `k`.
    fn replacement(&self, selection: &Selection, k: usize) -> Option<(usize, f32)> {
        let places = &self.all.places;
        let (beat, own) = (selection.beats[k], selection.similarity[k]);
        let is_apart = |i: usize, other: Option<&usize>| {
            other.is_none_or(|o| (self.step(*o) - self.step(i)).abs() >= self.refractory)
        };
        let is_free = |i: usize| {
            is_apart(i, k.checked_sub(1).and_then(|b| selection.beats.get(b)))
                && is_apart(i, selection.beats.get(k + 1))
        };
        let min_height = limit::REPLACEMENT_HEIGHT * places[beat].height;
        let from = places.partition_point(|c| c.step <= places[beat].step - self.refractory);
        (from..places.len())
            .take_while(|i| self.step(*i) < self.step(beat) + self.refractory)
            .filter(|i| *i != beat && places[*i].height > min_height && is_free(*i))
            .map(|i| (i, similarity_to_neighbours(self.all, &selection.beats, k, i)))
            .filter(|(_, new)| *new >= limit::REPLACEMENT_SIMILARITY && *new >= own + limit::REPLACEMENT_GAIN)
            .max_by(|a, b| a.1.total_cmp(&b.1))
    }
}
