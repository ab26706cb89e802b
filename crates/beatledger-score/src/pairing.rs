//! Which test beat belongs to which reference beat (EC57 beat-by-beat comparison).

use beatledger_core::model::{BeatClass, Rate, Span};

use crate::matrix::{Column, Row};

/// One annotator's view of a recording.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Annotations {
    /// Beats: sample and class, sorted by sample.
    pub beats: Vec<(i64, BeatClass)>,
    /// Stretches that this annotator calls unreadable, sorted and disjoint.
    pub shutdown: Vec<Span>,
    /// Stretches of ventricular fibrillation or flutter, sorted and disjoint.
    pub vf: Vec<Span>,
    /// Stretches of atrial fibrillation, sorted and disjoint; runs and episodes look at them.
    pub af: Vec<Span>,
    /// Stretches of atrial flutter, sorted and disjoint: a long supraventricular run, and neither right nor
    /// wrong where fibrillation is compared.
    pub flutter: Vec<Span>,
    /// Stretches of second or third degree AV block, sorted and disjoint.
    pub blocks: Vec<Span>,
    /// Whether this annotator names rhythms at all: without, the absence of one says nothing.
    pub names_rhythms: bool,
}

impl Annotations {
    /// Beats alone; they are put in order.
    pub fn of_beats(mut beats: Vec<(i64, BeatClass)>) -> Self {
        beats.sort();
        Self { beats, ..Self::default() }
    }
}

/// How to compare.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rules {
    /// Learning period at the start that is not scored, seconds.
    pub learning_s: f64,
    /// Largest distance of two paired beats, ms, inclusive.
    pub window_ms: u32,
}

impl Rules {
    /// EC57: the first 5 minutes are for learning, beats pair within 150 ms.
    pub const EC57: Rules = Rules { learning_s: 300.0, window_ms: 150 };

    /// The same window with nothing left out, as most papers count.
    pub const WHOLE: Rules = Rules { learning_s: 0.0, window_ms: 150 };

    /// First sample of the test period.
    pub fn first_sample(&self, rate: Rate) -> i64 {
        rate.samples_from_seconds(self.learning_s)
    }

    /// Whole samples in the match window: two beats pair when they are at most this many apart.
    /// Rounded down, so that nothing beyond the window pairs.
    pub fn window_samples(&self, rate: Rate) -> i64 {
        let (samples, seconds) = rate.parts();
        i64::from(self.window_ms) * i64::from(samples) / (1000 * i64::from(seconds))
    }
}

/// What became of one beat or two.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pair {
    /// Row of the matrix.
    pub row: Row,
    /// Column of the matrix.
    pub column: Column,
    /// Index of the reference beat; `None` for a beat that only the test has.
    pub reference: Option<usize>,
    /// Index of the test beat; `None` for a missed one.
    pub test: Option<usize>,
}

/// Pairs the beats of the test period in one forward pass.
///
/// The earlier of the two beats at hand pairs with the other when they are within the window and the other
/// is strictly closer to it than to the next beat of its own file; otherwise it stays alone. A missed beat
/// inside the test's shutdown gets the column `x`, an added beat inside the reference's shutdown the row
/// `X`. Reference beats inside reference VF are not read; added beats there are not counted.
pub fn pairs(rate: Rate, reference: &Annotations, test: &Annotations, rules: &Rules) -> Vec<Pair> {
    let (start, window) = (rules.first_sample(rate), rules.window_samples(rate));
    let refs: Vec<usize> = (0..reference.beats.len())
        .filter(|i| reference.beats[*i].0 >= start && !inside(&reference.vf, reference.beats[*i].0))
        .collect();
    let mut pass = Pass { reference, test, refs, start, window, i: 0, j: 0, out: Vec::new() };
    pass.j = pass.first_test();
    pass.run();
    pass.out
}

struct Pass<'a> {
    reference: &'a Annotations,
    test: &'a Annotations,
    /// Indices of the reference beats that are read.
    refs: Vec<usize>,
    start: i64,
    window: i64,
    i: usize,
    j: usize,
    out: Vec<Pair>,
}

impl Pass<'_> {
    fn ref_at(&self, i: usize) -> Option<i64> {
        self.refs.get(i).map(|r| self.reference.beats[*r].0)
    }

    fn test_at(&self, j: usize) -> Option<i64> {
        self.test.beats.get(j).map(|b| b.0)
    }

    /// The first test beat to look at. One just before the test period may belong to the first reference
    /// beat; those in its first window are passed over while the one after is nearer to that beat.
    fn first_test(&self) -> usize {
        let mut j = self.test.beats.partition_point(|b| b.0 < self.start - self.window);
        if let Some(first) = self.ref_at(0) {
            while let (Some(t), Some(next)) = (self.test_at(j), self.test_at(j + 1))
                && t < self.start + self.window
                && first.abs_diff(next) < first.abs_diff(t)
            {
                j += 1;
            }
        }
        j
    }

    fn run(&mut self) {
        loop {
            match (self.ref_at(self.i), self.test_at(self.j)) {
                (None, None) => return,
                (None, Some(_)) => self.added(),
                (Some(_), None) => self.missed(),
                (Some(r), Some(t)) => {
                    let apart = r.abs_diff(t);
                    let is_near = apart <= self.window.unsigned_abs();
                    let closer_than =
                        |next: Option<i64>, other: i64| next.is_none_or(|next| apart < other.abs_diff(next));
                    if t <= r {
                        match is_near && closer_than(self.test_at(self.j + 1), r) {
                            true => self.paired(),
                            false => self.added(),
                        }
                    } else {
                        match is_near && closer_than(self.ref_at(self.i + 1), t) {
                            true => self.paired(),
                            false => self.missed(),
                        }
                    }
                }
            }
        }
    }

    fn paired(&mut self) {
        let reference = self.refs[self.i];
        let row = Row::of_class(self.reference.beats[reference].1);
        let column = Column::of_class(self.test.beats[self.j].1);
        self.out.push(Pair { row, column, reference: Some(reference), test: Some(self.j) });
        self.i += 1;
        self.j += 1;
    }

    fn added(&mut self) {
        let (sample, class) = self.test.beats[self.j];
        // Before the test period and in reference VF it is not counted at all.
        if sample >= self.start && !inside(&self.reference.vf, sample) {
            let row = if inside(&self.reference.shutdown, sample) { Row::X } else { Row::O };
            let column = Column::of_class(class);
            self.out.push(Pair { row, column, reference: None, test: Some(self.j) });
        }
        self.j += 1;
    }

    fn missed(&mut self) {
        let reference = self.refs[self.i];
        let (sample, class) = self.reference.beats[reference];
        let column = if inside(&self.test.shutdown, sample) { Column::X } else { Column::O };
        self.out.push(Pair { row: Row::of_class(class), column, reference: Some(reference), test: None });
        self.i += 1;
    }
}

/// True when `sample` lies in one of `spans` (sorted, disjoint).
pub(crate) fn inside(spans: &[Span], sample: i64) -> bool {
    let at = spans.partition_point(|s| s.end <= sample);
    spans.get(at).is_some_and(|s| s.contains(sample))
}

#[cfg(test)]
mod tests {
    use super::*;
    use BeatClass::{N, V};

    const RATE: Rate = Rate::whole_hz(1000);

    fn cells(reference: &[(i64, BeatClass)], test: &[(i64, BeatClass)], rules: &Rules) -> String {
        let (reference, test) = (Annotations::of_beats(reference.into()), Annotations::of_beats(test.into()));
        named(&pairs(RATE, &reference, &test, rules))
    }

    fn named(pairs: &[Pair]) -> String {
        let names: Vec<String> =
            pairs.iter().map(|p| format!("{}{}", p.row.letter(), p.column.letter())).collect();
        names.join(" ")
    }

    /// EC57 by 'Evaluating ECG Analyzers': the window is 150 ms, inclusive.
    #[test]
    fn beats_exactly_150_ms_apart_pair_and_beats_further_apart_do_not() {
        for sign in [1, -1] {
            assert_eq!(cells(&[(1000, N)], &[(1000 + 150 * sign, V)], &Rules::WHOLE), "Nv");
        }
        assert_eq!(cells(&[(1000, N)], &[(1151, V)], &Rules::WHOLE), "No Ov");
        assert_eq!(cells(&[(1000, N)], &[(849, V)], &Rules::WHOLE), "Ov No");
        // At 360 Hz 54 samples are 150 ms; at 257 in 2 s (128.5 Hz) 19 samples are 147.9 ms and 20 are more.
        assert_eq!(Rules::EC57.window_samples(Rate::whole_hz(360)), 54);
        assert_eq!(Rate::new(257, 2).map(|r| Rules::EC57.window_samples(r)), Some(19));
    }

    #[test]
    fn of_two_test_beats_near_one_reference_beat_the_nearer_pairs() {
        assert_eq!(cells(&[(1000, N)], &[(900, V), (1010, N)], &Rules::WHOLE), "Ov Nn");
        assert_eq!(cells(&[(1000, N)], &[(990, N), (1100, V)], &Rules::WHOLE), "Nn Ov");
        // Equally near: the earlier is not strictly closer and stays alone.
        assert_eq!(cells(&[(1000, N)], &[(950, V), (1050, N)], &Rules::WHOLE), "Ov Nn");
    }

    #[test]
    fn of_two_reference_beats_near_one_test_beat_the_nearer_pairs() {
        assert_eq!(cells(&[(900, V), (1010, N)], &[(1000, N)], &Rules::WHOLE), "Vo Nn");
        assert_eq!(cells(&[(990, N), (1100, V)], &[(1000, N)], &Rules::WHOLE), "Nn Vo");
    }

    #[test]
    fn beats_of_the_learning_period_are_not_scored() {
        let reference = [(100_000, V), (300_100, N), (301_000, N)];
        assert_eq!(cells(&reference, &[(100_000, N), (300_100, N), (301_000, N)], &Rules::EC57), "Nn Nn");
        assert_eq!(cells(&reference, &[(100_000, N), (300_100, N), (301_000, N)], &Rules::WHOLE), "Vn Nn Nn");
    }

    #[test]
    fn a_test_beat_just_before_minute_5_may_match_the_first_reference_beat_just_after() {
        assert_eq!(
            cells(&[(300_040, N), (301_000, N)], &[(299_950, N), (301_000, N)], &Rules::EC57),
            "Nn Nn"
        );
        // Without a partner it is simply not counted.
        assert_eq!(cells(&[(300_500, N)], &[(299_950, N)], &Rules::EC57), "No");
    }

    #[test]
    fn a_test_beat_in_the_first_150_ms_is_skipped_when_the_next_is_nearer_to_the_first_reference_beat() {
        assert_eq!(cells(&[(300_800, N)], &[(300_010, N), (300_805, N)], &Rules::EC57), "Nn");
        assert_eq!(cells(&[(300_800, N)], &[(300_160, N), (300_805, N)], &Rules::EC57), "On Nn");
    }

    #[test]
    fn shutdown_and_fibrillation_are_told_apart_from_plain_errors() {
        let reference = Annotations {
            beats: vec![(1000, N), (2000, V), (5000, N)],
            shutdown: vec![Span::new(3000, 4000)],
            vf: vec![Span::new(4500, 6000)],
            ..Annotations::default()
        };
        let test = Annotations {
            beats: vec![(1000, N), (3500, V), (4700, V), (7000, N)],
            shutdown: vec![Span::new(1900, 2500)],
            ..Annotations::default()
        };
        assert_eq!(named(&pairs(RATE, &reference, &test, &Rules::WHOLE)), "Nn Vx Xv On");
    }

    #[test]
    fn no_beats_at_all_give_no_pairs() {
        assert_eq!(cells(&[], &[], &Rules::EC57), "");
        assert_eq!(cells(&[], &[(300_000, N)], &Rules::EC57), "On");
    }
}
