//! When beats come: the local sinus interval, prematurity, the pause after, irregular stretches.

use rayon::prelude::*;

use super::focus::Foci;
use crate::model::{BeatClass, Quality, Recording, Span};

/// Timing of one beat.
#[derive(Clone, Copy, Debug, Default)]
pub struct When {
    /// 1 - RR before / local sinus RR.
    pub early: Option<f32>,
    /// RR after / local sinus RR.
    pub after: Option<f32>,
    /// Local sinus interval, ms; NaN where there is none.
    pub sinus_ms: f32,
    /// True inside an absolutely irregular stretch.
    pub irregular: bool,
    /// True in runs of a second focus that are as usual as the sinus rhythm.
    pub in_focus: bool,
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

/// Timing of every beat. Intervals that touch a beat of another class than N say nothing about the sinus
/// rate, nor do those inside `runs`; `p_before` is how clear a P wave stands before each beat. Where `foci` know the
/// sinus interval, that is it.
pub fn when(
    rr: &[f32],
    classes: &[BeatClass],
    runs: &[bool],
    p_before: &[Option<f32>],
    foci: &Foci,
) -> Vec<When> {
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
            When {
                early: share(rr.get(i)).map(|s| 1.0 - s),
                after: share(rr.get(i + 1)),
                sinus_ms: sinus,
                irregular: irregular[i],
                in_focus: foci.inside.get(i).is_some_and(|inside| *inside),
            }
        })
        .collect()
}

/// Number of normal intervals on each side whose median is the local sinus interval.
const NEAR: usize = 6;
/// How far to look for them, in beats on each side.
const REACH: usize = 24;
/// The same for an ectopic beat, from the ends of its run: where ectopy is dense, normal pairs are far apart.
const FAR: usize = 144;
/// The same for a run of three or more: the sinus interval of minutes ago is better than none.
const AGO: usize = 1000;

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
                0 | 1 if !ectopic[i] => REACH,
                0 | 1 => FAR,
                _ => AGO,
            };
            let before = (first.saturating_sub(reach)..first).rev().filter(|j| usable(*j)).take(NEAR);
            around.extend(before.map(|j| rr[j]));
            let after = (last + 2..(last + 2 + reach).min(rr.len())).filter(|j| usable(*j)).take(NEAR);
            around.extend(after.map(|j| rr[j]));
            if around.len() < 3 {
                let pair = rr[i] + rr.get(i + 1).copied().unwrap_or(f32::NAN);
                return pair / 2.0;
            }
            median(around)
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

/// Median of values that are all finite; the slice is reordered.
pub fn median(values: &mut [f32]) -> f32 {
    let middle = values.len() / 2;
    values.select_nth_unstable_by(middle, f32::total_cmp);
    values[middle]
}

/// Beats on each side that decide whether a stretch is absolutely irregular.
const IRREGULAR_REACH: usize = 10;
/// Beats on each side that decide it where ectopy leaves too few intervals to tell so near.
const WIDE_REACH: usize = 40;
/// Fewest intervals that tell it, and what share of them must differ, near and in the wide reach.
const LEAST_JUMPS: u32 = 8;
const WILD: f32 = 0.5;
const WILD_WIDE: f32 = 0.7;
/// A beat after this share of the local interval is not early.
const NOT_EARLY: f32 = 0.9;
/// Fewest such beats that tell whether there are P waves.
const LEAST_P: u32 = 4;

/// True where most neighbouring intervals between beats that are not ventricular differ by more than 8 %, and
/// hardly any of these beats has a P wave: the picture of atrial fibrillation, in which an early beat is no
/// ectopy. Where P waves could not be looked for, irregularity alone decides.
fn irregular(rr: &[f32], classes: &[BeatClass], p_before: &[Option<f32>], local: &[f32]) -> Vec<bool> {
    let conducted = |i: usize| !classes[i].is_ventricular();
    let jump = |i: usize| -> Option<bool> {
        let (a, b) = (*rr.get(i.wrapping_sub(1))?, *rr.get(i)?);
        let clean = a.is_finite() && b.is_finite() && i > 1 && (i - 2..=i).all(conducted);
        clean.then(|| (a - b).abs() > 0.08 * (a + b) / 2.0)
    };
    let jumps = Share::of((0..rr.len()).map(|i| jump(i).map(|j| f32::from(u8::from(j)))));
    // Before an early beat the P wave lies in a T wave: the beats that are not early show whether there is one.
    let early = |i: usize| rr[i] < NOT_EARLY * local[i];
    let shows = |i: usize| conducted(i) && !early(i);
    let p_waves = Share::of((0..rr.len()).map(|i| p_before[i].filter(|_| shows(i))));
    (0..rr.len())
        .map(|i| {
            let near = |reach: usize| (i.saturating_sub(reach), (i + reach).min(rr.len()));
            let ((from, to), (start, end)) = (near(IRREGULAR_REACH), near(WIDE_REACH));
            let wild = jumps.mean(from, to, LEAST_JUMPS).map(|share| share > WILD).unwrap_or_else(|| {
                jumps.mean(start, end, LEAST_JUMPS).is_some_and(|share| share > WILD_WIDE)
            });
            wild && p_waves.mean(from, to, LEAST_P).is_none_or(|share| share < 0.5)
        })
        .collect()
}

/// Running sums of values that may be missing, for means over any stretch.
pub struct Share {
    sum: Vec<f64>,
    seen: Vec<u32>,
}

impl Share {
    /// Sums of `values`.
    pub fn of(values: impl Iterator<Item = Option<f32>>) -> Self {
        let (mut sum, mut seen) = (vec![0.0], vec![0]);
        for value in values {
            sum.push(sum[sum.len() - 1] + f64::from(value.unwrap_or(0.0)));
            seen.push(seen[seen.len() - 1] + u32::from(value.is_some()));
        }
        Self { sum, seen }
    }

    /// Mean of those between `from` and `to` that are there; `None` when fewer than `least` are.
    pub fn mean(&self, from: usize, to: usize, least: u32) -> Option<f32> {
        let seen = self.seen[to] - self.seen[from];
        (seen >= least).then(|| ((self.sum[to] - self.sum[from]) / f64::from(seen)) as f32)
    }
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
        let when = when(&rr, &classes, &[false; 30], &[None; 30], &Foci::default());
        assert!((when[15].early.unwrap() - 0.375).abs() < 1e-6);
        assert!((when[15].after.unwrap() - 1.375).abs() < 1e-6);
        assert_eq!(when[0].early, None);
        assert!(!when[15].irregular);
    }

    #[test]
    fn bigeminy_takes_half_of_two_intervals_for_the_sinus_interval() {
        let rr: Vec<f32> = (0..40).map(|i| if i % 2 == 0 { 1000.0 } else { 500.0 }).collect();
        let class = |i| if i % 2 == 1 { BeatClass::V } else { BeatClass::N };
        let classes: Vec<BeatClass> = (0..40).map(class).collect();
        assert!(
            (when(&rr, &classes, &[false; 40], &[None; 40], &Foci::default())[21].early.unwrap()
                - (1.0 - 500.0 / 750.0))
                .abs()
                < 1e-6
        );
    }

    #[test]
    fn wildly_changing_intervals_are_irregular_and_a_breathing_rhythm_is_not() {
        let wild: Vec<f32> = (0..60).map(|i| 600.0 + ((i * 7919) % 400) as f32).collect();
        assert!(when(&wild, &[BeatClass::N; 60], &[false; 60], &[None; 60], &Foci::default())[30].irregular);
        assert!(
            !when(&wild, &[BeatClass::N; 60], &[false; 60], &[Some(1.0); 60], &Foci::default())[30].irregular,
            "P waves: no fibrillation"
        );
        // Ventricular beats leave no two intervals near that can be compared; further away they differ.
        let ectopic = |i: usize| (16..=44).contains(&i) && i.is_multiple_of(3);
        let classes: Vec<BeatClass> =
            (0..60).map(|i| if ectopic(i) { BeatClass::V } else { BeatClass::N }).collect();
        assert!(
            when(&wild, &classes, &[false; 60], &[None; 60], &Foci::default())[30].irregular,
            "told from further away"
        );
        // Runs of two or three early beats, one after the other; their P waves are hidden.
        let runs: Vec<f32> =
            (0..60).map(|i| [820.0, 860.0, 560.0, 430.0, 900.0, 600.0, 400.0, 390.0][i % 8]).collect();
        let hidden: Vec<Option<f32>> =
            runs.iter().map(|r| Some(if *r < 800.0 { 0.0 } else { 0.8 })).collect();
        assert!(
            !when(&runs, &[BeatClass::N; 60], &[false; 60], &hidden, &Foci::default())[30].irregular,
            "atrial runs"
        );
        let calm: Vec<f32> = (0..60).map(|i| 900.0 + 60.0 * (i as f32 * 0.8).sin()).collect();
        assert!(!when(&calm, &[BeatClass::N; 60], &[false; 60], &[None; 60], &Foci::default())[30].irregular);
    }
}
