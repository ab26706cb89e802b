//! When beats come: the local sinus interval, prematurity, the pause after, irregular stretches.

use crate::model::{Quality, Recording, Span};

/// Timing of one beat.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct When {
    /// 1 - RR before / local sinus RR.
    pub early: Option<f32>,
    /// RR after / local sinus RR.
    pub after: Option<f32>,
    /// True inside an absolutely irregular stretch.
    pub irregular: bool,
}

/// RR interval before each beat, ms; NaN for the first and across unreadable time or a gap.
pub fn rr_ms(recording: &Recording, quality: &Quality, samples: &[i64]) -> Vec<f32> {
    let mut holes = quality.unreadable.clone();
    let mut at = 0;
    for segment in &recording.segments {
        holes.push(Span::new(at, segment.start));
        at = segment.end;
    }
    let holes = Span::merged(holes, 0);
    let mut hole = 0;
    let mut rr = vec![f32::NAN; samples.len()];
    for i in 1..samples.len() {
        let between = Span::new(samples[i - 1], samples[i]);
        while hole < holes.len() && holes[hole].end <= between.start {
            hole += 1;
        }
        if holes.get(hole).is_none_or(|h| !h.touches(between)) {
            rr[i] = recording.rate.ms_from_samples(between.len()) as f32;
        }
    }
    rr
}

/// Timing of every beat. `ectopic[i]` says that beat `i` is taken for ectopic: intervals that touch it
/// say nothing about the sinus rate.
pub fn when(rr: &[f32], ectopic: &[bool]) -> Vec<When> {
    let local = local_sinus_ms(rr, ectopic);
    let irregular = irregular(rr, ectopic);
    (0..rr.len())
        .map(|i| {
            let sinus = local[i];
            let share = |x: Option<&f32>| x.filter(|x| x.is_finite() && sinus.is_finite()).map(|x| x / sinus);
            When {
                early: share(rr.get(i)).map(|s| 1.0 - s),
                after: share(rr.get(i + 1)),
                irregular: irregular[i],
            }
        })
        .collect()
}

/// Number of normal intervals on each side whose median is the local sinus interval.
const NEAR: usize = 6;
/// How far to look for them, in beats on each side.
const REACH: usize = 24;

/// Median of the normal-to-normal intervals around each beat, ms; in a stretch with none, half the time
/// from the beat before to the beat after (a full compensatory pause makes that the sinus interval).
fn local_sinus_ms(rr: &[f32], ectopic: &[bool]) -> Vec<f32> {
    let usable = |i: usize| rr[i].is_finite() && !ectopic[i] && i > 0 && !ectopic[i - 1];
    let mut around = Vec::with_capacity(2 * NEAR);
    (0..rr.len())
        .map(|i| {
            around.clear();
            let before = (i.saturating_sub(REACH)..i).rev().filter(|j| usable(*j)).take(NEAR);
            around.extend(before.map(|j| rr[j]));
            let after = (i + 2..(i + 2 + REACH).min(rr.len())).filter(|j| usable(*j)).take(NEAR);
            around.extend(after.map(|j| rr[j]));
            if around.len() < 3 {
                let pair = rr[i] + rr.get(i + 1).copied().unwrap_or(f32::NAN);
                return pair / 2.0;
            }
            median(&mut around)
        })
        .collect()
}

/// Median of values that are all finite; the slice is reordered.
pub fn median(values: &mut [f32]) -> f32 {
    let middle = values.len() / 2;
    values.select_nth_unstable_by(middle, f32::total_cmp);
    values[middle]
}

/// Beats on each side that decide whether a stretch is absolutely irregular.
const IRREGULAR_REACH: usize = 10;

/// True where, among normal intervals nearby, most neighbours differ by more than 8 % and their differences
/// change sign often: the picture of atrial fibrillation, in which early beats are no ectopy.
fn irregular(rr: &[f32], ectopic: &[bool]) -> Vec<bool> {
    let jump = |i: usize| -> Option<bool> {
        let (a, b) = (*rr.get(i.wrapping_sub(1))?, *rr.get(i)?);
        let clean =
            a.is_finite() && b.is_finite() && !ectopic[i] && !ectopic[i - 1] && i > 1 && !ectopic[i - 2];
        clean.then(|| (a - b).abs() > 0.08 * (a + b) / 2.0)
    };
    let mut seen = vec![0u32; rr.len() + 1];
    let mut jumps = vec![0u32; rr.len() + 1];
    for i in 0..rr.len() {
        let this = jump(i);
        seen[i + 1] = seen[i] + u32::from(this.is_some());
        jumps[i + 1] = jumps[i] + u32::from(this == Some(true));
    }
    (0..rr.len())
        .map(|i| {
            let (from, to) = (i.saturating_sub(IRREGULAR_REACH), (i + IRREGULAR_REACH).min(rr.len()));
            let (seen, jumps) = (seen[to] - seen[from], jumps[to] - jumps[from]);
            seen >= 8 && 2 * jumps > seen
        })
        .collect()
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
        let mut ectopic = vec![false; 30];
        ectopic[15] = true;
        let when = when(&rr, &ectopic);
        assert!((when[15].early.unwrap() - 0.375).abs() < 1e-6);
        assert!((when[15].after.unwrap() - 1.375).abs() < 1e-6);
        assert_eq!(when[0].early, None);
        assert!(!when[15].irregular);
    }

    #[test]
    fn bigeminy_takes_half_of_two_intervals_for_the_sinus_interval() {
        let rr: Vec<f32> = (0..40).map(|i| if i % 2 == 0 { 1000.0 } else { 500.0 }).collect();
        let ectopic: Vec<bool> = (0..40).map(|i| i % 2 == 1).collect();
        assert!((when(&rr, &ectopic)[21].early.unwrap() - (1.0 - 500.0 / 750.0)).abs() < 1e-6);
    }

    #[test]
    fn wildly_changing_intervals_are_irregular_and_a_breathing_rhythm_is_not() {
        let wild: Vec<f32> = (0..60).map(|i| 600.0 + ((i * 7919) % 400) as f32).collect();
        assert!(when(&wild, &[false; 60])[30].irregular);
        let calm: Vec<f32> = (0..60).map(|i| 900.0 + 60.0 * (i as f32 * 0.8).sin()).collect();
        assert!(!when(&calm, &[false; 60])[30].irregular);
    }
}
