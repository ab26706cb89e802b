//! First guess of what is ectopic, from intervals alone: good enough to keep ectopy out of the first sinus
//! intervals, in bigeminy and in long runs too.

use std::ops::Range;

use super::rr_runs::is_early;
use crate::model::BeatClass;

/// A beat whose interval is much shorter than the one after it, and all beats of a run: see
/// [`is_run`](super::rr_runs::is_run).
pub fn first_guess(rr: &[f32], runs: &[Range<usize>]) -> Vec<BeatClass> {
    let class = |i: usize| if is_early(rr, i) { BeatClass::S } else { BeatClass::N };
    let mut guess: Vec<BeatClass> = (0..rr.len()).map(class).collect();
    runs.iter().for_each(|run| guess[run.clone()].fill(BeatClass::S));
    guess
}

#[cfg(test)]
mod tests {
    use super::super::rr_runs::runs;
    use super::*;

    fn guess(rr: &[f32]) -> Vec<BeatClass> {
        first_guess(rr, &runs(rr))
    }

    /// 200 beats at 800 ms with `beats` others from beat 30 on; how many of these are guessed to be ectopic.
    fn guessed(beats: usize, fast: impl Fn(usize) -> f32) -> usize {
        let mut rr = vec![800.0; 230 + beats];
        (30..30 + beats).for_each(|i| rr[i] = fast(i - 30));
        guess(&rr)[30..30 + beats].iter().filter(|c| **c == BeatClass::S).count()
    }

    #[test]
    fn an_even_run_is_ectopic_and_a_burst_of_uneven_beats_is_not() {
        assert_eq!(guessed(60, |i| 400.0 + (i % 3) as f32 * 5.0), 60);
        assert!(guessed(60, |i| 380.0 + ((i * 7919) % 160) as f32) < 30, "fibrillation that comes fast");
    }

    #[test]
    fn a_tachycardia_of_minutes_that_comes_and_goes_at_once_is_ectopic() {
        assert_eq!(guessed(1000, |i| 350.0 + (i % 5) as f32 * 3.0), 1000);
    }

    #[test]
    fn exercise_that_slows_down_gradually_is_sinus() {
        let slower = |i: usize| 420.0 + 0.38 * i as f32;
        assert!(guessed(1000, slower) < 10);
    }

    #[test]
    fn a_change_from_slow_to_ordinary_rate_is_no_tachycardia() {
        let mut rr = vec![1500.0; 40];
        rr.extend(vec![1000.0; 400]);
        rr.extend(vec![1500.0; 40]);
        assert!(guess(&rr).iter().filter(|c| **c == BeatClass::S).count() < 3);
    }

    #[test]
    fn a_tachycardia_cut_off_by_the_end_or_by_a_gap_is_ectopic_as_far_as_it_is_seen() {
        let mut rr = vec![900.0; 30];
        rr.extend(vec![450.0; 40]);
        assert_eq!(guess(&rr)[30..].iter().filter(|c| **c == BeatClass::S).count(), 40);
        rr.push(f32::NAN);
        rr.extend(vec![450.0; 400]);
        let ectopic = guess(&rr);
        assert_eq!(ectopic[30..70].iter().filter(|c| **c == BeatClass::S).count(), 40);
        assert_eq!(
            ectopic[75..].iter().filter(|c| **c == BeatClass::S).count(),
            0,
            "nothing known of its beginning"
        );
    }
}
