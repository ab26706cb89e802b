//! One line a record, gross and average over records.

use beatledger_core::model::{Rate, Span};

use crate::matrix::{BeatFigures, Matrix};
use crate::pairing::{Annotations, Pair, Rules, inside, pairs};

/// Squared differences of RR intervals, to be summed over records.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RrError {
    /// Number of pairs with an RR interval on both sides.
    pub count: u64,
    /// Sum of the squared differences, ms².
    pub sum_ms2: f64,
}

impl RrError {
    /// Root mean square, ms; `None` without a pair.
    pub fn rms_ms(&self) -> Option<f64> {
        (self.count > 0).then(|| (self.sum_ms2 / self.count as f64).sqrt())
    }
}

/// Result of one record.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Line {
    /// Name of the record.
    pub record: String,
    /// Its matrix.
    pub matrix: Matrix,
    /// Its RR error.
    pub rr: RrError,
    /// Time in the test period that the test called unreadable, s.
    pub shutdown_s: f64,
}

impl Line {
    /// Figures of this record.
    pub fn figures(&self) -> BeatFigures {
        BeatFigures { rr_error_ms: self.rr.rms_ms(), ..self.matrix.figures() }
    }
}

/// Compares the beats of one record.
pub fn compare(record: &str, rate: Rate, reference: &Annotations, test: &Annotations, rules: &Rules) -> Line {
    let pairs = pairs(rate, reference, test, rules);
    let mut matrix = Matrix::default();
    pairs.iter().for_each(|p| matrix.add(p.row, p.column));
    let start = rules.first_sample(rate);
    let shutdown = test.shutdown.iter().map(|s| Span::new(s.start.max(start), s.end).len()).sum();
    Line {
        record: record.to_owned(),
        matrix,
        rr: rr_error(rate, reference, test, &pairs, start),
        shutdown_s: rate.seconds_from_samples(shutdown),
    }
}

/// Over beats that pair: the interval before the reference beat against the interval before the test beat.
fn rr_error(rate: Rate, reference: &Annotations, test: &Annotations, pairs: &[Pair], start: i64) -> RrError {
    let mut error = RrError::default();
    for pair in pairs {
        let (Some(r), Some(t)) = (pair.reference, pair.test) else { continue };
        let (Some(ref_rr), Some(test_rr)) = (rr_before(reference, r, start), rr_before(test, t, start))
        else {
            continue;
        };
        error.count += 1;
        error.sum_ms2 += rate.ms_from_samples(ref_rr - test_rr).powi(2);
    }
    error
}

/// Samples from the beat before; `None` across the start of the test period, VF or shutdown.
fn rr_before(annotations: &Annotations, at: usize, start: i64) -> Option<i64> {
    let before = annotations.beats.get(at.checked_sub(1)?)?.0;
    let span = Span::new(before, annotations.beats[at].0);
    let crosses = |spans: &[Span]| {
        let first = spans.partition_point(|s| s.end <= span.start);
        spans.get(first).is_some_and(|s| s.touches(span))
    };
    let ends_inside = inside(&annotations.vf, span.end) || inside(&annotations.shutdown, span.end);
    let is_broken =
        before < start || ends_inside || crosses(&annotations.vf) || crosses(&annotations.shutdown);
    (!is_broken).then(|| span.len())
}

/// Sum of the matrices of all records.
pub fn gross_matrix(lines: &[Line]) -> Matrix {
    let mut matrix = Matrix::default();
    lines.iter().for_each(|l| matrix.merge(&l.matrix));
    matrix
}

/// Gross figures: counts are summed over records and then divided, so that every beat weighs the same.
pub fn gross(lines: &[Line]) -> BeatFigures {
    let mut rr = RrError::default();
    for line in lines {
        rr.count += line.rr.count;
        rr.sum_ms2 += line.rr.sum_ms2;
    }
    BeatFigures { rr_error_ms: rr.rms_ms(), ..gross_matrix(lines).figures() }
}

/// Average figures: the mean of the records' own figures where they have one, so that every record weighs
/// the same.
pub fn average(lines: &[Line]) -> BeatFigures {
    let figures: Vec<BeatFigures> = lines.iter().map(Line::figures).collect();
    let mean = |of: fn(&BeatFigures) -> Option<f64>| {
        let values: Vec<f64> = figures.iter().filter_map(of).collect();
        (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
    };
    BeatFigures {
        qse_percent: mean(|f| f.qse_percent),
        qpp_percent: mean(|f| f.qpp_percent),
        vse_percent: mean(|f| f.vse_percent),
        vpp_percent: mean(|f| f.vpp_percent),
        vfpr_percent: mean(|f| f.vfpr_percent),
        sse_percent: mean(|f| f.sse_percent),
        spp_percent: mean(|f| f.spp_percent),
        sfpr_percent: mean(|f| f.sfpr_percent),
        missed_in_shutdown_percent: mean(|f| f.missed_in_shutdown_percent),
        rr_error_ms: mean(|f| f.rr_error_ms),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matrix::tests::{assert_near, matrix};
    use beatledger_core::model::BeatClass::N;

    fn line(record: &str, cells: &str) -> Line {
        Line { record: record.into(), matrix: matrix(cells), ..Line::default() }
    }

    /// EC57: gross weighs beats, average weighs records; a record without VEB has no VEB sensitivity.
    #[test]
    fn gross_and_average_differ_and_records_without_the_class_are_left_out() {
        let lines = [line("a", "Vv 90, Vn 10"), line("b", "Vv 1, Vn 1"), line("c", "Nn 50")];
        assert_near(gross(&lines).vse_percent, 100.0 * 91.0 / 102.0);
        assert_near(average(&lines).vse_percent, 70.0);
        assert_eq!(average(&lines[2..]).vse_percent, None);
        assert_eq!(gross(&[]), BeatFigures::default());
        assert_eq!(average(&[]), BeatFigures::default());
    }

    #[test]
    fn the_rr_error_is_the_root_mean_square_over_pairs_with_both_intervals() {
        let reference = Annotations::of_beats(vec![(1000, N), (2000, N), (3000, N), (4000, N)]);
        let mut test = Annotations::of_beats(vec![(1000, N), (2003, N), (3000, N), (4001, N)]);
        let rate = Rate::whole_hz(1000);
        // Differences -3, 3 and -1 ms.
        let line = compare("a", rate, &reference, &test, &Rules::WHOLE);
        assert_eq!(line.rr, RrError { count: 3, sum_ms2: 19.0 });
        assert_near(line.figures().rr_error_ms, 2.5166);
        test.shutdown = vec![Span::new(2500, 2600)];
        let line = compare("a", rate, &reference, &test, &Rules::WHOLE);
        assert_eq!(line.rr, RrError { count: 2, sum_ms2: 10.0 });
        assert_eq!(line.shutdown_s, 0.1);
    }
}
