//! Medians and quantiles of lists of numbers, and curves through points.
//!
//! Every function gives `None` where the list holds too few values.
//! A slice that is handed in is reordered.

use std::cmp::Ordering;

/// Points of a curve, straight between them and level beyond its ends.
pub type Curve = &'static [(f64, f64)];

/// The value of a curve.
pub fn on_curve(curve: Curve, x: f64) -> f64 {
    let after = curve.iter().position(|p| x < p.0).unwrap_or(curve.len());
    match (curve.get(after.wrapping_sub(1)), curve.get(after)) {
        (Some(low), Some(high)) => low.1 + (high.1 - low.1) * (x - low.0) / (high.0 - low.0),
        (Some(end), None) | (None, Some(end)) => end.1,
        (None, None) => 0.0,
    }
}

/// A number with a total order, so that a rank is always defined.
pub trait Ordered: Copy {
    /// Compares two numbers; of floating-point numbers by their total order (IEEE 754, `totalOrder`).
    fn order(&self, other: &Self) -> Ordering;
}

macro_rules! ordered {
    ($compare:ident: $($number:ty),*) => { $(
        impl Ordered for $number {
            fn order(&self, other: &Self) -> Ordering {
                self.$compare(other)
            }
        }
    )* };
}

ordered!(cmp: i16, i32, i64, u32, u64);
ordered!(total_cmp: f32, f64);

/// The value of `rank`; rank 0 is the smallest value.
pub fn ranked<T: Ordered>(values: &mut [T], rank: usize) -> Option<T> {
    (rank < values.len()).then(|| *values.select_nth_unstable_by(rank, T::order).1)
}

/// The value of `rank` among numbers that are not negative, given and sorted by their bits.
///
/// Bits of such numbers have the order of the numbers themselves and are quicker to compare.
pub fn ranked_by_bits(bits: &mut [u32], rank: usize) -> Option<f32> {
    ranked(bits, rank).map(f32::from_bits)
}

/// The middle value, and of an even number of values the upper one of the middle two.
pub fn upper_median<T: Ordered>(values: &mut [T]) -> Option<T> {
    ranked(values, values.len() / 2)
}

/// The middle value, and of an even number of values the lower one of the middle two.
pub fn lower_median<T: Ordered>(values: &mut [T]) -> Option<T> {
    ranked(values, values.len().saturating_sub(1) / 2)
}

/// The middle value, and of an even number of values the mean of the middle two.
pub fn median<T: Ordered + Into<f64>>(values: &mut [T]) -> Option<f64> {
    Some((lower_median(values)?.into() + upper_median(values)?.into()) / 2.0)
}

/// The value at `share` (0 to 1) of the sorted values, the nearest one where `share` falls between two.
///
/// At a share of one half this is [`upper_median`].
pub fn quantile<T: Ordered>(values: impl IntoIterator<Item = T>, share: f64) -> Option<T> {
    let mut values: Vec<T> = values.into_iter().collect();
    let rank = rank_at(values.len(), share);
    ranked(&mut values, rank)
}

/// Rank of the value at `share` (0 to 1) of `count` sorted values; 0 of none.
pub fn rank_at(count: usize, share: f64) -> usize {
    (count.saturating_sub(1) as f64 * share).round() as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_an_odd_number_of_values_every_median_is_the_middle_one() {
        let values = [9i64, 1, 5, 3, 7];
        assert_eq!(upper_median(&mut values.clone()), Some(5));
        assert_eq!(lower_median(&mut values.clone()), Some(5));
        assert_eq!(median(&mut values.map(|v| v as f64)), Some(5.0));
    }

    #[test]
    fn of_an_even_number_of_values_the_medians_differ() {
        let values = [4.0f32, 1.0, 2.0, 8.0];
        assert_eq!(upper_median(&mut values.clone()), Some(4.0));
        assert_eq!(lower_median(&mut values.clone()), Some(2.0));
        assert_eq!(median(&mut values.clone()), Some(3.0));
    }

    #[test]
    fn a_quantile_is_the_nearest_of_the_sorted_values() {
        let values = [50, 10, 40, 20, 30];
        assert_eq!(
            [0.0, 0.2, 0.25, 0.4, 0.5, 1.0].map(|share| quantile(values, share)),
            [Some(10), Some(20), Some(20), Some(30), Some(30), Some(50)]
        );
        assert_eq!(quantile([1, 2, 3, 4], 0.5), Some(3), "as the upper median");
    }

    #[test]
    fn bits_of_numbers_that_are_not_negative_have_the_order_of_the_numbers() {
        let values = [0.3f32, 0.0, 1e9, 1e-9, 2.5];
        assert_eq!(ranked_by_bits(&mut values.map(f32::to_bits), 3), Some(2.5));
    }

    #[test]
    fn a_list_without_values_has_no_median_and_a_rank_beyond_the_list_no_value() {
        assert_eq!(upper_median::<f32>(&mut []), None);
        assert_eq!(lower_median::<i16>(&mut []), None);
        assert_eq!(median::<f64>(&mut []), None);
        assert_eq!(quantile(std::iter::empty::<f64>(), 0.5), None);
        assert_eq!(ranked(&mut [1u64, 2], 2), None);
        assert_eq!(ranked_by_bits(&mut [], 0), None);
    }

    #[test]
    fn a_curve_is_straight_between_its_points_and_level_beyond_them() {
        let curve: Curve = &[(1.0, 10.0), (2.0, 20.0), (4.0, 0.0)];
        let at = [0.0, 1.0, 1.5, 3.0, 4.0, 9.0].map(|x| on_curve(curve, x));
        assert_eq!(at, [10.0, 10.0, 15.0, 10.0, 0.0, 0.0]);
    }
}
