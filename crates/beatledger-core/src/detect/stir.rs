//! How much the tracing stirs between beats: what tells a moving electrode from a heart that beats in disorder.
//!
//! Beats of any kind leave the tracing at rest for a part of each second; an electrode that moves does not.

use super::candidates::Candidates;
use crate::model::{Quality, Rate};
use crate::statistics::{quantile, ranked};

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
    ranked(&mut changes[..count], at).unwrap_or(0) as f32 / width as f32
}

/// By second, how much the stillest lead that shows beats stirs, against its usual stir; 9 where there is none.
pub(super) fn stirred(all: &Candidates, quality: &Quality, seconds: usize) -> Vec<f32> {
    let mut out = vec![9.0f32; seconds];
    for (l, stir) in all.stir.iter().enumerate() {
        let usual = usual(stir);
        let readable =
            |s: usize| quality.leads.get(l).and_then(|q| q.kind.get(s)).is_some_and(|k| k.is_readable());
        let shows = |s: usize| all.clear.get(l).and_then(|c| c.get(s)).is_some_and(|c| *c >= SHOWS_BEATS);
        // A search that was cancelled leaves fewer seconds.
        for (s, out) in out.iter_mut().enumerate().take(stir.len()) {
            let usual = usual[s / BLOCK_S];
            if usual > 0.0 && shows(s) && readable(s) {
                let near = &stir[s.saturating_sub(AROUND_S)..(s + AROUND_S + 1).min(stir.len())];
                *out = out.min(quantile(near.iter().copied(), 0.5).unwrap_or(0.0) / usual);
            }
        }
    }
    out
}

/// The usual stir of each minute: the median of the minutes around it, and not more than that of the day.
fn usual(stir: &[f32]) -> Vec<f32> {
    let median = |part: &[f32]| quantile(part.iter().copied().filter(|v| *v > 0.0), 0.5).unwrap_or(0.0);
    let of_day = median(stir);
    let near = |block: usize| {
        let from = (block * BLOCK_S).saturating_sub(USUAL_S);
        median(&stir[from..((block + 1) * BLOCK_S + USUAL_S).min(stir.len())]).min(of_day)
    };
    (0..stir.len().div_ceil(BLOCK_S)).map(near).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{LeadQuality, SecondQuality};

    #[test]
    fn a_beat_leaves_the_second_at_rest_and_a_moving_electrode_does_not() {
        let rate = Rate::whole_hz(250);
        let beat: Vec<i32> =
            (0..250).map(|k: i32| if (100..125).contains(&k) { 900 } else { k % 2 }).collect();
        let moved: Vec<i32> = (0..250).map(|k| (400.0 * (f64::from(k) / 25.0).sin()) as i32).collect();
        assert!(stir(&beat, rate) < 1.0);
        assert!(stir(&moved, rate) > 30.0);
        assert_eq!(stir(&beat[..30], rate), 0.0, "too short to say");
    }

    #[test]
    fn the_stillest_lead_that_shows_beats_tells_and_seconds_that_were_not_looked_at_are_not_still() {
        let lead = |from: usize| (0..610).map(|s| if s >= from { 40.0 } else { 10.0 }).collect::<Vec<f32>>();
        let all = Candidates {
            stir: vec![lead(500), lead(550), vec![0.1; 610]],
            clear: vec![vec![0.9; 610], vec![0.9; 610], vec![0.0; 610]],
            ..Candidates::default()
        };
        let read = || LeadQuality { kind: vec![SecondQuality::Good; 900], score: vec![255; 900] };
        let quality = Quality { leads: vec![read(), read(), read()], ..Quality::default() };
        let stirred = stirred(&all, &quality, 900);
        assert_eq!(stirred.len(), 900);
        assert_eq!(
            (stirred[520], stirred[600]),
            (1.0, 4.0),
            "one lead moves, both do; the third shows no beats"
        );
        assert_eq!(stirred[700], 9.0);
    }
}
