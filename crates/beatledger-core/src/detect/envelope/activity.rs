//! How large the samples of a second are and how active the baseline is between beats.
//!
//! Beats of any kind leave the tracing at rest for a part of each second; an electrode that moves does not.

use crate::detect::calibration::baseline_activity::{MEAN_S, MIN_CHANGES, REST_QUANTILE};
use crate::model::Rate;
use crate::statistics::ranked;

/// Room for the changes of one second; a second of means of 20 ms has 49.
const MOST_CHANGES: usize = 64;

/// Peak to peak of the samples, ADC units; 0 of none.
pub fn peak_to_peak(samples: &[i32]) -> f32 {
    let (low, high) = samples.iter().fold((i32::MAX, i32::MIN), |(l, h), v| (l.min(*v), h.max(*v)));
    if samples.is_empty() { 0.0 } else { (i64::from(high) - i64::from(low)) as f32 }
}

/// Activity of the baseline, ADC units: a low quantile of the change from one short mean to the next.
/// It is 0 of too few changes.
pub fn baseline_activity(samples: &[i32], rate: Rate) -> f32 {
    let width = ((MEAN_S * rate.hz()).round() as usize).max(1);
    let total = |part: &[i32]| part.iter().map(|v| i64::from(*v)).sum::<i64>();
    let mut changes = [0u64; MOST_CHANGES];
    let mut count = 0;
    let mut before = None;
    for sum in samples.chunks_exact(width).map(total) {
        if let (Some(before), Some(change)) = (before, changes.get_mut(count)) {
            *change = sum.abs_diff(before);
            count += 1;
        }
        before = Some(sum);
    }
    if count < MIN_CHANGES {
        return 0.0;
    }
    let at = (count as f64 * REST_QUANTILE) as usize;
    ranked(&mut changes[..count], at).unwrap_or(0) as f32 / width as f32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_beat_leaves_the_second_at_rest_and_a_moving_electrode_does_not() {
        let rate = Rate::whole_hz(250);
        let beat: Vec<i32> =
            (0..250).map(|k: i32| if (100..125).contains(&k) { 900 } else { k % 2 }).collect();
        let moved: Vec<i32> = (0..250).map(|k| (400.0 * (f64::from(k) / 25.0).sin()) as i32).collect();
        assert!(baseline_activity(&beat, rate) < 1.0);
        assert!(baseline_activity(&moved, rate) > 30.0);
        assert_eq!(baseline_activity(&beat[..30], rate), 0.0, "too short to say");
    }
}
