//! Stretches without a beat in which contact is uncertain, as events: no pause is told of them.

use super::columns::Columns;
use super::event::event_over;
use crate::model::{Event, EventKind, MS_PER_SECOND};

/// Appends every such stretch that is as long as a pause. All of them must be read before signing: what hides in one is not
/// known.
pub fn uncertain(columns: &Columns<'_>, events: &mut Vec<Event>) {
    let reading = columns.reading;
    for silence in reading.found.map_or(&[][..], |f| &f.silences) {
        let length_ms = reading.recording.rate.ms_from_samples(silence.span.len());
        let Some(after) = reading.beat_after(silence).filter(|_| length_ms >= reading.settings.pause_ms)
        else {
            continue;
        };
        let mut event = event_over(columns, EventKind::ContactUncertain, after - 1..after + 1);
        event.rate_bpm = None;
        event.critical = true;
        event.note = format!("{:.1} s: {}", length_ms / MS_PER_SECOND, silence.reason.words());
        events.push(event);
    }
}
