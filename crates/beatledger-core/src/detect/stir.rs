//! How much the tracing stirs between beats: what tells a moving electrode from a heart that beats in disorder.
//!
//! Beats of any kind leave the tracing at rest for a part of each second; an electrode that moves does not.

use super::candidates::Candidates;
use crate::condition::quality::quantile;
use crate::model::{Quality, Rate};

/// Length of the means that are compared, s.
const MEAN_S: f64 = 0.02;
/// Share of the changes from one mean to the next that are rest: the T wave and the QRS complex take up the others.
const REST: f64 = 0.4;
/// Seconds to either side whose middle counts: a large T wave stirs a second.
const AROUND_S: usize = 3;
/// What is usual is looked for once in so many seconds,
const BLOCK_S: usize = 60;
/// so far to either side, s: a night is stiller than the day.
const USUAL_S: usize = 300;
/// A lead on which beats stand out less than this is not asked.
const SHOWS_BEATS: f32 = 0.3;

/// The change from the mean of 20 ms to that of the next 20 ms that most changes at rest stay below, ADC units; 0 of
/// fewer than ten of them.
pub(super) fn stir(samples: &[i32], rate: Rate) -> f32 {
    let width = ((MEAN_S * rate.hz()).round() as usize).max(1);
    let mean = |part: &[i32]| part.iter().map(|v| i64::from(*v)).sum::<i64>();
    let mut changes = [0u64; 64];
    let mut count = 0;
    let mut before = None;
    for sum in samples.chunks_exact(width).map(mean) {
        if let (Some(before), Some(change)) = (before, changes.get_mut(count)) {
            *change = sum.abs_diff(before);
            count += 1;
        }
        before = Some(sum);
    }
    if count < 10 {
        return 0.0;
    }
    let at = (count as f64 * REST) as usize;
    *changes[..count].select_nth_unstable(at).1 as f32 / width as f32
}

/// By second, how much the stillest lead that shows beats stirs, against its usual stir; 9 where there is none.
pub(super) fn stirred(all: &Candidates, quality: &Quality, seconds: usize) -> Vec<f32> {
    let mut out = vec![9.0f32; seconds];
    for (l, stir) in all.stir.iter().enumerate() {
        let usual = usual(stir);
        let readable =
            |s: usize| quality.leads.get(l).and_then(|q| q.kind.get(s)).is_some_and(|k| k.is_readable());
        for (s, out) in out.iter_mut().enumerate() {
            let usual = usual.get(s / BLOCK_S).copied().unwrap_or(0.0);
            if usual > 0.0 && all.clear[l][s] >= SHOWS_BEATS && readable(s) {
                let near = &stir[s.saturating_sub(AROUND_S)..(s + AROUND_S + 1).min(stir.len())];
                *out = out.min(quantile(near.iter().copied(), 0.5) / usual);
            }
        }
    }
    out
}

/// The usual stir of each minute: the median of the minutes around it, and not more than that of the day.
fn usual(stir: &[f32]) -> Vec<f32> {
    let median = |part: &[f32]| quantile(part.iter().copied().filter(|v| *v > 0.0), 0.5);
    let of_day = median(stir);
    let near = |block: usize| {
        let from = (block * BLOCK_S).saturating_sub(USUAL_S);
        median(&stir[from..((block + 1) * BLOCK_S + USUAL_S).min(stir.len())]).min(of_day)
    };
    (0..stir.len().div_ceil(BLOCK_S)).map(near).collect()
}
