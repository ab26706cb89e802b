//! Gain and zero of a lead, from and into the four range fields of an EDF signal.

use beatledger_core::model::{Lead, Unit};

use super::number::{Decimal, eight_chars};

/// The four range fields and the unit, as text to write.
pub(super) struct RangeText {
    pub(super) unit: &'static str,
    pub(super) physical: (String, String),
    pub(super) digital: (i32, i32),
    /// Largest error that rounding to eight characters brings, as a part of the range.
    pub(super) error: f64,
}

/// ADC units per physical unit and the ADC value of 0, from the range fields; exact where they allow it.
pub(super) fn gain_and_zero(physical: (Decimal, Decimal), digital: (i32, i32)) -> Option<(f64, f64)> {
    let steps = i128::from(digital.1) - i128::from(digital.0);
    let (min, max) = (physical.0.to_f64(), physical.1.to_f64());
    if steps <= 0 || !min.is_finite() || !max.is_finite() || min == max {
        return None;
    }
    let (gain, zero) = match physical.0.aligned(physical.1) {
        Some((min, max, exponent)) if max.abs() < 1 << 60 && min.abs() < 1 << 60 => {
            let range = max - min;
            let zero = (i128::from(digital.0) * range - min * steps) as f64 / range as f64;
            let scaled = if (0..=15).contains(&-exponent) {
                (steps * 10i128.pow(exponent.unsigned_abs())) as f64 / range as f64
            } else {
                steps as f64 / range as f64 * 10f64.powi(-exponent)
            };
            (scaled, zero)
        }
        _ => {
            let gain = steps as f64 / (max - min);
            (gain, f64::from(digital.0) - min * gain)
        }
    };
    (gain.is_finite() && gain != 0.0 && zero.is_finite()).then_some((gain, zero))
}

/// Range fields for a lead. Where the lead has rails they become the digital range; else the range may give up
/// a few steps at each end so that the physical limits become short decimals.
pub(super) fn range_text(lead: &Lead) -> Option<RangeText> {
    const FULL: (i32, i32) = (i16::MIN as i32, i16::MAX as i32);
    const SPARE_STEPS: i32 = 256;
    let inside = |rails: &(i32, i32)| FULL.0 <= rails.0 && rails.0 < rails.1 && rails.1 <= FULL.1;
    let (range, spare) = match lead.rails.filter(inside) {
        Some(rails) if rails != FULL => (rails, 0),
        _ => (FULL, SPARE_STEPS),
    };
    if lead.unit == Unit::Uncalibrated {
        let physical = (range.0.to_string(), range.1.to_string());
        return Some(RangeText { unit: "", physical, digital: range, error: 0.0 });
    }
    let in_unit = |unit: &'static str, units_per_mv: f64| {
        let full_scale = f64::from(range.1 - range.0) / lead.adc_per_mv.abs() * units_per_mv;
        let end = |from: i32, direction: i32| {
            let tries = (0..=spare).filter_map(|k| {
                let digital = from + k * direction;
                let exact = (f64::from(digital) - lead.adc_zero) / lead.adc_per_mv * units_per_mv;
                let text = eight_chars(exact)?;
                let error = (text.parse::<f64>().ok()? - exact).abs() / full_scale;
                Some((error, k, digital, text))
            });
            // Errors below binary noise are all alike: then the fullest range wins.
            tries.min_by(|a, b| a.0.max(1e-13).total_cmp(&b.0.max(1e-13)).then(a.1.cmp(&b.1)))
        };
        let (low, high) = (end(range.0, 1)?, end(range.1, -1)?);
        let differs = low.3 != high.3;
        let (physical, digital) = ((low.3, high.3), (low.2, high.2));
        differs.then(|| RangeText { unit, physical, digital, error: low.0.max(high.0) })
    };
    let both = [in_unit("mV", 1.0), in_unit("uV", 1000.0)];
    both.into_iter().flatten().min_by(|a, b| a.error.max(1e-13).total_cmp(&b.error.max(1e-13)))
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;

    fn lead(adc_per_mv: f64, adc_zero: f64, rails: Option<(i32, i32)>) -> Lead {
        Lead {
            name: "I".into(),
            unit: Unit::Millivolt,
            adc_per_mv,
            adc_zero,
            missing: None,
            rails,
            prefilter: String::new(),
            samples: Arc::new(Vec::<i16>::new()),
        }
    }

    fn round_trip(lead: &Lead) -> (f64, f64) {
        let text = range_text(lead).unwrap();
        let decimal = |t: &str| Decimal::parse(t).unwrap().0;
        let physical = (decimal(&text.physical.0), decimal(&text.physical.1));
        let (gain, zero) = gain_and_zero(physical, text.digital).unwrap();
        (if text.unit == "uV" { gain * 1000.0 } else { gain }, zero)
    }

    #[test]
    fn common_gains_come_back_exactly() {
        for (gain, zero, rails) in
            [(200.0, 0.0, None), (200.0, 1024.0, Some((0, 2047))), (1000.0, 0.0, None), (-400.0, 0.0, None)]
        {
            assert_eq!(round_trip(&lead(gain, zero, rails)), (gain, zero));
        }
    }

    #[test]
    fn an_odd_gain_comes_back_to_one_part_in_ten_million() {
        for odd in [lead(74_470.328_135_908_79, -352_766.0, None), lead(409.6, 0.0, Some((-2048, 2047)))] {
            let (gain, _) = round_trip(&odd);
            assert!((gain / odd.adc_per_mv - 1.0).abs() < 1e-7, "{gain}");
        }
    }

    #[test]
    fn the_range_of_the_standards_own_example_gives_its_value() {
        // Range -5..5 mV, digital -2048..2047: digital 0 is 0.001221 mV.
        let decimal = |t: &str| Decimal::parse(t).unwrap().0;
        let (gain, zero) = gain_and_zero((decimal("-5"), decimal("5")), (-2048, 2047)).unwrap();
        assert!(((0.0 - zero) / gain - 0.001_221).abs() < 1e-6);
        assert_eq!(gain_and_zero((decimal("5"), decimal("5.0")), (0, 1)), None);
        assert_eq!(gain_and_zero((decimal("0"), decimal("1")), (3, 3)), None);
    }
}
