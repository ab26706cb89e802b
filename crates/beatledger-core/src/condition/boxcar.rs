//! Moving sums over whole numbers: exact, so that a value never depends on where the sum was started.

use super::calibration::HIGHPASS_HZ_S;

/// Moving sums of `width` values of `x`, twice over: a triangle that reaches `width - 1` to both sides.
/// `out[i]` belongs to `x[i + width - 1]`; it has `x.len() - 2 * (width - 1)` values, none when `x` is shorter.
pub(crate) fn triangle_sums(x: &[i64], width: usize, out: &mut Vec<i64>) {
    out.clear();
    let reach = 2 * width.max(1) - 1;
    if width == 0 || x.len() < reach {
        return;
    }
    let n = x.len() + 1 - reach;
    let weight = |k: usize| (width - k.abs_diff(width - 1)) as i64;
    let mut sum: i64 = x[..reach].iter().enumerate().map(|(k, v)| weight(k) * v).sum();
    // From one triangle to the next all values of the later half count once more, those of the earlier once less.
    let mut rise: i64 = x[width..reach].iter().sum::<i64>() - x[..width].iter().sum::<i64>();
    out.reserve(n);
    out.push(sum);
    let (first, middle, last) = (&x[..n - 1], &x[width..], &x[reach..]);
    out.extend(first.iter().zip(middle).zip(last).map(|((first, middle), last)| {
        sum += rise + last;
        rise += first - 2 * middle + last;
        sum
    }));
}

/// Width in samples of the moving sum that, taken twice and subtracted, passes -3 dB at `hz`.
///
/// The low-pass part is `sinc^2(f T)`, so that the filter is `1 - sinc^2(f T)`.
pub(crate) fn highpass_width(hz: f64, rate_hz: f64) -> usize {
    ((HIGHPASS_HZ_S * rate_hz / hz).round() as usize).max(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_single_value_becomes_a_triangle() {
        let mut out = Vec::new();
        triangle_sums(&[0, 0, 0, 0, 1, 0, 0, 0, 0], 3, &mut out);
        assert_eq!(out, [1, 2, 3, 2, 1]);
        triangle_sums(&[1, 2], 3, &mut out);
        assert!(out.is_empty());
    }

    #[test]
    fn every_triangle_is_the_sum_of_its_weighted_values() {
        let x: Vec<i64> = (0..60).map(|i| (i * 7919) % 2001 - 1000).collect();
        let mut out = Vec::new();
        for width in 1..31 {
            triangle_sums(&x, width, &mut out);
            let reach = 2 * width - 1;
            let weight = |k: usize| (width as i64) - (k as i64 - width as i64 + 1).abs();
            let slow =
                x.windows(reach).map(|w| w.iter().enumerate().map(|(k, v)| weight(k) * v).sum::<i64>());
            assert!(out.iter().copied().eq(slow), "{width}");
        }
    }
}
