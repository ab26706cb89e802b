//! Sine and exponential from additions and multiplications only: the same bits on every machine.

/// Sine of `turns` full turns, to about 4e-6.
pub(crate) fn sine_of_turns(turns: f64) -> f64 {
    let mut x = turns - (turns + 0.5).floor();
    if x > 0.25 {
        x = 0.5 - x;
    } else if x < -0.25 {
        x = -0.5 - x;
    }
    let y = x * std::f64::consts::TAU;
    let z = y * y;
    y * (1.0 - z / 6.0 * (1.0 - z / 20.0 * (1.0 - z / 42.0 * (1.0 - z / 72.0))))
}

/// e to the `x`, to about 1e-12 relative; 0 below -700 and held at 700 above.
pub(crate) fn exponential(x: f64) -> f64 {
    if x < -700.0 {
        return 0.0;
    }
    let x = x.min(700.0);
    let n = (x * std::f64::consts::LOG2_E).round();
    let r = x - n * std::f64::consts::LN_2;
    let mut sum = 1.0;
    for k in (1..=11).rev() {
        sum = 1.0 + sum * r / f64::from(k);
    }
    // n lies within -1010..=1010, so the exponent field is valid.
    sum * f64::from_bits(((n as i64 + 1023) as u64) << 52)
}

/// Rises smoothly from 0 to 1 while `x` goes from 0 to 1.
pub(crate) fn smooth_step(x: f64) -> f64 {
    let x = x.clamp(0.0, 1.0);
    x * x * (3.0 - 2.0 * x)
}

/// A plateau of 1 between `start` and `end` that rises over `up` after the start and falls over `down` before
/// the end.
pub(crate) fn plateau(at: f64, start: f64, end: f64, up: f64, down: f64) -> f64 {
    if at <= start || at >= end {
        return 0.0;
    }
    smooth_step((at - start) / up.max(1e-9)).min(smooth_step((end - at) / down.max(1e-9)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sine_and_exponential_agree_with_the_standard_library() {
        for i in -400..=400 {
            let x = f64::from(i) * 0.0173;
            assert!((sine_of_turns(x) - (x * std::f64::consts::TAU).sin()).abs() < 5e-6, "{x}");
            assert!((exponential(x) / x.exp() - 1.0).abs() < 1e-11, "{x}");
        }
        assert_eq!(exponential(-1e9), 0.0);
    }
}
