//! How early beats come against the local sinus interval, and how long the interval after them is.

use rayon::prelude::*;

use super::atrial_focus::Foci;
use super::calibration::{
    LEAST_SINUS_INTERVALS, REACH_BEATS, REACH_ECTOPIC_BEATS, REACH_RUN_BEATS, SINUS_INTERVALS,
};
use super::irregular::irregular;
use crate::model::BeatClass;
use crate::statistics::upper_median;

/// Timing of one beat.
#[derive(Clone, Copy, Debug, Default)]
pub struct BeatTiming {
    /// 1 - RR before / local sinus RR.
    pub early: Option<f32>,
    /// RR after / local sinus RR.
    pub rr_after: Option<f32>,
    /// Local sinus interval, ms; NaN where there is none.
    pub sinus_ms: f32,
    /// True inside an absolutely irregular stretch.
    pub irregular: bool,
    /// True in runs of a second focus that are as usual as the sinus rhythm.
    pub in_focus: bool,
}

/// Timing of every beat. Intervals that touch a beat of another class than N do not count for the
/// sinus interval, nor do those inside `runs`; `p_before` is how clear a P wave stands before each beat.
/// Where `foci` hold a sinus interval, it is taken.
pub fn beat_timings(
    rr: &[f32],
    classes: &[BeatClass],
    runs: &[bool],
    p_before: &[Option<f32>],
    foci: &Foci,
) -> Vec<BeatTiming> {
    let ectopic: Vec<bool> = classes.iter().zip(runs).map(|(c, run)| *run || *c != BeatClass::N).collect();
    let mut local = local_sinus_ms(rr, &ectopic);
    for (local, known) in local.iter_mut().zip(&foci.sinus_ms).filter(|(_, known)| known.is_finite()) {
        *local = *known;
    }
    let irregular = irregular(rr, classes, p_before, &local);
    (0..rr.len())
        .map(|i| {
            let sinus = local[i];
            let share = |x: Option<&f32>| x.filter(|x| x.is_finite() && sinus.is_finite()).map(|x| x / sinus);
            BeatTiming {
                early: share(rr.get(i)).map(|s| 1.0 - s),
                rr_after: share(rr.get(i + 1)),
                sinus_ms: sinus,
                irregular: irregular[i],
                in_focus: foci.inside.get(i).is_some_and(|inside| *inside),
            }
        })
        .collect()
}

/// Median of the normal-to-normal intervals around each beat, ms; in a stretch with none, half the time
/// from the beat before to the beat after (a full compensatory pause makes that the sinus interval).
fn local_sinus_ms(rr: &[f32], ectopic: &[bool]) -> Vec<f32> {
    let usable = |i: usize| rr[i].is_finite() && !ectopic[i] && i > 0 && !ectopic[i - 1];
    let ends = run_ends(ectopic);
    (0..rr.len())
        .into_par_iter()
        .map_init(Vec::new, |around, i| {
            around.clear();
            let (first, last) = ends[i];
            let reach = match last - first {
                0 | 1 if !ectopic[i] => REACH_BEATS,
                0 | 1 => REACH_ECTOPIC_BEATS,
                _ => REACH_RUN_BEATS,
            };
            let before =
                (first.saturating_sub(reach)..first).rev().filter(|j| usable(*j)).take(SINUS_INTERVALS);
            around.extend(before.map(|j| rr[j]));
            let after =
                (last + 2..(last + 2 + reach).min(rr.len())).filter(|j| usable(*j)).take(SINUS_INTERVALS);
            around.extend(after.map(|j| rr[j]));
            let enough = around.len() >= LEAST_SINUS_INTERVALS;
            let sinus = if enough { upper_median(around) } else { None };
            sinus.unwrap_or_else(|| (rr[i] + rr.get(i + 1).copied().unwrap_or(f32::NAN)) / 2.0)
        })
        .collect()
}

/// First and last beat of the ectopic run that each beat belongs to; a beat that is not ectopic is its own.
fn run_ends(ectopic: &[bool]) -> Vec<(usize, usize)> {
    let mut ends: Vec<(usize, usize)> = (0..ectopic.len()).map(|i| (i, i)).collect();
    for run in ectopic.chunk_by(|a, b| a == b).scan(0, |at, run| {
        let first = *at;
        *at += run.len();
        Some((first, *at - 1, run[0]))
    }) {
        if run.2 {
            ends[run.0..=run.1].fill((run.0, run.1));
        }
    }
    ends
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_beat_at_500_ms_in_a_rhythm_of_800_is_38_percent_early_and_its_pause_is_seen() {
        let mut rr = vec![800.0; 30];
        rr[0] = f32::NAN;
        rr[15] = 500.0;
        rr[16] = 1100.0;
        let mut classes = vec![BeatClass::N; 30];
        classes[15] = BeatClass::S;
        let timings = beat_timings(&rr, &classes, &[false; 30], &[None; 30], &Foci::default());
        assert!((timings[15].early.unwrap() - 0.375).abs() < 1e-6);
        assert!((timings[15].rr_after.unwrap() - 1.375).abs() < 1e-6);
        assert_eq!(timings[0].early, None);
        assert!(!timings[15].irregular);
    }

    #[test]
    fn bigeminy_takes_half_of_two_intervals_for_the_sinus_interval() {
        let rr: Vec<f32> = (0..40).map(|i| if i % 2 == 0 { 1000.0 } else { 500.0 }).collect();
        let class = |i| if i % 2 == 1 { BeatClass::V } else { BeatClass::N };
        let classes: Vec<BeatClass> = (0..40).map(class).collect();
        assert!(
            (beat_timings(&rr, &classes, &[false; 40], &[None; 40], &Foci::default())[21].early.unwrap()
                - (1.0 - 500.0 / 750.0))
                .abs()
                < 1e-6
        );
    }
}
