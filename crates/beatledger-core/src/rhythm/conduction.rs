//! AV block with two P waves to a beat, as events: they take the place of a slow rate there and must be read.

use super::calibration::{TWO_TO_ONE_CERTAINTY, TWO_TO_ONE_COVERS};
use super::columns::Columns;
use super::event::event_over;
use crate::model::{Certainty, Event, EventKind, Span};

/// Appends the stretches, and takes out slow rates that they explain: a rate is no rhythm of the sinus node where every second
/// P wave is not conducted.
pub fn two_to_one(columns: &Columns<'_>, events: &mut Vec<Event>) {
    let spans = columns.reading.found.map_or(&[][..], |f| &f.two_to_one);
    for span in spans {
        let beats = columns.reading.beats_in(*span);
        if beats.len() < 2 {
            continue;
        }
        let mut event = event_over(columns, EventKind::AvBlock2To1, beats);
        event.critical = true;
        event.note = "two P waves to a beat".to_owned();
        event.certainty = Certainty::of(TWO_TO_ONE_CERTAINTY, || {
            "the second P wave shows in the average of many cycles; look at the tracing".to_owned()
        });
        events.push(event);
    }
    // Where a reader does not agree that it is block, the slow rate is back.
    let spans = Span::without(spans, &columns.reading.no_block);
    let is_explained = |e: &Event| {
        e.kind == EventKind::Bradycardia
            && e.span.covered_by(&spans) as f64 >= TWO_TO_ONE_COVERS * e.span.len() as f64
    };
    events.retain(|e| !is_explained(e));
}
