//! Keys of what was drawn: a view paints a picture again only when its key changes.

use std::sync::Arc;

use beatledger_core::model::{Beat, Recording, Span};
use beatledger_core::session::Snapshot;

use crate::app::selection::Selection;

/// Tells whether two frames look at the same day. It keeps what it compares alive, so that an address is
/// never taken for another day's.
#[derive(Clone)]
pub struct DayKey {
    recording: Arc<Recording>,
    beats: Arc<Vec<Beat>>,
    inverted: Vec<bool>,
    filters_hz: [f64; 3],
}

impl DayKey {
    /// The key of a snapshot.
    pub fn of(snapshot: &Snapshot) -> Self {
        let s = &snapshot.settings;
        Self {
            recording: snapshot.recording.clone(),
            beats: snapshot.beats.clone(),
            inverted: snapshot.inverted.clone(),
            filters_hz: [s.highpass_hz, s.lowpass_hz, s.mains_hz],
        }
    }

    /// True when the tracing as drawn is the same, whatever the labels are.
    pub fn same_tracing(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.recording, &other.recording)
            && self.inverted == other.inverted
            && self.filters_hz == other.filters_hz
    }
}

impl PartialEq for DayKey {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.beats, &other.beats) && self.same_tracing(other)
    }
}

/// Tells whether two frames have the same selection.
#[derive(Clone)]
pub struct SelectionKey {
    beats: Arc<Vec<i64>>,
    span: Option<Span>,
}

impl SelectionKey {
    /// The key of a selection.
    pub fn of(selection: &Selection) -> Self {
        Self { beats: selection.beats.clone(), span: selection.span.or(selection.event.map(|(_, s)| s)) }
    }

    /// The selected span, or that of the selected event.
    pub fn span(&self) -> Option<Span> {
        self.span
    }
}

impl PartialEq for SelectionKey {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.beats, &other.beats) && self.span == other.span
    }
}
