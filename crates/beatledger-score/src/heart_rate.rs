//! Heart rate from beats, for the measurement comparison: both sides by the same rule.

use beatledger_core::model::{Rate, Span};

use crate::pairing::{Annotations, inside};

/// Intervals averaged.
const INTERVALS: usize = 8;
/// The rule in words: EC57 asks that it be told.
pub const HEART_RATE_RULE: &str = "60 s over the mean of the last 8 RR intervals, none of them in unreadable time or ventricular fibrillation";

/// Heart rate at each beat that ends 8 intervals in a row: sample and beats a minute.
pub fn heart_rate(rate: Rate, annotations: &Annotations) -> Vec<(i64, f64)> {
    let beats = &annotations.beats;
    let is_whole = |from: i64, to: i64| {
        let between = Span::new(from, to);
        [&annotations.shutdown, &annotations.vf].into_iter().all(|spans| {
            let first = spans.partition_point(|s| s.end <= from);
            !inside(spans, to) && spans.get(first).is_none_or(|s| !s.touches(between))
        })
    };
    let at = |window: &[(i64, beatledger_core::model::BeatClass)]| {
        let (first, last) = (window.first()?.0, window.last()?.0);
        let seconds = rate.seconds_from_samples(last - first);
        (seconds > 0.0 && is_whole(first, last)).then(|| (last, 60.0 * INTERVALS as f64 / seconds))
    };
    beats.windows(INTERVALS + 1).filter_map(at).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use beatledger_core::model::BeatClass::N;

    #[test]
    fn beats_800_ms_apart_are_75_a_minute_and_unreadable_time_gives_no_rate() {
        let mut beats = Annotations::of_beats((0..20).map(|i| (i * 800, N)).collect());
        let rate = Rate::whole_hz(1000);
        let all = heart_rate(rate, &beats);
        assert_eq!((all.len(), all[0]), (12, (6400, 75.0)));
        beats.shutdown = vec![Span::new(6500, 7000)];
        let left = heart_rate(rate, &beats);
        assert_eq!(left.iter().map(|r| r.0).collect::<Vec<_>>(), [6400, 13_600, 14_400, 15_200]);
    }
}
