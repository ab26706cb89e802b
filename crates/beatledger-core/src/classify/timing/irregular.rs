//! Absolutely irregular stretches: the picture of atrial fibrillation, in which an early beat is no ectopy.

use super::calibration::{
    IRREGULAR_JUMPS, IRREGULAR_JUMPS_WIDE, IRREGULAR_REACH_BEATS, IRREGULAR_WIDE_BEATS, JUMP, LEAST_JUMPS,
    LEAST_P_BEATS, P_ABSENT, SHOWS_P,
};
use super::running_means::RunningMeans;
use crate::model::BeatClass;

/// 1 where the interval before a beat and the one before that jump, 0 where they do not; none where either is
/// missing or touches a ventricular beat.
pub fn jumps(rr: &[f32], classes: &[BeatClass]) -> RunningMeans {
    let conducted = |i: usize| !classes[i].is_ventricular();
    let jump = |i: usize| -> Option<f32> {
        let (a, b) = (*rr.get(i.wrapping_sub(1))?, *rr.get(i)?);
        let clean = a.is_finite() && b.is_finite() && i > 1 && (i - 2..=i).all(conducted);
        clean.then(|| f32::from(u8::from((a - b).abs() > JUMP * (a + b) / 2.0)))
    };
    RunningMeans::of((0..rr.len()).map(jump))
}

/// True where most neighbouring intervals between beats that are not ventricular jump, and hardly any of
/// these beats has a P wave. Where P waves could not be looked for, irregularity alone decides. `sinus_ms` is
/// the local sinus interval.
pub fn irregular(rr: &[f32], classes: &[BeatClass], p_before: &[Option<f32>], sinus_ms: &[f32]) -> Vec<bool> {
    let jumps = jumps(rr, classes);
    // Before an early beat the P wave lies in a T wave: the beats that are not early show whether there is
    // one.
    let early = |i: usize| rr[i] < SHOWS_P * sinus_ms[i];
    let shows = |i: usize| !classes[i].is_ventricular() && !early(i);
    let p_waves = RunningMeans::of((0..rr.len()).map(|i| p_before[i].filter(|_| shows(i))));
    (0..rr.len())
        .map(|i| {
            let within = |reach: usize| (i.saturating_sub(reach), (i + reach).min(rr.len()));
            let ((from, to), (start, end)) = (within(IRREGULAR_REACH_BEATS), within(IRREGULAR_WIDE_BEATS));
            let near = jumps.mean(from, to, LEAST_JUMPS).map(|share| share > IRREGULAR_JUMPS);
            let most_jump = near.unwrap_or_else(|| {
                jumps.mean(start, end, LEAST_JUMPS).is_some_and(|share| share > IRREGULAR_JUMPS_WIDE)
            });
            most_jump && p_waves.mean(from, to, LEAST_P_BEATS).is_none_or(|share| share < P_ABSENT)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whether beat 30 lies in an irregular stretch, with a local sinus interval of 830 ms.
    fn is_irregular(rr: &[f32], classes: &[BeatClass], p_before: &[Option<f32>]) -> bool {
        irregular(rr, classes, p_before, &vec![830.0; rr.len()])[30]
    }

    #[test]
    fn wildly_changing_intervals_are_irregular_and_a_breathing_rhythm_is_not() {
        let wild: Vec<f32> = (0..60).map(|i| 600.0 + ((i * 7919) % 400) as f32).collect();
        assert!(is_irregular(&wild, &[BeatClass::N; 60], &[None; 60]));
        assert!(!is_irregular(&wild, &[BeatClass::N; 60], &[Some(1.0); 60]), "P waves: no fibrillation");
        let calm: Vec<f32> = (0..60).map(|i| 900.0 + 60.0 * (i as f32 * 0.8).sin()).collect();
        assert!(!is_irregular(&calm, &[BeatClass::N; 60], &[None; 60]));
    }

    #[test]
    fn ventricular_beats_that_leave_no_intervals_near_are_looked_past() {
        let wild: Vec<f32> = (0..60).map(|i| 600.0 + ((i * 7919) % 400) as f32).collect();
        let ectopic = |i: usize| (16..=44).contains(&i) && i.is_multiple_of(3);
        let class = |i: usize| if ectopic(i) { BeatClass::V } else { BeatClass::N };
        let classes: Vec<BeatClass> = (0..60).map(class).collect();
        assert!(is_irregular(&wild, &classes, &[None; 60]), "told from further away");
    }

    #[test]
    fn runs_of_two_or_three_early_beats_whose_p_waves_are_hidden_are_not_irregular() {
        let run = [820.0, 860.0, 560.0, 430.0, 900.0, 600.0, 400.0, 390.0];
        let runs: Vec<f32> = (0..60).map(|i| run[i % 8]).collect();
        let clearness = |r: &f32| Some(if *r < 800.0 { 0.0 } else { 0.8 });
        let hidden: Vec<Option<f32>> = runs.iter().map(clearness).collect();
        assert!(!is_irregular(&runs, &[BeatClass::N; 60], &hidden));
    }
}
