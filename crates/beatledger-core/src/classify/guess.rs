//! First guess of what is ectopic, from intervals alone: good enough to keep ectopy out of the first sinus
//! intervals, in bigeminy and in long runs too.

use super::timing::median;
use crate::model::BeatClass;

/// Intervals shorter than this share of the usual ones are a run and not a change of rate.
const FAST: f32 = 0.75;
/// A run goes on while its intervals stay below this share of the usual ones.
const STAYS: f32 = 0.8;
/// A run that falls back within so many beats is one at any rate.
pub const SHORT: usize = 120;
/// Half the changes from beat to beat in a run are smaller than this share of its interval; fibrillation that
/// comes fast changes more.
const EVEN: f32 = 0.08;
/// Longest interval of a long run, ms: tachycardia begins at 100 a minute (2015 ACC/AHA/HRS guideline).
const TACHYCARDIA_MS: f32 = 600.0;
/// A long run ends within this many beats.
const END: usize = 4;
/// A run whose end is not seen has at least so many beats.
const UNENDED: usize = 8;

/// A beat whose interval is much shorter than the one after it, and all beats of a run: see [`is_run`].
pub fn first_guess(rr: &[f32], runs: &[Span]) -> Vec<BeatClass> {
    let class = |i: usize| if early(rr, i) { BeatClass::S } else { BeatClass::N };
    let mut guess: Vec<BeatClass> = (0..rr.len()).map(class).collect();
    runs.iter().for_each(|run| guess[run.clone()].fill(BeatClass::S));
    guess
}

/// Runs that intervals alone tell, as numbers of beats.
pub fn runs(rr: &[f32]) -> Vec<Span> {
    let (mut runs, mut held, mut i) = (Vec::new(), Vec::<f32>::new(), 0);
    while i < rr.len() {
        if !rr[i].is_finite() {
            // What comes after a gap is not held against what was before it.
            held.clear();
        }
        let usual = if held.len() < 4 { f32::NAN } else { median(&mut held.clone()) };
        let end = if rr[i] < FAST * usual { fast_until(rr, i, usual) } else { None };
        if let Some(end) = end {
            runs.push(i..end);
            i = end;
            continue;
        }
        if rr[i].is_finite() && i > 0 && !early(rr, i) && !early(rr, i - 1) {
            if held.len() == 8 {
                held.remove(0);
            }
            held.push(rr[i]);
        }
        i += 1;
    }
    runs
}

/// Beats of one run, by number.
type Span = std::ops::Range<usize>;

fn early(rr: &[f32], i: usize) -> bool {
    rr.get(i + 1).is_some_and(|after| rr[i] < 0.75 * after)
}

/// True for the beats of tachycardias so long that they would be taken for the sinus rhythm: they never speak for it.
pub fn long_runs(runs: &[Span], rr: &[f32]) -> Vec<bool> {
    let mut inside = vec![false; rr.len()];
    let long =
        |run: &&Span| run.len() >= UNENDED && median(&mut rr[(*run).clone()].to_vec()) <= TACHYCARDIA_MS;
    runs.iter().filter(long).for_each(|run| inside[run.clone()].fill(true));
    inside
}

/// End of a fast stretch that begins with beat `from`, if it is a run; one slow interval alone does not end it.
fn fast_until(rr: &[f32], from: usize, usual: f32) -> Option<usize> {
    let fast = |j: usize| rr.get(j).is_some_and(|r| *r <= STAYS * usual);
    // A gap ends a stretch at once: what comes after it is another.
    let ends = |j: &usize| !rr[*j].is_finite() || (!fast(*j) && !fast(j + 1));
    let end = (from..rr.len()).find(ends).unwrap_or(rr.len());
    is_run(rr, from, end).then_some(end)
}

/// True when beats `from` to `end`, all fast, are a run of ectopy and not a change of the sinus rate.
///
/// A run comes at once and is even. A short one falls back to slow intervals. A long one is a tachycardia that
/// ends as suddenly as it came, as paroxysmal tachycardia does and sinus tachycardia does not (2015 ACC/AHA/HRS
/// guideline: 'abrupt onset and termination'); where its end is not seen, its beginning alone must tell.
pub fn is_run(rr: &[f32], from: usize, end: usize) -> bool {
    let beats = end.saturating_sub(from);
    if beats < 3 || !is_even(&rr[from..end]) {
        return false;
    }
    let interval = median(&mut rr[from..end].to_vec());
    let seen = rr.get(end).is_some_and(|r| r.is_finite());
    match (seen, beats <= SHORT) {
        (true, true) => true,
        (true, false) => interval <= TACHYCARDIA_MS && ends_at_once(rr, end, interval),
        (false, _) => interval <= TACHYCARDIA_MS && beats >= UNENDED,
    }
}

/// True when the intervals of a run hardly change from beat to beat.
pub fn is_even(run: &[f32]) -> bool {
    let mut changes: Vec<f32> = run.windows(2).map(|w| (w[1] - w[0]).abs()).collect();
    median(&mut changes) < EVEN * median(&mut run.to_vec())
}

/// True when the last intervals are as short as those of the whole run.
fn ends_at_once(rr: &[f32], end: usize, interval: f32) -> bool {
    let last = median(&mut rr[end - END..end].to_vec());
    last <= interval / STAYS.sqrt()
}

#[cfg(test)]
mod tests {
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
    fn only_a_tachycardia_is_kept_from_speaking_for_the_sinus_rhythm() {
        let kept = |slow: f32, fast: f32| {
            let mut rr = vec![slow; 80];
            rr[30..50].fill(fast);
            long_runs(&runs(&rr), &rr).iter().filter(|inside| **inside).count()
        };
        assert_eq!(kept(900.0, 420.0), 20);
        assert_eq!(kept(1100.0, 750.0), 0, "a quicker sinus rhythm of 80 a minute");
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
