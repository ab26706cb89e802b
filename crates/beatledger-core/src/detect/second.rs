//! A second look at the beats, when all of their neighbours are known.
//!
//! Out goes what only one of several leads shows, a step of the electrode, what follows a beat faster than a
//! ventricle can, and P waves that come before beat after beat. In comes a small beat where one is missing. Of
//! two places that are too close, the one that looks like the other beats stays.

use rayon::prelude::*;

use super::alike::{likeness, likeness_at};
use super::candidates::Candidates;
use super::choose::{AT_LEAST, Chosen, share, usual_interval};
use super::marks::Marks;

/// Less alike to its neighbours than this, a beat needs other proof.
const UNLIKE: f32 = 0.7;
/// Below this envelope on every other lead that shows beats, in usual beats, only one lead shows it: the heart's
/// field reaches all leads, an electrode's noise one.
const LONE: f32 = 0.1;
/// A change of level by more than this many usual beats (envelopes, a third to a half of a beat's height) is a
/// step of the electrode: after a beat the level comes back to near where it was.
const STEP: f32 = 5.0;
/// Unless another lead shows at least this share of a usual beat there.
const SHOWN: f32 = 0.5;
/// Below this on every other lead, a smaller step is enough,
const HARDLY: f32 = 0.25;
/// from this many usual beats on.
const SMALL_STEP: f32 = 2.5;
/// A step beyond this that other leads hardly show is none of the heart's, whatever comes before and after,
const LARGE_STEP: f32 = 8.0;
/// unless it is at least this alike to the beats around.
const QUITE_ALIKE: f32 = 0.8;
/// With the intervals before and after together below this many usual ones, no beat is missing here.
const EXTRA: f64 = 1.65;
/// No ventricle beats again within this, s, but in a run, whose beats are alike: refractory periods of human
/// ventricles are 0.2 to 0.29 s (common practice).
const TOO_SOON_S: f64 = 0.26;
/// A beat this far up from the background is one although it comes soon.
const SURE_SHARE: f32 = 0.8;
/// A P wave lies this long before its beat, s: a PR interval from 0.12 s on, less half of the QRS complex.
const P_BEFORE_S: (f64, f64) = (0.1, 0.28);
/// A P wave is less alike to its beat than this.
const P_UNLIKE: f32 = 0.6;
/// Height of a P wave against its beat at most, and share of the beats near by that have a like wave at the same
/// place at least; the higher it is the more often it has to come again.
const P_WAVES: [(f32, f32); 2] = [(0.85, 0.15), (1.05, 0.25)];
/// Beats to either side that are asked whether they have the same wave before them.
const NEAR: usize = 6;
/// It lies within this of the same place, s.
const SAME_PLACE_S: f64 = 0.05;
/// And is at least this alike.
const SAME_KIND: f32 = 0.8;
/// A gap of more than this many usual intervals may hide a beat.
const GAP: f64 = 1.5;

/// Looks again; `refractory` in steps, `rate_hz` is that of the steps.
pub(super) fn second_look(all: &Candidates, chosen: Chosen, refractory: i64, rate_hz: f64) -> Chosen {
    let look = Look { all, rate_hz, refractory };
    // P waves that were taken for beats hide one another the first time.
    let chosen = look.without_others(look.without_others(chosen));
    let chosen = look.with_missing(chosen);
    look.with_liker(chosen)
}

/// Whether the level changes as an electrode's does.
fn is_step(marks: &Marks) -> bool {
    let is_shown = marks.asked && marks.second >= SHOWN;
    (marks.step > STEP && !is_shown) || (marks.step > SMALL_STEP && marks.second < HARDLY)
}

struct Look<'a> {
    all: &'a Candidates,
    rate_hz: f64,
    refractory: i64,
}

impl Look<'_> {
    fn step(&self, i: usize) -> i64 {
        self.all.places[i].step
    }

    fn seconds(&self, from: usize, to: usize) -> f64 {
        (self.step(to) - self.step(from)) as f64 / self.rate_hz
    }

    fn without_others(&self, chosen: Chosen) -> Chosen {
        let beats = (0..chosen.beats.len()).into_par_iter().with_min_len(AT_LEAST);
        let keep: Vec<bool> = beats.map(|k| !self.is_other(&chosen, k)).collect();
        let mut keeps = keep.iter();
        let mut out = Chosen { beats: Vec::new(), likeness: Vec::new() };
        for (beat, alike) in chosen.beats.iter().zip(&chosen.likeness) {
            if keeps.next() == Some(&true) {
                out.beats.push(*beat);
                out.likeness.push(*alike);
            }
        }
        out
    }

    /// Whether the beat at position `k` is none.
    fn is_other(&self, chosen: &Chosen, k: usize) -> bool {
        let (beat, alike) = (chosen.beats[k], chosen.likeness[k]);
        let before_s = k.checked_sub(1).map_or(2.0, |b| self.seconds(chosen.beats[b], beat));
        let after_s = chosen.beats.get(k + 1).map_or(2.0, |b| self.seconds(beat, *b));
        if after_s > P_BEFORE_S.0 && after_s < P_BEFORE_S.1 && self.is_p_wave(chosen, k) {
            return true;
        }
        let marks = self.all.marks.get(beat).copied().unwrap_or_default();
        if alike < QUITE_ALIKE && marks.step > LARGE_STEP && marks.second < HARDLY {
            return true;
        }
        if alike >= UNLIKE {
            return false;
        }
        let usual_s = usual_interval(&self.all.places, &chosen.beats, k, self.rate_hz) / self.rate_hz;
        let is_extra = before_s + after_s < EXTRA * usual_s;
        let near = if before_s < after_s { k.checked_sub(1) } else { Some(k + 1) };
        let near_alike = near.and_then(|n| chosen.likeness.get(n)).copied().unwrap_or(1.0);
        let is_soon = before_s.min(after_s) < TOO_SOON_S
            && share(&self.all.places[beat]) < SURE_SHARE
            && alike < near_alike;
        (is_extra && (is_step(&marks) || marks.second < LONE || is_soon)) || marks.second < 0.5 * LONE
    }

    /// Whether the beat at `k` is the P wave of the next one: unlike it, not much higher, and other beats have it.
    fn is_p_wave(&self, chosen: &Chosen, k: usize) -> bool {
        let (wave, beat) = (chosen.beats[k], chosen.beats[k + 1]);
        let height = self.all.places[wave].height / self.all.places[beat].height.max(1e-6);
        if height >= P_WAVES[1].0 || likeness(self.all, wave, beat) >= P_UNLIKE {
            return false;
        }
        let offset = self.step(beat) - self.step(wave);
        let window = (k + 1).saturating_sub(NEAR)..(k + 2 + NEAR).min(chosen.beats.len());
        let (mut seen, mut again) = (0.0f32, 0.0);
        for b in window.filter(|b| *b != k + 1 && *b != k).map(|b| chosen.beats[b]) {
            // P waves that were taken for beats are no beats to ask.
            if likeness(self.all, b, wave) < SAME_KIND || likeness(self.all, b, beat) >= SAME_KIND {
                seen += 1.0;
                again += if self.has_wave(b, offset, wave) { 1.0 } else { 0.0 };
            }
        }
        seen >= 3.0 && P_WAVES.iter().any(|(most, least)| height < *most && again >= *least * seen)
    }

    /// Whether a candidate like `wave` lies `offset` steps before `beat`.
    fn has_wave(&self, beat: usize, offset: i64, wave: usize) -> bool {
        let near = (SAME_PLACE_S * self.rate_hz).round() as i64;
        let step = self.step(beat) - offset;
        let from = self.all.places.partition_point(|c| c.step < step - near);
        (from..self.all.places.len())
            .take_while(|c| self.step(*c) <= step + near)
            .any(|c| c != wave && c != beat && likeness(self.all, c, wave) >= SAME_KIND)
    }

    /// Fills gaps with small beats that look like their neighbours.
    fn with_missing(&self, chosen: Chosen) -> Chosen {
        let beats = &chosen.beats;
        let gaps = (0..beats.len()).into_par_iter().with_min_len(AT_LEAST);
        let filled: Vec<Vec<(usize, f32)>> = gaps.map(|k| self.all_missing(beats, k)).collect();
        let mut out = Chosen { beats: Vec::with_capacity(beats.len()), likeness: Vec::new() };
        for (k, filled) in filled.into_iter().enumerate() {
            out.beats.push(beats[k]);
            out.likeness.push(chosen.likeness[k]);
            out.beats.extend(filled.iter().map(|f| f.0));
            out.likeness.extend(filled.iter().map(|f| f.1));
        }
        out
    }

    /// What is missing between the beat at `k` and the next.
    fn all_missing(&self, beats: &[usize], k: usize) -> Vec<(usize, f32)> {
        let mut out = Vec::new();
        let Some(next) = beats.get(k + 1) else { return out };
        let usual_s = usual_interval(&self.all.places, beats, k + 1, self.rate_hz) / self.rate_hz;
        if self.seconds(beats[k], *next) < GAP * usual_s {
            return out;
        }
        let mut from = beats[k];
        while let Some(found) = self.missing(beats, k + 1, from, *next, usual_s) {
            out.push(found);
            from = found.0;
        }
        out
    }

    /// The first candidate between two that is a beat by its looks and its place, and how alike it is.
    fn missing(
        &self,
        beats: &[usize],
        k: usize,
        from: usize,
        next: usize,
        usual_s: f64,
    ) -> Option<(usize, f32)> {
        (from + 1..next).find_map(|i| {
            let (before, after) = (self.seconds(from, i) / usual_s, self.seconds(i, next) / usual_s);
            let (place, share) = (&self.all.places[i], share(&self.all.places[i]));
            if before < 0.4 || after < 0.4 || before + after < GAP || place.clearness < 0.6 || share < 0.0 {
                return None;
            }
            let alike = likeness_at(self.all, beats, k, i);
            // In step with its neighbours a beat may be as small as the noise; out of step it has to stand out.
            let in_step = (0.75..1.3).contains(&before) && (0.75..1.3).contains(&after);
            let small = in_step && alike > 0.85 && place.clearness > 0.7;
            let clear = before + after > 1.6 && alike > 0.9 && share > 0.04;
            (small || clear).then_some((i, alike))
        })
    }

    /// Of two candidates that are too close for two beats, one that looks like the other beats takes the place of
    /// one that does not and is not much higher.
    fn with_liker(&self, mut chosen: Chosen) -> Chosen {
        let places = &self.all.places;
        for k in 0..chosen.beats.len() {
            let (beat, alike) = (chosen.beats[k], chosen.likeness[k]);
            if alike >= 0.88 {
                continue;
            }
            let is_free = |i: usize| {
                let apart = |o: Option<&usize>| {
                    o.is_none_or(|o| (self.step(*o) - self.step(i)).abs() >= self.refractory)
                };
                apart(k.checked_sub(1).and_then(|b| chosen.beats.get(b))) && apart(chosen.beats.get(k + 1))
            };
            let from = places.partition_point(|c| c.step <= places[beat].step - self.refractory);
            let liker = (from..places.len())
                .take_while(|i| self.step(*i) < self.step(beat) + self.refractory)
                .filter(|i| *i != beat && places[*i].height > 0.6 * places[beat].height && is_free(*i))
                .map(|i| (i, likeness_at(self.all, &chosen.beats, k, i)))
                .filter(|(_, like)| *like >= 0.9 && *like >= alike + 0.08)
                .max_by(|a, b| a.1.total_cmp(&b.1));
            if let Some((i, like)) = liker {
                (chosen.beats[k], chosen.likeness[k]) = (i, like);
            }
        }
        chosen
    }
}
