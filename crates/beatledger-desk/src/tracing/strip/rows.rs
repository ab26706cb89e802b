//! Rows of the day strip: which stretch of the day each row shows.

use beatledger_core::model::{Rate, Recording, Span};

/// Rows of one length that begin at full multiples of it by the clock, so that the margin counts evenly.
pub struct StripRows {
    rate: Rate,
    /// Where row 0 begins against the first sample, ms; zero or negative.
    origin_ms: i64,
    /// Length of a row, ms.
    pub length_ms: i64,
}

impl StripRows {
    /// Rows of `length_s` seconds.
    pub fn new(recording: &Recording, length_s: f64) -> Self {
        let length_ms = ((length_s * 1000.0) as i64).max(1000);
        let origin_ms = recording.start.map_or(0, |s| -s.ms_of_day().rem_euclid(length_ms));
        Self { rate: recording.rate, origin_ms, length_ms }
    }

    /// The stretch of a row; the first one may begin before the recording, the last one end after it.
    pub fn span(&self, row: i64) -> Span {
        let at = |row: i64| {
            let ms = self.origin_ms.saturating_add(row.saturating_mul(self.length_ms));
            self.rate.samples_from_ms(ms as f64)
        };
        Span::new(at(row), at(row.saturating_add(1)))
    }

    /// The row that shows a sample.
    pub fn row_of(&self, sample: i64) -> i64 {
        let ms = self.rate.ms_from_samples(sample) - self.origin_ms as f64;
        let near = (ms / self.length_ms as f64).floor() as i64;
        // Row edges are rounded to samples, so the neighbour may be the one.
        [near - 1, near + 1].into_iter().find(|row| self.span(*row).contains(sample)).unwrap_or(near)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tests::made::MadeDay;
    use beatledger_core::model::LocalTime;

    #[test]
    fn rows_begin_at_full_minutes_of_the_clock_and_leave_no_sample_out() {
        let mut recording = (*MadeDay::minutes(10).snapshot().recording).clone();
        recording.start = Some(LocalTime(21 * 3_600_000 + 90_250));
        recording.rate = Rate::new(257, 2).unwrap();
        let rows = StripRows::new(&recording, 60.0);
        assert!(rows.span(0).start < 0);
        assert_eq!(recording.clock(rows.span(1).start), "21:02:00");
        for sample in (0..recording.samples).step_by(37) {
            assert!(rows.span(rows.row_of(sample)).contains(sample));
        }
        assert_eq!(rows.span(3).end, rows.span(4).start);
    }
}
