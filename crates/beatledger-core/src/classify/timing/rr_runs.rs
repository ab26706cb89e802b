//! Runs of ectopy, from intervals alone.

use std::ops::Range;

use super::calibration::{
    EARLY_OF_NEXT, EVEN_CHANGE, LAST_INTERVALS, LEAST_RUN_BEATS, LEAST_USUAL_INTERVALS, RUN_BEGINS,
    RUN_GOES_ON, SHORT_RUN_BEATS, TACHYCARDIA_MS, UNENDED_RUN_BEATS, USUAL_INTERVALS,
};
use crate::statistics::upper_median;

/// Runs that intervals alone tell, each as a range of beats.
pub fn runs(rr: &[f32]) -> Vec<Range<usize>> {
    let (mut runs, mut held, mut i) = (Vec::new(), Vec::<f32>::new(), 0);
    while i < rr.len() {
        if !rr[i].is_finite() {
            // What comes after a gap is not compared with what was before it.
            held.clear();
        }
        let enough = held.len() >= LEAST_USUAL_INTERVALS;
        let usual = if enough { median(&held) } else { f32::NAN };
        let end = if rr[i] < RUN_BEGINS * usual { fast_until(rr, i, usual) } else { None };
        if let Some(end) = end {
            runs.push(i..end);
            i = end;
            continue;
        }
        if rr[i].is_finite() && i > 0 && !is_early(rr, i) && !is_early(rr, i - 1) {
            if held.len() == USUAL_INTERVALS {
                held.remove(0);
            }
            held.push(rr[i]);
        }
        i += 1;
    }
    runs
}

/// Median of intervals; NaN of none.
fn median(intervals: &[f32]) -> f32 {
    upper_median(&mut intervals.to_vec()).unwrap_or(f32::NAN)
}

/// True for a beat whose interval is much shorter than the next one.
pub fn is_early(rr: &[f32], i: usize) -> bool {
    rr.get(i + 1).is_some_and(|next| rr[i] < EARLY_OF_NEXT * next)
}

/// True for the beats of tachycardias so long that they would be taken for the sinus rhythm.
pub fn long_runs(runs: &[Range<usize>], rr: &[f32]) -> Vec<bool> {
    let mut inside = vec![false; rr.len()];
    let long =
        |run: &&Range<usize>| run.len() >= UNENDED_RUN_BEATS && median(&rr[(*run).clone()]) <= TACHYCARDIA_MS;
    runs.iter().filter(long).for_each(|run| inside[run.clone()].fill(true));
    inside
}

/// End of a fast stretch that begins with beat `from`, if it is a run; one slow interval alone does not end
/// it.
fn fast_until(rr: &[f32], from: usize, usual: f32) -> Option<usize> {
    let fast = |j: usize| rr.get(j).is_some_and(|r| *r <= RUN_GOES_ON * usual);
    // A gap ends a stretch at once: what comes after it is another.
    let ends = |j: &usize| !rr[*j].is_finite() || (!fast(*j) && !fast(j + 1));
    let end = (from..rr.len()).find(ends).unwrap_or(rr.len());
    is_run(rr, from, end).then_some(end)
}

/// True when beats `from` to `end`, all fast, are a run of ectopy and not a change of the sinus rate.
///
/// A run comes at once and is even. A short one falls back to slow intervals. A long one is a tachycardia
/// that ends as suddenly as it came, as paroxysmal tachycardia does and sinus tachycardia does not (2015
/// ACC/AHA/HRS guideline: 'abrupt onset and termination'). Where its end is not seen, its beginning alone
/// decides.
pub fn is_run(rr: &[f32], from: usize, end: usize) -> bool {
    let beats = end.saturating_sub(from);
    if beats < LEAST_RUN_BEATS || !is_even(&rr[from..end]) {
        return false;
    }
    let interval = median(&rr[from..end]);
    let seen = rr.get(end).is_some_and(|r| r.is_finite());
    match (seen, beats <= SHORT_RUN_BEATS) {
        (true, true) => true,
        (true, false) => interval <= TACHYCARDIA_MS && ends_at_once(rr, end, interval),
        (false, _) => interval <= TACHYCARDIA_MS && beats >= UNENDED_RUN_BEATS,
    }
}

/// True when the intervals of a run hardly change from beat to beat.
pub fn is_even(run: &[f32]) -> bool {
    let changes: Vec<f32> = run.windows(2).map(|w| (w[1] - w[0]).abs()).collect();
    median(&changes) < EVEN_CHANGE * median(run)
}

/// True when the last intervals are as short as those of the whole run.
fn ends_at_once(rr: &[f32], end: usize, interval: f32) -> bool {
    median(&rr[end - LAST_INTERVALS..end]) <= interval / RUN_GOES_ON.sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_beats_of_a_tachycardia_are_kept_out_of_the_sinus_interval() {
        let kept = |slow: f32, fast: f32| {
            let mut rr = vec![slow; 80];
            rr[30..50].fill(fast);
            long_runs(&runs(&rr), &rr).iter().filter(|inside| **inside).count()
        };
        assert_eq!(kept(900.0, 420.0), 20);
        assert_eq!(kept(1100.0, 750.0), 0, "a quicker sinus rhythm of 80 a minute");
    }
}
