//! The data records: where each signal stands in a record, and at what time each record begins.

use beatledger_core::model::{Rate, Span};

use crate::samples::MAX_DAYS;

/// Byte layout of one data record.
#[derive(Clone, Debug)]
pub(super) struct RecordShape {
    /// Offset and length of each signal, bytes.
    pub(super) parts: Vec<(u64, u64)>,
    /// Bytes of a record.
    pub(super) bytes: u64,
}

impl RecordShape {
    pub(super) fn of(per_record: impl Iterator<Item = u32>, sample_bytes: u64) -> Self {
        let mut shape = Self { parts: Vec::new(), bytes: 0 };
        for samples in per_record {
            // At most 4096 signals of 32 bits each: no overflow in 64 bits.
            let len = u64::from(samples) * sample_bytes;
            shape.parts.push((shape.bytes, len));
            shape.bytes += len;
        }
        shape
    }
}

/// Where the records lie in the recording.
#[derive(Debug, PartialEq)]
pub(super) enum Timeline {
    /// One after the other.
    Continuous,
    /// In several segments.
    Segments(Vec<Span>),
    /// The times contradict each other: at this record, in words.
    Broken(usize, String),
}

/// Places records by their onsets (seconds, `None` where a record has none). `per_record` samples each.
pub(super) fn timeline(onsets: &[Option<f64>], rate: Rate, per_record: i64) -> Timeline {
    let half_sample_s = 0.5 / rate.hz();
    let duration_s = rate.seconds_from_samples(per_record);
    let first_s = onsets.first().copied().flatten().unwrap_or(0.0);
    let mut segments: Vec<Span> = Vec::new();
    let mut segment_s = first_s;
    for (k, onset) in onsets.iter().enumerate() {
        let Some(last) = segments.last_mut() else {
            segments.push(Span::new(0, per_record));
            continue;
        };
        let expected_s = segment_s + duration_s * (last.len() / per_record.max(1)) as f64;
        let onset = onset.unwrap_or(expected_s);
        if (onset - expected_s).abs() <= half_sample_s + 1e-9 {
            last.end += per_record;
            continue;
        }
        if onset < expected_s {
            return Timeline::Broken(
                k,
                format!("{onset} s, before the end of the record before it at {expected_s} s"),
            );
        }
        if onset - first_s > MAX_DAYS * 86_400.0 {
            return Timeline::Broken(k, format!("{onset} s, more than {MAX_DAYS} days after the start"));
        }
        let start = rate.samples_from_seconds(onset - first_s).max(last.end);
        segments.push(Span::new(start, start + per_record));
        segment_s = onset;
    }
    if segments.len() > 1 { Timeline::Segments(segments) } else { Timeline::Continuous }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn records_in_step_are_continuous_and_a_late_one_opens_a_segment() {
        let rate = Rate::whole_hz(100);
        let at = |list: &[f64]| timeline(&list.iter().map(|s| Some(*s)).collect::<Vec<_>>(), rate, 100);
        assert_eq!(at(&[0.5, 1.5, 2.5]), Timeline::Continuous);
        assert_eq!(at(&[0.5, 1.504, 2.5]), Timeline::Continuous);
        let gap = Timeline::Segments(vec![Span::new(0, 200), Span::new(500, 600)]);
        assert_eq!(at(&[0.5, 1.5, 5.5]), gap);
        assert!(matches!(at(&[0.0, 1.0, 1.5]), Timeline::Broken(2, _)));
        assert!(matches!(at(&[0.0, 9e8]), Timeline::Broken(1, _)));
    }

    #[test]
    fn a_record_without_time_follows_the_one_before() {
        let onsets = [Some(0.0), None, Some(2.0)];
        assert_eq!(timeline(&onsets, Rate::whole_hz(100), 100), Timeline::Continuous);
    }
}
