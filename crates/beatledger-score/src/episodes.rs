//! Comparison of episodes such as atrial fibrillation (EC57 episode-by-episode comparison).

use beatledger_core::model::{Rate, Span};

use crate::percent;

const DAY_S: f64 = 86_400.0;

/// Counts and durations of episodes, to be summed over records.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct EpisodeTally {
    /// Reference episodes.
    pub reference: u64,
    /// Reference episodes that a test episode overlaps.
    pub reference_found: u64,
    /// Test episodes.
    pub test: u64,
    /// Test episodes that a reference episode overlaps.
    pub test_true: u64,
    /// Time in reference episodes, s.
    pub reference_s: f64,
    /// Time in test episodes, s.
    pub test_s: f64,
    /// Time in both, s.
    pub overlap_s: f64,
    /// Time that is compared, s.
    pub period_s: f64,
    /// Time outside reference episodes and excluded time, s.
    pub outside_s: f64,
    /// The part of `outside_s` in which there is no test episode either, s.
    pub outside_left_s: f64,
}

/// Episode figures, percent; `None` where the denominator is zero.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct EpisodeFigures {
    /// Episode sensitivity.
    pub episode_se_percent: Option<f64>,
    /// Episode positive predictivity.
    pub episode_pp_percent: Option<f64>,
    /// Duration sensitivity.
    pub duration_se_percent: Option<f64>,
    /// Duration positive predictivity.
    pub duration_pp_percent: Option<f64>,
    /// Duration specificity: time outside episodes that was left alone. Not a figure of the standard; papers
    /// on atrial fibrillation give it.
    pub duration_sp_percent: Option<f64>,
    /// Time wrongly called an episode, minutes in 24 h of the time compared.
    pub false_min_per_24h: Option<f64>,
}

impl EpisodeTally {
    /// Adds the counts of another record.
    pub fn merge(&mut self, other: &EpisodeTally) {
        self.reference += other.reference;
        self.reference_found += other.reference_found;
        self.test += other.test;
        self.test_true += other.test_true;
        self.reference_s += other.reference_s;
        self.test_s += other.test_s;
        self.overlap_s += other.overlap_s;
        self.period_s += other.period_s;
        self.outside_s += other.outside_s;
        self.outside_left_s += other.outside_left_s;
    }

    /// The figures.
    pub fn figures(&self) -> EpisodeFigures {
        EpisodeFigures {
            episode_se_percent: percent(self.reference_found as f64, self.reference as f64),
            episode_pp_percent: percent(self.test_true as f64, self.test as f64),
            duration_se_percent: percent(self.overlap_s, self.reference_s),
            duration_pp_percent: percent(self.overlap_s, self.test_s),
            duration_sp_percent: percent(self.outside_left_s, self.outside_s),
            false_min_per_24h: (self.period_s > 0.0)
                .then(|| (self.outside_s - self.outside_left_s) / 60.0 * DAY_S / self.period_s),
        }
    }
}

/// Compares the episodes of one record inside `period` (the recording less the learning time). Any overlap
/// makes an episode true. `excluded` time (flutter, in the comparison of atrial fibrillation) is cut out of
/// both sides; a test episode that touches it and no reference episode is left out altogether, neither
/// right nor wrong: that last point is a reading of our own.
pub fn episodes(
    rate: Rate,
    period: Span,
    reference: &[Span],
    test: &[Span],
    excluded: &[Span],
) -> EpisodeTally {
    let excluded = Span::merged(excluded.to_vec(), 0);
    let cut = |spans: &[Span]| -> Vec<Episode> {
        let clipped = spans.iter().map(|s| s.overlap(period)).collect();
        Span::merged(clipped, 0).into_iter().filter_map(|s| Episode::new(s, &excluded)).collect()
    };
    let (reference, mut test) = (cut(reference), cut(test));
    test.retain(|t| !t.touches_excluded || t.shared_with(&reference) > 0);
    let seconds = |samples: i64| rate.seconds_from_samples(samples);
    let samples = |episodes: &[Episode]| episodes.iter().map(Episode::samples).sum::<i64>();
    let pieces = |episodes: &[Episode]| episodes.iter().flat_map(|e| e.pieces.clone()).collect::<Vec<_>>();
    let left_of = |taken: Vec<Span>| period.len() - period.covered_by(&Span::merged(taken, 0));
    let not_outside = [pieces(&reference), excluded.clone()].concat();
    EpisodeTally {
        reference: reference.len() as u64,
        reference_found: reference.iter().filter(|r| r.shared_with(&test) > 0).count() as u64,
        test: test.len() as u64,
        test_true: test.iter().filter(|t| t.shared_with(&reference) > 0).count() as u64,
        reference_s: seconds(samples(&reference)),
        test_s: seconds(samples(&test)),
        overlap_s: seconds(reference.iter().map(|r| r.shared_with(&test)).sum()),
        period_s: seconds(period.len()),
        outside_s: seconds(left_of(not_outside.clone())),
        outside_left_s: seconds(left_of([not_outside, pieces(&test)].concat())),
    }
}

/// One episode with excluded time cut out of it.
struct Episode {
    pieces: Vec<Span>,
    touches_excluded: bool,
}

impl Episode {
    /// `None` when nothing is left.
    fn new(span: Span, excluded: &[Span]) -> Option<Self> {
        let mut pieces = Vec::new();
        let mut at = span.start;
        for hole in excluded.iter().filter(|e| e.touches(span)) {
            pieces.push(Span::new(at, hole.start));
            at = hole.end;
        }
        let touches_excluded = !pieces.is_empty();
        pieces.push(Span::new(at, span.end));
        pieces.retain(|p| !p.is_empty());
        (!pieces.is_empty()).then_some(Self { pieces, touches_excluded })
    }

    fn samples(&self) -> i64 {
        self.pieces.iter().map(|p| p.len()).sum()
    }

    /// Samples that it shares with the (disjoint) episodes of the other side.
    fn shared_with(&self, others: &[Episode]) -> i64 {
        let theirs = others.iter().flat_map(|o| &o.pieces);
        theirs.flat_map(|t| self.pieces.iter().map(|p| p.overlap(*t).len())).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tally(reference: &[(i64, i64)], test: &[(i64, i64)], excluded: &[(i64, i64)]) -> EpisodeTally {
        let spans = |list: &[(i64, i64)]| list.iter().map(|(a, b)| Span::new(*a, *b)).collect::<Vec<_>>();
        let period = Span::new(300, 10_000);
        episodes(Rate::whole_hz(1), period, &spans(reference), &spans(test), &spans(excluded))
    }

    /// EC57: any overlap makes an episode true; durations are compared by overlap.
    #[test]
    fn any_overlap_makes_an_episode_true_and_durations_count_seconds() {
        let tally = tally(&[(1000, 1100), (2000, 2100)], &[(1099, 1199), (5000, 5300)], &[]);
        assert_eq!((tally.reference, tally.reference_found, tally.test, tally.test_true), (2, 1, 2, 1));
        let figures = tally.figures();
        assert_eq!((figures.episode_se_percent, figures.episode_pp_percent), (Some(50.0), Some(50.0)));
        assert_eq!((figures.duration_se_percent, figures.duration_pp_percent), (Some(0.5), Some(0.25)));
    }

    #[test]
    fn episodes_that_only_touch_do_not_overlap() {
        assert_eq!(tally(&[(1000, 1100)], &[(1100, 1200)], &[]).test_true, 0);
    }

    #[test]
    fn flutter_is_neither_penalty_nor_reward() {
        let only_flutter = tally(&[(1000, 1100)], &[(2000, 2100)], &[(1990, 2090)]);
        assert_eq!((only_flutter.test, only_flutter.test_s), (0, 0.0));
        let both = tally(&[(1000, 1100)], &[(1050, 1200)], &[(1100, 1150)]);
        assert_eq!((both.test_true, both.test_s, both.overlap_s), (1, 100.0, 50.0));
    }

    #[test]
    fn the_learning_time_is_cut_off_and_no_episode_gives_no_figure() {
        assert_eq!(tally(&[(0, 400)], &[], &[]).reference_s, 100.0);
        let none = tally(&[(0, 300)], &[], &[]).figures();
        assert_eq!((none.episode_se_percent, none.episode_pp_percent), (None, None));
        assert_eq!((none.duration_se_percent, none.duration_pp_percent), (None, None));
    }

    /// Worked by hand: of 9700 s compared, 100 lie in the episode and 100 in flutter; 95 of the 9500 outside
    /// are called fibrillation.
    #[test]
    fn time_wrongly_called_an_episode_lowers_specificity_and_is_told_in_minutes_a_day() {
        let tally = tally(&[(1000, 1100)], &[(1005, 1195)], &[(3000, 3100)]);
        assert_eq!((tally.period_s, tally.outside_s, tally.outside_left_s), (9700.0, 9500.0, 9405.0));
        let figures = tally.figures();
        assert_eq!(figures.duration_sp_percent, Some(99.0));
        let expected = 95.0 / 60.0 * 86_400.0 / 9700.0;
        assert!(figures.false_min_per_24h.is_some_and(|m| (m - expected).abs() < 1e-9));
    }
}
