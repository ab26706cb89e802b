//! Running sums of values that may be missing, for means over any stretch.

/// Running sums of values that may be missing.
pub struct RunningMeans {
    sum: Vec<f64>,
    seen: Vec<u32>,
}

impl RunningMeans {
    /// Sums of `values`.
    pub fn of(values: impl Iterator<Item = Option<f32>>) -> Self {
        let (mut sum, mut seen) = (vec![0.0], vec![0]);
        for value in values {
            sum.push(sum[sum.len() - 1] + f64::from(value.unwrap_or(0.0)));
            seen.push(seen[seen.len() - 1] + u32::from(value.is_some()));
        }
        Self { sum, seen }
    }

    /// Mean of those between `from` and `to` that are there; `None` when fewer than `least` are.
    pub fn mean(&self, from: usize, to: usize, least: u32) -> Option<f32> {
        let seen = self.seen[to] - self.seen[from];
        (seen >= least).then(|| ((self.sum[to] - self.sum[from]) / f64::from(seen)) as f32)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mean_leaves_missing_values_out_and_is_none_where_too_few_are_there() {
        let means = RunningMeans::of([Some(1.0), None, Some(3.0), None, None].into_iter());
        assert_eq!(means.mean(0, 5, 2), Some(2.0));
        assert_eq!(means.mean(1, 5, 1), Some(3.0));
        assert_eq!(means.mean(1, 5, 2), None);
    }
}
