//! Sampling rate and gaps from a time column.

use beatledger_core::model::{Rate, Span};

use crate::samples::MAX_DAYS;

/// This many rows from the start give the rate.
const ROWS_FOR_RATE: usize = 10_000;
/// A rate this near to a whole number of hertz is that number: times are written with few digits.
const WHOLE_HZ_PART: f64 = 1e-3;

/// Samples per second from times in seconds; steps across a gap are left out. `None` with fewer than two rows.
pub(super) fn rate_from(times_s: &[f64]) -> Option<Rate> {
    let rows = &times_s[..times_s.len().min(ROWS_FOR_RATE)];
    let mut steps: Vec<f64> = rows.windows(2).map(|w| w[1] - w[0]).collect();
    steps.sort_by(f64::total_cmp);
    let median = *steps.get(steps.len() / 2)?;
    // Times rounded to a few digits step by turns a little too far and not far enough; their mean is right.
    let near: Vec<f64> = steps.into_iter().filter(|s| (0.3 * median..1.7 * median).contains(s)).collect();
    let hz = near.len() as f64 / near.iter().sum::<f64>();
    let whole = hz.round();
    Rate::from_hz(if (hz - whole).abs() <= WHOLE_HZ_PART * hz && whole > 0.0 { whole } else { hz })
}

/// Stretches without a gap, or the row (counted from 0) whose time cannot be and what was expected of it.
pub(super) fn segments(times_s: &[f64], rate: Rate) -> Result<Vec<Span>, (usize, String)> {
    let Some(first) = times_s.first() else { return Ok(Vec::new()) };
    let mut segments = vec![Span::new(0, 1)];
    for (row, pair) in times_s.windows(2).enumerate() {
        let step_s = pair[1] - pair[0];
        if step_s <= 0.0 {
            return Err((row + 1, format!("a time after {} s", pair[0])));
        }
        if pair[1] - first > MAX_DAYS * 86_400.0 {
            return Err((row + 1, format!("a time within {MAX_DAYS} days")));
        }
        let end = segments.last().map_or(0, |s| s.end);
        if step_s * rate.hz() < 1.75 {
            segments.iter_mut().last().into_iter().for_each(|s| s.end += 1);
        } else {
            let start = rate.samples_from_seconds(pair[1] - first).max(end);
            segments.push(Span::new(start, start + 1));
        }
    }
    Ok(Span::merged(segments, 0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_in_whole_milliseconds_give_the_rate_of_the_recorder() {
        let times: Vec<f64> = (0..3600).map(|i| (f64::from(i) / 360.0 * 1000.0).round() / 1000.0).collect();
        let rate = rate_from(&times).unwrap();
        assert_eq!(rate.hz(), 360.0);
        assert_eq!(segments(&times, rate), Ok(vec![Span::new(0, 3600)]));
        assert_eq!(rate_from(&[0.0]), None);
    }

    #[test]
    fn a_jump_is_a_gap_and_time_never_goes_back() {
        let rate = Rate::whole_hz(100);
        let times = [5.0, 5.01, 5.02, 6.0, 6.01];
        assert_eq!(segments(&times, rate), Ok(vec![Span::new(0, 3), Span::new(100, 102)]));
        assert_eq!(rate_from(&times).unwrap().hz(), 100.0);
        assert_eq!(segments(&[0.0, 0.01, 0.01], rate), Err((2, "a time after 0.01 s".to_owned())));
        assert_eq!(segments(&[0.0, 1e9], rate), Err((1, "a time within 60 days".to_owned())));
    }
}
