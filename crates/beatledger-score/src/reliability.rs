//! Whether things are right as often as it was said they would be.
//!
//! Expected calibration error: the mean distance between what was said and what came true, over bins of what was said,
//! weighted by their number (Naeini, Cooper, Hauskrecht, 'Obtaining Well Calibrated Probabilities Using Bayesian Binning',
//! AAAI 2015).

use std::fmt::Write as _;

use crate::percent;

/// Bins of equal width from 0 to 1 (design choice: a bin is 5 % wide, as most of what is said lies near 1).
const BINS: usize = 20;

/// What was said and what came true in one bin.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bin {
    /// How many.
    pub count: u64,
    /// How many were right.
    pub right: u64,
    /// Sum of the certainties.
    pub said: f64,
}

/// Certainties laid beside what came true.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Reliability {
    bins: [Bin; BINS],
}

impl Reliability {
    /// Adds one thing that was said with this certainty, 0 to 1.
    pub fn add(&mut self, certainty: f64, right: bool) {
        let bin = &mut self.bins[((certainty * BINS as f64) as usize).min(BINS - 1)];
        bin.count += 1;
        bin.right += u64::from(right);
        bin.said += certainty;
    }

    /// Adds what another holds.
    pub fn merge(&mut self, other: &Self) {
        for (bin, more) in self.bins.iter_mut().zip(&other.bins) {
            bin.count += more.count;
            bin.right += more.right;
            bin.said += more.said;
        }
    }

    /// What was said with less than `certainty`, an edge of a bin, and what with as much or more, each in one bin.
    pub fn split(&self, certainty: f64) -> (Bin, Bin) {
        let edge = ((certainty * BINS as f64).round() as usize).min(BINS);
        (sum(&self.bins[..edge]), sum(&self.bins[edge..]))
    }

    /// Everything in one bin.
    pub fn all(&self) -> Bin {
        sum(&self.bins)
    }

    /// Expected calibration error, %; `None` where nothing was said.
    pub fn error_percent(&self) -> Option<f64> {
        let apart: f64 = self.bins.iter().map(|bin| (bin.said - bin.right as f64).abs()).sum();
        percent(apart, self.all().count as f64)
    }
}

fn sum(bins: &[Bin]) -> Bin {
    bins.iter().fold(Bin::default(), |all, bin| Bin {
        count: all.count + bin.count,
        right: all.right + bin.right,
        said: all.said + bin.said,
    })
}

/// A line a bin that holds anything, and the expected calibration error.
pub fn reliability_table(of: &Reliability) -> String {
    let mut out = format!("{:>10} {:>9} {:>9} {:>9}\n", "Said %", "Number", "Mean %", "Right %");
    for (i, bin) in of.bins.iter().enumerate().filter(|(_, bin)| bin.count > 0) {
        let edge = |i: usize| 100 * i / BINS;
        let between = format!("{} to {}", edge(i), edge(i + 1));
        // Writing into a String cannot fail.
        let _ = writeln!(out, "{between:>10} {}", bin_cells(bin));
    }
    let error = of.error_percent().map_or("-".to_owned(), |error| format!("{error:.2} %"));
    let _ = writeln!(out, "{:>10} {}\nExpected calibration error: {error}", "All", bin_cells(&of.all()));
    out
}

/// Number, mean of what was said, share that was right.
pub fn bin_cells(bin: &Bin) -> String {
    let of_count = |part: f64| percent(part, bin.count as f64).map_or("-".to_owned(), |p| format!("{p:.2}"));
    format!("{:>9} {:>9} {:>9}", bin.count, of_count(bin.said), of_count(bin.right as f64))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked by hand: of ten said with 0.92, eight are right; of ten said with 0.52, five. The error is
    /// (|9.2 - 8| + |5.2 - 5|) / 20 = 7 %.
    #[test]
    fn the_error_is_the_distance_of_what_was_said_from_what_came_true() {
        let mut said = Reliability::default();
        for i in 0..10 {
            said.add(0.92, i < 8);
            said.add(0.52, i < 5);
        }
        let (low, high) = said.split(0.8);
        assert_eq!((low.count, low.right, high.count, high.right), (10, 5, 10, 8));
        let error = said.error_percent().unwrap_or(f64::NAN);
        assert!((error - 100.0 * (1.2 + 0.2) / 20.0).abs() < 1e-9, "{error}");
        let text = reliability_table(&said);
        assert!(text.contains("90 to 95        10     92.00     80.00"), "{text}");
        assert!(text.contains("Expected calibration error: 7.00 %"), "{text}");
    }

    #[test]
    fn a_certainty_of_one_falls_into_the_last_bin_and_nothing_said_has_no_error() {
        let mut said = Reliability::default();
        assert_eq!(said.error_percent(), None);
        said.add(1.0, true);
        assert_eq!((said.all().count, said.error_percent()), (1, Some(0.0)));
        let mut twice = said;
        twice.merge(&said);
        assert_eq!(twice.all(), Bin { count: 2, right: 2, said: 2.0 });
    }
}
