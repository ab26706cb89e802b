//! Candidates to beats: clear ones first, then doubtful ones by shape and timing.

use super::candidates::{Candidate, Candidates};

/// A candidate this far up from the background to a beat is clear.
const CLEAR_SHARE: f32 = 0.35;
/// A candidate below this is never a beat.
const DOUBTFUL_SHARE: f32 = 0.12;
/// Within this of a larger beat a candidate may be its T wave, s.
const T_WAVE_S: f64 = 0.36;
/// A T wave is at most this share of its QRS complex in the band.
const T_WAVE_SHARE: f32 = 0.5;
/// Clear beats to either side that a doubtful one is compared with.
const NEIGHBOURS: usize = 8;

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
    let t_wave = (T_WAVE_S * rate_hz).round() as i64;
    let clear = clear_ones(&all.places, refractory, t_wave);
    let beats = add_doubtful(all, &clear, refractory, rate_hz);
    let likeness = beats.iter().enumerate().map(|(k, _)| likeness_at(all, &beats, k, beats[k])).collect();
    Chosen { beats, likeness }
}

fn share(c: &Candidate) -> f32 {
    (c.height - c.rest) / (1.0 - c.rest).max(0.05)
}

fn clear_ones(places: &[Candidate], refractory: i64, t_wave: i64) -> Vec<usize> {
    let mut kept: Vec<usize> = Vec::new();
    for (i, c) in places.iter().enumerate().filter(|(_, c)| share(c) >= CLEAR_SHARE) {
        // A larger one takes the place of smaller ones too close before it.
        while let Some(last) = kept.last().map(|k| &places[*k]) {
            if c.step - last.step >= refractory || last.height >= c.height {
                break;
            }
            kept.pop();
        }
        let is_shadow = kept.last().map(|k| &places[*k]).is_some_and(|last| {
            let after = c.step - last.step;
            after < refractory || (after < t_wave && c.height < T_WAVE_SHARE * last.height)
        });
        if !is_shadow {
            kept.push(i);
        }
    }
    kept
}

/// Cosine of two shapes, the best of three alignments.
pub(super) fn likeness(all: &Candidates, a: usize, b: usize) -> f32 {
    let (a, b) = (all.shape(a), all.shape(b));
    [-1i64, 0, 1].iter().map(|lag| cosine(a, b, all.lead_len, *lag)).fold(-1.0, f32::max)
}

fn cosine(a: &[i8], b: &[i8], lead_len: usize, lag: i64) -> f32 {
    let (mut ab, mut aa, mut bb) = (0i32, 1i32, 1i32);
    let (from_a, from_b) = ((-lag).max(0) as usize, lag.max(0) as usize);
    let n = lead_len - lag.unsigned_abs() as usize;
    for (a, b) in a.chunks_exact(lead_len).zip(b.chunks_exact(lead_len)) {
        for (x, y) in a[from_a..from_a + n].iter().zip(&b[from_b..from_b + n]) {
            let (x, y) = (i32::from(*x), i32::from(*y));
            ab += x * y;
            aa += x * x;
            bb += y * y;
        }
    }
    ab as f32 / (aa as f32 * bb as f32).sqrt()
}

/// Mean of the three best likenesses of `candidate` to the beats around position `at` in `beats`.
fn likeness_at(all: &Candidates, beats: &[usize], at: usize, candidate: usize) -> f32 {
    let around = at.saturating_sub(NEIGHBOURS)..(at + NEIGHBOURS + 1).min(beats.len());
    let mut best = [-1.0f32; 3];
    for k in around.filter(|k| beats[*k] != candidate) {
        let new = likeness(all, beats[k], candidate);
        if new > best[2] {
            best[2] = new;
            best.sort_by(|a, b| b.total_cmp(a));
        }
    }
    best.iter().sum::<f32>() / 3.0
}

fn add_doubtful(all: &Candidates, clear: &[usize], refractory: i64, rate_hz: f64) -> Vec<usize> {
    let places = &all.places;
    let mut out: Vec<usize> = Vec::with_capacity(clear.len());
    for k in 0..=clear.len() {
        let before = k.checked_sub(1).map(|b| clear[b]);
        let after = clear.get(k).copied();
        let usual = usual_interval(places, clear, k, rate_hz);
        let between = before.map_or(0, |b| b + 1)..after.unwrap_or(places.len());
        let mut doubtful: Vec<usize> = between.filter(|i| share(&places[*i]) >= DOUBTFUL_SHARE).collect();
        doubtful.sort_by(|a, b| places[*b].height.total_cmp(&places[*a].height).then(a.cmp(b)));
        let mut added: Vec<usize> = Vec::new();
        for i in doubtful {
            let step = places[i].step;
            let taken = added.iter().chain(&before).chain(&after);
            if taken.clone().any(|t| (places[*t].step - step).abs() < refractory) {
                continue;
            }
            let last = taken.clone().map(|t| places[*t].step).filter(|t| *t < step).max();
            let next = taken.map(|t| places[*t].step).filter(|t| *t > step).min();
            let gap_before = last.map_or(f64::INFINITY, |t| (step - t) as f64);
            let gap_after = next.map_or(f64::INFINITY, |t| (t - step) as f64);
            if is_beat(all, clear, k, i, gap_before / usual, gap_after / usual, gap_before / rate_hz) {
                added.push(i);
            }
        }
        added.sort_unstable();
        out.extend(added);
        out.extend(after);
    }
    out
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
fn usual_interval(places: &[Candidate], clear: &[usize], k: usize, rate_hz: f64) -> f64 {
    let around = k.saturating_sub(6)..(k + 6).min(clear.len());
    let mut gaps: Vec<i64> =
        clear[around].windows(2).map(|w| places[w[1]].step - places[w[0]].step).collect();
    if gaps.is_empty() {
        return 0.9 * rate_hz;
    }
    gaps.sort_unstable();
    (gaps[gaps.len() / 2] as f64).clamp(0.25 * rate_hz, 2.0 * rate_hz)
}
