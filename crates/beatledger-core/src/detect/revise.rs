//! Quality in the light of the beats: disorder is unreadable, and a lead without beats is not trusted.

use super::candidates::Candidates;
use super::stir::stirred;
use crate::condition::quality::{seconds_in, unreadable_spans};
use crate::model::{Quality, Recording, SecondQuality, Span};
use crate::statistics::{quantile, upper_median};

/// Half of the stretch that a second is judged by, s.
const AROUND_S: i64 = 5;
/// A lead on which beats stand out less than this is noisy.
const UNCLEAR: f32 = 0.45;
/// How clearly beats stand out plus how alike they are, 2 at best: below this, beats in disorder on leads that
/// move more than usual are noise.
const FAIR: f32 = 1.6;
/// Below this, beats in disorder are noise even where the leads move no more than usual.
const POOR: f32 = 1.1;
/// A lead that stirs less than this, against its usual stir, does not move: beats in disorder are the heart's own.
const STILL: f32 = 1.4;
/// Seconds this much larger than usual, peak to peak on every lead, are moved.
const GROWN: f32 = 1.4;
/// A second beside disorder that is still this much larger than usual belongs to it.
const STILL_GROWN: f32 = 1.2;
/// Imitated beats: the leads move by more than this on the whole,
const IMITATED_GROWN: f32 = 1.3;
/// by more than this nearly all the time,
const LEAST_GROWN: f32 = 1.1;
/// more than this share of the beats is unlike its neighbours,
const LEAST_STRANGE: f32 = 0.12;
/// and the median change from one interval to the next is more than this share of them; a run has less.
const LEAST_CHANGE: f64 = 0.15;
/// A rhythm whose intervals usually spread by more than this is irregular by itself (sinus rhythm has about 0.05,
/// atrial fibrillation 0.25); there irregular intervals prove no noise,
const IRREGULAR: f64 = 0.15;
/// and noise is called only where this share of the beats is strange as well.
const STRANGE_IN_IRREGULAR: f32 = 0.4;
/// However little the leads move: more than this share of strange beats,
const MIXED_STRANGE: f32 = 0.4;
/// with beats that stand out by less than this on every lead,
const MIXED_CLEAR: f32 = 0.6;
/// for this long, s, are a mixture of beats and noise that nobody could count: a dozen beats, half of them wrong.
const MIXED_LEAST_S: usize = 12;
/// Beats less alike to their neighbours than this are strange.
const STRANGE: f32 = 0.9;
/// Beside disorder, an interval that differs from the one before by more than this share is out of step.
const OUT_OF_STEP: f64 = 0.2;
/// How far disorder may grow to either side, s.
const WIDEN_S: usize = 8;
/// Spread of the intervals (standard deviation by mean) from which they are in disorder; atrial fibrillation
/// has about 0.25.
const DISORDER: f64 = 0.28;
/// With more beats a minute than this a stretch may be a ventricular tachyarrhythmia, which is left to a reader.
const FAST_BPM: f64 = 140.0;
/// With more than this it may be one even where the leads move more than usual.
const VERY_FAST_BPM: f64 = 200.0;
/// How near, s.
const NEAR_FAST_S: usize = 12;
/// No heart beats faster than this.
const TOO_FAST_BPM: f64 = 260.0;
/// How far beyond the last moved second, s: beats out of step there may be the heart's own.
const BESIDE_S: usize = 2;
/// Disorder shorter than this is left alone, s.
const LEAST_S: usize = 4;
/// A lead on which beats stand out less than this shows none.
const NO_BEATS: f32 = 0.1;
/// Beats stand out more than this on a lead that proves that there are some.
const BEATS: f32 = 0.6;

/// The beats as far as they are known here: middle (sample) and likeness to neighbours, sorted.
pub(super) struct Found<'a> {
    /// Middles of the complexes, samples.
    pub middles: &'a [i64],
    /// Likeness of each to its neighbours.
    pub likeness: &'a [f32],
}

/// Quality with kinds and scores lowered where the beats speak against them.
pub(super) fn revise(
    recording: &Recording,
    quality: &Quality,
    all: &Candidates,
    found: &Found<'_>,
) -> Quality {
    let mut revised = quality.clone();
    let seconds = seconds_in(recording);
    let is_disorder = disorder(recording, quality, all, found, seconds);
    for s in 0..seconds {
        let clear = |l: usize| all.clear.get(l).and_then(|c| c.get(s)).copied().unwrap_or(0.0);
        let clearest = (0..revised.leads.len()).map(clear).fold(0.0, f32::max);
        for (l, lead) in revised.leads.iter_mut().enumerate() {
            let (Some(kind), Some(score)) = (lead.kind.get_mut(s), lead.score.get_mut(s)) else { continue };
            if !kind.is_readable() {
                continue;
            }
            if is_disorder[s] || (clear(l) < NO_BEATS && clearest > BEATS) {
                *kind = SecondQuality::Unreadable;
            } else if clear(l) < UNCLEAR {
                *kind = SecondQuality::Noisy;
            }
            let most = if *kind == SecondQuality::Unreadable { 16.0 } else { 255.0 };
            *score = (f32::from(*score) * (0.2 + 0.8 * clear(l))).min(most) as u8;
        }
    }
    revised.unreadable = unreadable_spans(recording, &revised.leads);
    revised
}

/// Seconds in which beats are found but cannot be told from noise, in stretches of some seconds.
fn disorder(
    recording: &Recording,
    quality: &Quality,
    all: &Candidates,
    found: &Found<'_>,
    seconds: usize,
) -> Vec<bool> {
    let around = recording.rate.samples_from_seconds(AROUND_S as f64);
    let window = |s: usize| {
        let middle = recording.rate.samples_from_seconds(s as f64 + 0.5);
        let from = found.middles.partition_point(|m| *m < middle - around);
        from..found.middles.partition_point(|m| *m < middle + around)
    };
    let bpm: Vec<f64> = (0..seconds).map(|s| 60.0 * window(s).len() as f64 / (2 * AROUND_S) as f64).collect();
    let growth = growth(all, seconds);
    let stirred = stirred(all, quality, seconds);
    let usual_spread = usual_spread(&growth, window, found.middles);
    let least_strange = if usual_spread > IRREGULAR { STRANGE_IN_IRREGULAR } else { LEAST_STRANGE };
    let judged: Vec<(bool, bool)> = (0..seconds)
        .map(|s| {
            let beats = window(s);
            let near = s.saturating_sub(2)..(s + 3).min(seconds);
            let clear = near.clone().map(|k| clearest(all, k)).sum::<f32>() / near.len() as f32;
            let wide = s.saturating_sub(NEAR_FAST_S)..(s + NEAR_FAST_S + 1).min(seconds);
            let count = beats.len().max(1) as f32;
            let likeness = &found.likeness[beats.clone()];
            let fair = clear + likeness.iter().sum::<f32>() / count;
            let strange = likeness.iter().filter(|l| **l < STRANGE).count() as f32 / count;
            let middles = &found.middles[beats.clone()];
            let (grown, least_grown) = grown_around(&growth, s);
            let top_bpm = bpm[wide].iter().copied().fold(0.0, f64::max);
            let changes = change(middles) > LEAST_CHANGE;
            // Noise may look like beats for a while; that the leads keep moving and no interval is like the one
            // before it tells it from runs.
            let imitates = grown > IMITATED_GROWN
                && least_grown > LEAST_GROWN
                && strange > least_strange
                && fair < FAIR + 0.1 + 0.5 * (grown - GROWN)
                && changes;
            let is_odd = usual_spread <= IRREGULAR || strange > least_strange;
            let moves = (grown > GROWN && fair < FAIR && is_odd) || imitates;
            let in_disorder = beats.len() >= 4 && spread(middles) > DISORDER;
            let is_noise =
                in_disorder && ((moves && top_bpm < VERY_FAST_BPM) || (fair < POOR && top_bpm < FAST_BPM));
            let is_mixed = in_disorder
                && strange > MIXED_STRANGE
                && clear < MIXED_CLEAR
                && changes
                && top_bpm < FAST_BPM;
            let is_still = stirred[s] < STILL;
            (
                is_noise && !is_still || (beats.len() >= 4 && bpm[s] > TOO_FAST_BPM && clear < 0.5),
                is_mixed && !is_still,
            )
        })
        .collect();
    let mut marked: Vec<bool> = judged.iter().map(|j| j.0).collect();
    let mut mixed: Vec<bool> = judged.iter().map(|j| j.1).collect();
    keep_runs(&mut mixed, MIXED_LEAST_S);
    keep_runs(&mut marked, LEAST_S);
    marked.iter_mut().zip(&mixed).for_each(|(m, x)| *m |= x);
    widen(&mut marked, &calm_seconds(recording, found, &growth, &stirred), &growth);
    marked
}

/// Spread of the intervals where the leads move no more than usual, in the middle of the day: what the rhythm
/// itself has.
fn usual_spread(growth: &[f32], window: impl Fn(usize) -> std::ops::Range<usize>, middles: &[i64]) -> f64 {
    let calm = (0..growth.len()).step_by(5).filter(|s| growth[*s] <= STILL_GROWN);
    let spreads = calm.map(window).filter(|w| w.len() >= 4).map(|w| spread(&middles[w]) as f32);
    f64::from(quantile(spreads, 0.5).unwrap_or(0.0))
}

/// Mean and lower quartile of the growth in the seven seconds around `s`.
fn grown_around(growth: &[f32], s: usize) -> (f32, f32) {
    let near = &growth[s.saturating_sub(3)..(s + 4).min(growth.len())];
    (near.iter().sum::<f32>() / 7.0, quantile(near.iter().copied(), 0.2).unwrap_or(0.0))
}

/// Seconds that are no larger than usual and whose beats are alike and in step, and those that do not move.
fn calm_seconds(recording: &Recording, found: &Found<'_>, growth: &[f32], stirred: &[f32]) -> Vec<bool> {
    let mut calm: Vec<bool> = growth.iter().map(|g| *g <= STILL_GROWN).collect();
    for (k, middle) in found.middles.iter().enumerate().skip(1) {
        let next = found.middles.get(k + 1).copied().unwrap_or(2 * middle - found.middles[k - 1]);
        let (before, after) = (middle - found.middles[k - 1], next - middle);
        let in_step = change_of(before, after) < OUT_OF_STEP;
        let second = recording.rate.seconds_from_samples(*middle).max(0.0) as usize;
        if (!in_step || found.likeness[k] < STRANGE) && second < calm.len() {
            calm[second] = false;
        }
    }
    calm.iter_mut().zip(stirred).for_each(|(calm, stirred)| *calm |= *stirred < STILL);
    calm
}

/// Change from one interval to the next as a share of their mean.
fn change_of(before: i64, after: i64) -> f64 {
    2.0 * (after - before).abs() as f64 / (after + before).max(1) as f64
}

/// Median change from one interval to the next.
fn change(beats: &[i64]) -> f64 {
    let mut all: Vec<f64> = beats.windows(3).map(|w| change_of(w[1] - w[0], w[2] - w[1])).collect();
    upper_median(&mut all).unwrap_or(0.0)
}

/// How much larger each second is than the usual second, on the lead where it is least so.
fn growth(all: &Candidates, seconds: usize) -> Vec<f32> {
    let usual: Vec<f32> = all
        .size
        .iter()
        .map(|s| quantile(s.iter().copied().filter(|v| *v > 0.0), 0.5).unwrap_or(0.0))
        .collect();
    let ratio = |l: usize, s: usize| all.size[l].get(s).map_or(1.0, |v| v / usual[l].max(1.0));
    (0..seconds).map(|s| (0..usual.len()).map(|l| ratio(l, s)).fold(4.0, f32::min)).collect()
}

fn clearest(all: &Candidates, s: usize) -> f32 {
    all.clear.iter().filter_map(|c| c.get(s)).copied().fold(0.0, f32::max)
}

/// Standard deviation of the intervals by their mean.
fn spread(beats: &[i64]) -> f64 {
    let gaps: Vec<f64> = beats.windows(2).map(|w| (w[1] - w[0]) as f64).collect();
    if gaps.is_empty() {
        return 0.0;
    }
    let mean = gaps.iter().sum::<f64>() / gaps.len() as f64;
    let square = gaps.iter().map(|g| (g - mean).powi(2)).sum::<f64>() / gaps.len() as f64;
    square.sqrt() / mean.max(1e-9)
}

/// Lets each run grow to either side until two calm seconds follow each other, little beyond the last second that
/// is larger than usual, and over the short hole between two runs.
fn widen(marked: &mut [bool], calm: &[bool], growth: &[f32]) {
    let n = marked.len();
    let before = marked.to_vec();
    let is_calm = |s: usize| calm[s] && !before[s];
    let is_moved = |s: usize| growth[s] > STILL_GROWN;
    for s in (0..n).filter(|s| before[*s]) {
        // The end of a run, and the begin of one.
        if s + 1 < n && !before[s + 1] {
            let calm_at = (s + 1..n).find(|k| is_calm(*k) && (k + 1 == n || is_calm(k + 1))).unwrap_or(n);
            let moved = (s + 1..calm_at).take(WIDEN_S).rev().find(|k| is_moved(*k)).map_or(s + 1, |k| k + 1);
            marked[s..calm_at.min(moved + BESIDE_S)].fill(true);
        }
        if s > 0 && !before[s - 1] {
            let calm_to =
                (0..s).rev().find(|k| is_calm(*k) && (*k == 0 || is_calm(k - 1))).map_or(0, |k| k + 1);
            let moved = (calm_to.max(s.saturating_sub(WIDEN_S))..s).find(|k| is_moved(*k)).unwrap_or(s);
            marked[calm_to.max(moved.saturating_sub(BESIDE_S))..s].fill(true);
        }
    }
    keep_runs(marked, 1);
}

/// Bridges holes of up to 3 in `marked`, then clears runs shorter than `least`.
fn keep_runs(marked: &mut [bool], least: usize) {
    let on = |s: usize| Span::new(s as i64, s as i64 + 1);
    let spans = (0..marked.len()).filter(|s| marked[*s]).map(on).collect();
    let runs = Span::merged(spans, 3);
    marked.fill(false);
    for run in runs.iter().filter(|r| r.len() >= least as i64) {
        marked[run.start as usize..run.end as usize].fill(true);
    }
}
