//! An event over some beats, as it is found.

use std::ops::Range;

use super::columns::Columns;
use crate::model::{Event, EventKind, EventState, Origin, Span};

/// A found event over `beats`: from the first beat to one past the last, with the mean rate between them.
pub(super) fn event_over(columns: &Columns<'_>, kind: EventKind, beats: Range<usize>) -> Event {
    let (first, last) = (columns.samples[beats.start], columns.samples[beats.end - 1]);
    Event {
        kind,
        span: Span::new(first, last + 1),
        beats: (beats.start as u32, beats.end as u32),
        rate_bpm: columns.mean_bpm(beats).map(|bpm| bpm as f32),
        state: EventState::Unread,
        origin: Origin::Found,
        critical: false,
        note: String::new(),
        certainty: crate::model::Certainty::sure(),
    }
}
