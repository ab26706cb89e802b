//! Readable time and the time spent in something.

use super::Day;
use crate::model::{EventKind, Span};

/// Time with data, readable time, and the longest hole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReadableTime {
    /// Samples with data: gaps of the file left out.
    pub worn_samples: i64,
    /// Samples in which at least one lead can be read.
    pub readable_samples: i64,
    /// The longest unreadable stretch, gaps included.
    pub longest_hole: Option<Span>,
}

/// Measures readable time.
pub fn readable_time(day: &Day<'_>) -> ReadableTime {
    let reading = day.reading();
    ReadableTime {
        worn_samples: reading.recording.segments.iter().map(|s| s.len()).sum(),
        readable_samples: reading.readable_samples(reading.recording.whole()),
        longest_hole: reading.unreadable.iter().rev().max_by_key(|s| s.len()).copied(),
    }
}

/// Readable samples in atrial fibrillation inside `span`.
pub fn fibrillation_samples(day: &Day<'_>, span: Span) -> i64 {
    let inside = |af: &Span| day.reading().readable_samples(af.overlap(span));
    day.fibrillation.iter().filter(|af| af.touches(span)).map(inside).sum()
}

/// Readable minutes of all counting events of `kind`; stretches that overlap count once.
pub fn minutes_of(day: &Day<'_>, kind: EventKind) -> f64 {
    let whole = day.reading().recording.whole();
    let spans = day.events_of(&[kind]).iter().map(|i| day.events[*i as usize].span.overlap(whole)).collect();
    // Samples are summed, not seconds: a sum of no seconds would be minus zero.
    let samples = Span::merged(spans, 0).iter().map(|s| day.reading().readable_samples(*s)).sum();
    day.reading().recording.rate.seconds_from_samples(samples) / 60.0
}
