//! The beat-by-beat matrix and what follows from it.

use beatledger_core::model::BeatClass;

use crate::percent;

/// What the reference says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Row {
    /// A normal beat.
    N,
    /// A supraventricular ectopic beat.
    S,
    /// A ventricular ectopic beat.
    V,
    /// A fusion beat.
    F,
    /// An unclassifiable beat.
    Q,
    /// No beat.
    O,
    /// No beat, inside time that the reference calls unreadable.
    X,
}

/// What the test says; the same seven in lower case.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Column {
    /// Called normal.
    N,
    /// Called supraventricular ectopic.
    S,
    /// Called ventricular ectopic.
    V,
    /// Called fusion.
    F,
    /// Called unclassifiable.
    Q,
    /// Missed.
    O,
    /// Missed inside time that the test calls unreadable.
    X,
}

const LETTERS: [char; 7] = ['N', 'S', 'V', 'F', 'Q', 'O', 'X'];

impl Row {
    /// All rows in order.
    pub const ALL: [Row; 7] = [Self::N, Self::S, Self::V, Self::F, Self::Q, Self::O, Self::X];

    /// The row of a class.
    pub fn of_class(class: BeatClass) -> Self {
        Self::ALL[class.index()]
    }

    /// Its capital letter.
    pub fn letter(self) -> char {
        LETTERS[self as usize]
    }
}

impl Column {
    /// All columns in order.
    pub const ALL: [Column; 7] = [Self::N, Self::S, Self::V, Self::F, Self::Q, Self::O, Self::X];

    /// The column of a class.
    pub fn of_class(class: BeatClass) -> Self {
        Self::ALL[class.index()]
    }

    /// Its small letter.
    pub fn letter(self) -> char {
        LETTERS[self as usize].to_ascii_lowercase()
    }
}

/// Counts by what the reference says (rows) and the test says (columns).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Matrix {
    cells: [[u64; 7]; 7],
}

/// Figures of the beat-by-beat comparison, percent; `None` where the denominator is zero.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct BeatFigures {
    /// QRS sensitivity.
    pub qse_percent: Option<f64>,
    /// QRS positive predictivity.
    pub qpp_percent: Option<f64>,
    /// VEB sensitivity.
    pub vse_percent: Option<f64>,
    /// VEB positive predictivity.
    pub vpp_percent: Option<f64>,
    /// VEB false positive rate.
    pub vfpr_percent: Option<f64>,
    /// SVEB sensitivity.
    pub sse_percent: Option<f64>,
    /// SVEB positive predictivity.
    pub spp_percent: Option<f64>,
    /// SVEB false positive rate, defined like that of VEB; not among the standard's own lines.
    pub sfpr_percent: Option<f64>,
    /// Beats missed while the test had shut down, of all reference beats.
    pub missed_in_shutdown_percent: Option<f64>,
    /// Root mean square difference of RR intervals, ms.
    pub rr_error_ms: Option<f64>,
}

const BEAT_ROWS: [Row; 5] = [Row::N, Row::S, Row::V, Row::F, Row::Q];
const BEAT_COLUMNS: [Column; 5] = [Column::N, Column::S, Column::V, Column::F, Column::Q];

impl Matrix {
    /// Counts one more.
    pub fn add(&mut self, row: Row, column: Column) {
        self.add_many(row, column, 1);
    }

    /// Counts `count` more.
    pub fn add_many(&mut self, row: Row, column: Column, count: u64) {
        self.cells[row as usize][column as usize] += count;
    }

    /// Adds the counts of another matrix.
    pub fn merge(&mut self, other: &Matrix) {
        for (row, others) in self.cells.iter_mut().zip(&other.cells) {
            row.iter_mut().zip(others).for_each(|(cell, more)| *cell += more);
        }
    }

    /// One cell.
    pub fn at(&self, row: Row, column: Column) -> u64 {
        self.cells[row as usize][column as usize]
    }

    /// Sum over all cells of `rows` x `columns`.
    pub fn sum(&self, rows: &[Row], columns: &[Column]) -> u64 {
        rows.iter().flat_map(|r| columns.iter().map(|c| self.at(*r, *c))).sum()
    }

    /// Reference beats scored.
    pub fn reference_beats(&self) -> u64 {
        self.sum(&BEAT_ROWS, &Column::ALL)
    }

    /// Reference beats of one class.
    pub fn reference_of(&self, class: BeatClass) -> u64 {
        self.sum(&[Row::of_class(class)], &Column::ALL)
    }

    /// The figures; `rr_error_ms` is not known to the matrix and stays `None`.
    pub fn figures(&self) -> BeatFigures {
        let ratio = |good: u64, bad: u64| percent(good as f64, good as f64 + bad as f64);
        let missed = [Column::O, Column::X];
        let qtp = self.sum(&BEAT_ROWS, &BEAT_COLUMNS);
        let qfn = self.sum(&BEAT_ROWS, &missed);
        let qfp = self.sum(&[Row::O, Row::X], &BEAT_COLUMNS);
        let vtp = self.at(Row::V, Column::V);
        let vfn = self.sum(&[Row::V], &[Column::N, Column::S, Column::F, Column::Q, Column::O, Column::X]);
        // A fusion or unclassifiable beat called V is no error of the VEB figures.
        let vfp = self.sum(&[Row::N, Row::S, Row::O, Row::X], &[Column::V]);
        let vtn = self.sum(
            &[Row::N, Row::S, Row::F, Row::Q, Row::O, Row::X],
            &[Column::N, Column::S, Column::F, Column::Q],
        );
        let stp = self.at(Row::S, Column::S);
        let sfn = self.sum(&[Row::S], &[Column::N, Column::V, Column::F, Column::Q, Column::O, Column::X]);
        // An unclassifiable beat called S is no error; a fusion beat called S is.
        let sfp = self.sum(&[Row::N, Row::V, Row::F, Row::O, Row::X], &[Column::S]);
        let stn = self.sum(
            &[Row::N, Row::V, Row::F, Row::Q, Row::O, Row::X],
            &[Column::N, Column::V, Column::F, Column::Q],
        );
        let in_shutdown = self.sum(&BEAT_ROWS, &[Column::X]);
        BeatFigures {
            qse_percent: ratio(qtp, qfn),
            qpp_percent: ratio(qtp, qfp),
            vse_percent: ratio(vtp, vfn),
            vpp_percent: ratio(vtp, vfp),
            vfpr_percent: ratio(vfp, vtn),
            sse_percent: ratio(stp, sfn),
            spp_percent: ratio(stp, sfp),
            sfpr_percent: ratio(sfp, stn),
            missed_in_shutdown_percent: percent(in_shutdown as f64, (qtp + qfn) as f64),
            rr_error_ms: None,
        }
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// A matrix from cells such as `Nn 950, Ns 5`.
    pub(crate) fn matrix(cells: &str) -> Matrix {
        let mut matrix = Matrix::default();
        for cell in cells.split(',') {
            let (name, count) = cell.trim().split_once(' ').unwrap();
            let mut letters = name.chars();
            let (row, column) = (letters.next().unwrap(), letters.next().unwrap());
            let row = Row::ALL.into_iter().find(|r| r.letter() == row).unwrap();
            let column = Column::ALL.into_iter().find(|c| c.letter() == column).unwrap();
            matrix.add_many(row, column, count.parse().unwrap());
        }
        matrix
    }

    pub(crate) const EXAMPLE: &str = "Nn 950, Ns 5, Nv 4, Nf 1, No 2, Sn 8, Ss 20, Sv 2, Vn 6, Vs 2, Vv 90, \
        Vf 1, Vo 1, Vx 2, Fn 2, Fv 3, Ff 1, Qn 1, Qv 1, On 3, Os 1, Ov 2";

    pub(crate) fn assert_near(value: Option<f64>, expected: f64) {
        assert!(value.is_some_and(|v| (v - expected).abs() < 5e-4), "{value:?} is not {expected}");
    }

    /// Worked by hand from the formulas of EC57 as restated in 'Evaluating ECG Analyzers':
    /// 1097/1102, 1097/1103, 90/102, 90/98, 8/1000, 20/30, 20/28.
    #[test]
    fn a_worked_example_gives_the_figures_of_the_formulas() {
        let figures = matrix(EXAMPLE).figures();
        assert_near(figures.qse_percent, 99.546);
        assert_near(figures.qpp_percent, 99.456);
        assert_near(figures.vse_percent, 88.235);
        assert_near(figures.vpp_percent, 91.837);
        assert_near(figures.vfpr_percent, 0.800);
        assert_near(figures.sse_percent, 66.667);
        assert_near(figures.spp_percent, 71.429);
        assert_near(figures.missed_in_shutdown_percent, 100.0 * 2.0 / 1102.0);
    }

    /// EC57: which confusions count against VEB and SVEB.
    #[test]
    fn fusion_and_unclassifiable_beats_called_v_are_forgiven_and_fusion_called_s_is_not() {
        let forgiven = matrix("Vv 1, Fv 9, Qv 9, Ss 1, Qs 9").figures();
        assert_eq!((forgiven.vpp_percent, forgiven.spp_percent), (Some(100.0), Some(100.0)));
        assert_eq!(matrix("Ss 1, Fs 1").figures().spp_percent, Some(50.0));
        assert_eq!(matrix("Vv 1, Xv 1").figures().vpp_percent, Some(50.0));
    }

    #[test]
    fn a_figure_without_a_denominator_is_none() {
        let figures = matrix("Nn 10").figures();
        assert_eq!((figures.vse_percent, figures.vpp_percent), (None, None));
        assert_eq!(figures.vfpr_percent, Some(0.0));
        assert_eq!(Matrix::default().figures(), BeatFigures::default());
    }
}
