//! Comparison of measurements such as heart rate (EC57 measurement comparator).

/// Error of a series of measurements.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeasurementError {
    /// Number of test values scored.
    pub count: u64,
    /// Mean of the paired reference values, in their unit; must be reported with the error.
    pub mean_reference: f64,
    /// Root mean square error, in the unit of the values.
    pub rms: f64,
    /// `100 * rms / mean reference`, percent; `None` when the mean is not above zero.
    pub normalised_percent: Option<f64>,
}

impl MeasurementError {
    /// The error over the values of several records together; `None` without any.
    pub fn gross<'a>(records: impl Iterator<Item = &'a MeasurementError>) -> Option<Self> {
        let (mut count, mut sum, mut sum_e2) = (0u64, 0.0, 0.0);
        for one in records {
            let n = one.count as f64;
            count += one.count;
            sum += one.mean_reference * n;
            sum_e2 += one.rms.powi(2) * n;
        }
        Self::of_sums(count, sum, sum_e2)
    }

    fn of_sums(count: u64, sum: f64, sum_e2: f64) -> Option<Self> {
        let n = count as f64;
        (count > 0).then(|| Self {
            count,
            mean_reference: sum / n,
            rms: (sum_e2 / n).sqrt(),
            normalised_percent: (sum > 0.0).then(|| 100.0 * (n * sum_e2).sqrt() / sum),
        })
    }
}

/// Pairs each test value (sample, value) at or after `first_sample` with the reference value nearest in
/// time, the earlier of two equally near. Both series are sorted by sample; values that are no numbers are
/// left out. `None` when nothing pairs.
pub fn compare_measurements(
    reference: &[(i64, f64)],
    test: &[(i64, f64)],
    first_sample: i64,
) -> Option<MeasurementError> {
    let usable = |series: &[(i64, f64)]| -> Vec<(i64, f64)> {
        series.iter().copied().filter(|(at, v)| *at >= first_sample && v.is_finite()).collect()
    };
    let (reference, test) = (usable(reference), usable(test));
    let (mut count, mut sum, mut sum_e2) = (0u64, 0.0, 0.0);
    for (at, value) in test {
        let after = reference.partition_point(|r| r.0 < at);
        let near = [after.checked_sub(1), Some(after)];
        let near = near.into_iter().flatten().filter_map(|i| reference.get(i));
        // The minimum is the first of equals, which is the earlier.
        let Some((_, expected)) = near.min_by_key(|r| r.0.abs_diff(at)) else { continue };
        count += 1;
        sum += expected;
        sum_e2 += (value - expected).powi(2);
    }
    MeasurementError::of_sums(count, sum, sum_e2)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matrix::tests::assert_near;

    /// Worked by hand from the definition: errors 1, 0, -2; sqrt(5/3) and 100 * sqrt(15) / 210.
    #[test]
    fn heart_rates_of_60_70_80_measured_as_61_70_78_err_by_1_84_percent() {
        let reference = [(0, 60.0), (1000, 70.0), (2000, 80.0)];
        let test = [(10, 61.0), (990, 70.0), (2400, 78.0)];
        let error = compare_measurements(&reference, &test, 0).unwrap();
        assert_near(Some(error.rms), 1.2910);
        assert_near(error.normalised_percent, 1.8443);
        assert_eq!((error.count, error.mean_reference), (3, 70.0));
    }

    /// The same three values, told as two records.
    #[test]
    fn the_gross_error_of_two_records_is_that_of_their_values_together() {
        let first = compare_measurements(&[(0, 60.0), (1000, 70.0)], &[(0, 61.0), (1000, 70.0)], 0).unwrap();
        let second = compare_measurements(&[(0, 80.0)], &[(0, 78.0)], 0).unwrap();
        let both = MeasurementError::gross([first, second].iter()).unwrap();
        assert_near(Some(both.rms), 1.2910);
        assert_near(both.normalised_percent, 1.8443);
        assert_eq!(MeasurementError::gross(std::iter::empty()), None);
    }

    #[test]
    fn learning_time_and_values_that_are_no_numbers_are_left_out() {
        let reference = [(0, 60.0), (1000, f64::NAN), (2000, 80.0)];
        let error = compare_measurements(&reference, &[(0, 10.0), (1000, 82.0)], 500).unwrap();
        assert_eq!((error.count, error.rms), (1, 2.0));
        assert_eq!(compare_measurements(&reference, &[(0, f64::NAN)], 0), None);
        assert_eq!(compare_measurements(&[], &[(0, 1.0)], 0), None);
    }
}
