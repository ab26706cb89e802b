//! Comparison of ectopic runs (EC57 run-by-run comparison).
//!
//! A ventricular run is consecutive V or F beats, a supraventricular run consecutive S beats; any other
//! beat, unreadable time or fibrillation between two beats ends a run. VF is a ventricular run of the
//! longest kind, and atrial fibrillation or flutter a supraventricular one.

use beatledger_core::model::{BeatClass, Rate, Span};

use crate::pairing::{Annotations, Rules, inside};
use crate::percent;

/// Longest length that is told apart: 6 means '6 or more'.
const LONGEST: usize = 6;

/// Which runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RunClass {
    /// Consecutive V or F beats.
    Ventricular,
    /// Consecutive S beats.
    Supraventricular,
}

/// Run lengths against each other, 0 (none) to 6 (6 or more); reference rows, test columns.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct RunTally {
    /// One count a reference run: its length and the longest test run in its window.
    pub by_reference: [[u64; LONGEST + 1]; LONGEST + 1],
    /// One count a test run: the longest reference run in its window and its length.
    pub by_test: [[u64; LONGEST + 1]; LONGEST + 1],
}

/// Run figures, percent; `None` where there is no such run.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RunFigures {
    /// Couplet (2 beats) sensitivity.
    pub couplet_se_percent: Option<f64>,
    /// Couplet positive predictivity.
    pub couplet_pp_percent: Option<f64>,
    /// Short run (3 to 5 beats) sensitivity.
    pub short_se_percent: Option<f64>,
    /// Short run positive predictivity.
    pub short_pp_percent: Option<f64>,
    /// Long run (6 beats or more) sensitivity.
    pub long_se_percent: Option<f64>,
    /// Long run positive predictivity.
    pub long_pp_percent: Option<f64>,
}

impl RunTally {
    /// Adds the counts of another record.
    pub fn merge(&mut self, other: &RunTally) {
        for (mine, theirs) in
            [(&mut self.by_reference, &other.by_reference), (&mut self.by_test, &other.by_test)]
        {
            for (row, more) in mine.iter_mut().flatten().zip(theirs.iter().flatten()) {
                *row += more;
            }
        }
    }

    /// True when either side has a run of two beats or more.
    pub fn has_runs(&self) -> bool {
        let by_test = self.by_test.iter().flat_map(|row| &row[2..]);
        self.by_reference[2..].iter().flatten().chain(by_test).any(|count| *count > 0)
    }

    /// The figures.
    pub fn figures(&self) -> RunFigures {
        let se = |low, high| share(low, high, |own, other| self.by_reference[own][other]);
        let pp = |low, high| share(low, high, |own, other| self.by_test[other][own]);
        RunFigures {
            couplet_se_percent: se(2, 2),
            couplet_pp_percent: pp(2, 2),
            short_se_percent: se(3, 5),
            short_pp_percent: pp(3, 5),
            long_se_percent: se(6, 6),
            long_pp_percent: pp(6, 6),
        }
    }
}

/// Of the runs of `low..=high` beats, the share for which the other annotator has at least `low`.
fn share(low: usize, high: usize, count: impl Fn(usize, usize) -> u64) -> Option<f64> {
    let sum = |from| -> u64 {
        (low..=high)
            .flat_map(|own| (from..=LONGEST).map(move |o| (own, o)))
            .map(|(own, o)| count(own, o))
            .sum()
    };
    percent(sum(low) as f64, sum(0) as f64)
}

/// Compares the runs of one record: each run against the longest of the other annotator between its first
/// beat less the match window and its last beat plus the match window.
pub fn runs(
    class: RunClass,
    rate: Rate,
    reference: &Annotations,
    test: &Annotations,
    rules: &Rules,
) -> RunTally {
    let whole = Span::new(rules.first_sample(rate), i64::MAX);
    let window = rules.window_samples(rate);
    let (reference, test) = (Side::new(class, reference), Side::new(class, test));
    let longest = |side: &Side<'_>, run: &Run| {
        let within = Span::new(run.first.saturating_sub(window), run.last.saturating_add(window + 1));
        side.runs_in(within).iter().map(|r| r.beats).max().unwrap_or(0)
    };
    let mut tally = RunTally::default();
    for run in reference.runs_in(whole) {
        tally.by_reference[run.beats][longest(&test, &run)] += 1;
    }
    for run in test.runs_in(whole) {
        tally.by_test[longest(&reference, &run)][run.beats] += 1;
    }
    tally
}

struct Run {
    first: i64,
    last: i64,
    /// At most [`LONGEST`].
    beats: usize,
}

/// One annotator, as a class of runs sees it.
struct Side<'a> {
    class: RunClass,
    annotations: &'a Annotations,
    /// Stretches that are a run of the longest kind as a whole.
    maximal: Vec<Span>,
}

impl<'a> Side<'a> {
    fn new(class: RunClass, annotations: &'a Annotations) -> Self {
        let maximal = match class {
            RunClass::Ventricular => annotations.vf.clone(),
            RunClass::Supraventricular => Span::merged([&*annotations.af, &*annotations.flutter].concat(), 0),
        };
        Self { class, annotations, maximal }
    }

    /// The runs, single beats included, as far as they lie in `within`.
    fn runs_in(&self, within: Span) -> Vec<Run> {
        let mut runs: Vec<Run> = overlapping(&self.maximal, within)
            .map(|s| s.overlap(within))
            .map(|s| Run { first: s.start, last: s.end - 1, beats: LONGEST })
            .collect();
        let from = self.annotations.beats.partition_point(|b| b.0 < within.start);
        let mut open: Option<Run> = None;
        for (sample, beat) in self.annotations.beats[from..].iter().take_while(|b| b.0 < within.end) {
            let is_member = self.is_member(*beat) && !inside(&self.maximal, *sample);
            open = match open.take() {
                Some(run) if is_member && !self.is_broken(run.last, *sample) => {
                    Some(Run { last: *sample, beats: (run.beats + 1).min(LONGEST), ..run })
                }
                closed => {
                    runs.extend(closed);
                    is_member.then_some(Run { first: *sample, last: *sample, beats: 1 })
                }
            };
        }
        runs.extend(open);
        runs
    }

    fn is_member(&self, beat: BeatClass) -> bool {
        match self.class {
            RunClass::Ventricular => beat.is_ventricular(),
            RunClass::Supraventricular => beat == BeatClass::S,
        }
    }

    fn is_broken(&self, from: i64, to: i64) -> bool {
        let between = Span::new(from, to);
        [&self.annotations.shutdown, &self.annotations.vf, &self.maximal]
            .into_iter()
            .any(|spans: &Vec<Span>| overlapping(spans, between).next().is_some())
    }
}

/// Those of `spans` (sorted, disjoint) that share a sample with `within`.
fn overlapping(spans: &[Span], within: Span) -> impl Iterator<Item = Span> + '_ {
    let first = spans.partition_point(|s| s.end <= within.start);
    spans[first..]
        .iter()
        .copied()
        .take_while(move |s| s.start < within.end)
        .filter(move |s| s.touches(within))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Beats a second apart from letters, one a beat.
    fn beats(letters: &str) -> Annotations {
        let class = |c| BeatClass::from_letter(c).unwrap();
        Annotations::of_beats(letters.chars().enumerate().map(|(i, c)| (i as i64 * 1000, class(c))).collect())
    }

    fn tally(class: RunClass, reference: &Annotations, test: &Annotations) -> RunTally {
        runs(class, Rate::whole_hz(1000), reference, test, &Rules::WHOLE)
    }

    fn ventricular(reference: &str, test: &str) -> RunFigures {
        tally(RunClass::Ventricular, &beats(reference), &beats(test)).figures()
    }

    /// The example that follows from EC57's rules: a triplet found as a couplet.
    #[test]
    fn a_triplet_found_as_a_couplet_is_a_missed_short_run_and_a_true_couplet() {
        let figures = ventricular("NNVVVNN", "NNVVNNN");
        assert_eq!((figures.short_se_percent, figures.couplet_pp_percent), (Some(0.0), Some(100.0)));
        assert_eq!((figures.couplet_se_percent, figures.short_pp_percent), (None, None));
    }

    #[test]
    fn single_beats_are_no_run_and_a_run_of_either_side_is_one() {
        let has = |reference, test| tally(RunClass::Ventricular, &beats(reference), &beats(test)).has_runs();
        assert!(!has("NVNNV", "VNVNN"));
        assert!(has("NVVNN", "NNNNN") && has("NNNNN", "NVVNN"));
    }

    #[test]
    fn fusion_beats_belong_to_ventricular_runs_and_other_beats_end_them() {
        assert_eq!(ventricular("NVFVN", "NVVVN").short_se_percent, Some(100.0));
        let tally = tally(RunClass::Ventricular, &beats("VVSVVQV"), &beats("NNNNNNN"));
        assert_eq!((tally.by_reference[2][0], tally.by_reference[1][0]), (2, 1));
    }

    #[test]
    fn six_beats_and_more_are_one_kind() {
        assert_eq!(ventricular("NVVVVVVVVN", "NVVVVVVNNN").long_se_percent, Some(100.0));
        assert_eq!(ventricular("NVVVVVVVVN", "NVVVVVNNNN").long_se_percent, Some(0.0));
    }

    #[test]
    fn a_test_run_is_cut_to_the_window_of_the_reference_run() {
        // The test calls the whole stretch V: the reference couplet sees two beats of it.
        let tally = tally(RunClass::Ventricular, &beats("NNVVNN"), &beats("NVVVVN"));
        assert_eq!((tally.by_reference[2][2], tally.by_test[2][4]), (1, 1));
    }

    #[test]
    fn unreadable_time_ends_a_run_and_fibrillation_is_a_long_one() {
        let mut reference = beats("NVVVNN");
        reference.shutdown = vec![Span::new(1500, 1600)];
        let shut = tally(RunClass::Ventricular, &reference, &beats("NVVVNN"));
        assert_eq!((shut.by_reference[1][1], shut.by_reference[2][2]), (1, 1));
        let mut reference = beats("NNNNNN");
        reference.vf = vec![Span::new(500, 4500)];
        let vf = tally(RunClass::Ventricular, &reference, &beats("NVVVNN"));
        assert_eq!((vf.by_reference[6][3], vf.by_test[6][3]), (1, 1));
        let mut reference = beats("NNNNNN");
        reference.af = vec![Span::new(500, 5500)];
        let af = tally(RunClass::Supraventricular, &reference, &beats("NSSNNN"));
        assert_eq!((af.by_reference[6][2], af.by_test[6][2]), (1, 1));
        assert_eq!(af.figures().couplet_pp_percent, Some(100.0));
    }
}
