//! Moving sums over whole numbers: exact, so that a value never depends on where the sum was started.

/// Moving sums of `width` values of `x`, twice over: a triangle that reaches `width - 1` to both sides.
/// `out[i]` belongs to `x[i + width - 1]`; it has `x.len() - 2 * (width - 1)` values, none when `x` is shorter.
pub(crate) fn triangle_sums(x: &[i64], width: usize, scratch: &mut Vec<i64>, out: &mut Vec<i64>) {
    moving_sums(x, width, scratch);
    moving_sums(scratch, width, out);
}

/// Moving sums of `width` values: `out[i]` is the sum of `x[i..i + width]`.
pub(crate) fn moving_sums(x: &[i64], width: usize, out: &mut Vec<i64>) {
    out.clear();
    if width == 0 || x.len() < width {
        return;
    }
    let mut sum: i64 = x[..width].iter().sum();
    out.reserve(x.len() + 1 - width);
    out.push(sum);
    out.extend(x[width..].iter().zip(x).map(|(enters, leaves)| {
        sum += enters - leaves;
        sum
    }));
}

/// Width in samples of the moving sum that, taken twice and subtracted, passes -3 dB at `hz`.
///
/// The low-pass part is `sinc^2(f T)`; `1 - sinc^2(f T)` is -3 dB at `f T = 0.5733`.
pub(crate) fn highpass_width(hz: f64, rate_hz: f64) -> usize {
    ((0.5733 * rate_hz / hz).round() as usize).max(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_single_value_becomes_a_triangle() {
        let (mut scratch, mut out) = (Vec::new(), Vec::new());
        triangle_sums(&[0, 0, 0, 0, 1, 0, 0, 0, 0], 3, &mut scratch, &mut out);
        assert_eq!(out, [1, 2, 3, 2, 1]);
        triangle_sums(&[1, 2], 3, &mut scratch, &mut out);
        assert!(out.is_empty());
    }
}
