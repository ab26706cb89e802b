//! Unreadable time as events, so that it can be walked to and read like anything else.

use crate::model::{Event, EventKind, EventState, Origin, Reading};

/// Appends every unreadable stretch, gaps included, of `unreadable_min_s` or more.
pub fn stretches(reading: &Reading<'_>, events: &mut Vec<Event>) {
    for span in reading.unreadable {
        let seconds = reading.recording.rate.seconds_from_samples(span.len());
        if seconds >= reading.settings.unreadable_min_s {
            let at = reading.first_beat_from(span.start) as u32;
            events.push(Event {
                kind: EventKind::Unreadable,
                span: *span,
                beats: (at, at),
                rate_bpm: None,
                state: EventState::Unread,
                origin: Origin::Found,
                critical: false,
                note: String::new(),
                certainty: crate::model::Certainty::sure(),
            });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::made;
    use super::*;

    #[test]
    fn a_stretch_of_ten_seconds_is_an_event_and_a_shorter_one_is_not() {
        let day = made(&"N".repeat(60), &[1000]).with_hole(5_000, 14_999).with_hole(20_000, 30_000);
        let mut events = Vec::new();
        stretches(&day.reading(), &mut events);
        assert_eq!(events.iter().map(|e| (e.span.start, e.beats.0)).collect::<Vec<_>>(), [(20_000, 10)]);
    }
}
