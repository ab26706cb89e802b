//! Beats and quality to events: one file a kind.
//!
//! The detectors run after every edit of a reader, over a whole day: each is one pass over lean columns.
//! An interval exists only where [`Reading::rr_ms`] has a number, so no event reaches across unreadable time
//! except atrial fibrillation, whose rule for short holes stands in [`irregular`].

mod calibration;
pub mod columns;
mod conduction;
pub mod dropped_beats;
mod event;
pub mod irregular;
mod lead_changes;
mod origin;
pub mod pattern;
pub mod pauses;
pub mod rate;
pub mod runs;
pub mod silence;
pub mod unreadable;
pub mod ventricular_waves;

#[cfg(test)]
mod limits_tests;
#[cfg(test)]
pub(crate) mod testing;

pub use calibration::SINUS_P;

use crate::model::{Event, EventKind, Reading};
use columns::Columns;

/// Finds the events of a day, sorted by start.
pub fn events(reading: &Reading<'_>) -> Vec<Event> {
    let columns = Columns::new(reading);
    let mut fibrillation = irregular::fibrillation(&columns);
    let explained = conduction::Explained::new(&columns);
    fibrillation.retain(|e| !explained.covers(e));
    let is_af = |e: &&Event| {
        e.kind == EventKind::AtrialFibrillation
            && 2 * e.span.covered_by(&reading.no_fibrillation) < e.span.len()
    };
    let in_af =
        columns.marks(fibrillation.iter().filter(is_af).map(|e| e.beats.0 as usize..e.beats.1 as usize));
    let of_beats = || {
        let mut events = fibrillation;
        runs::ventricular(&columns, &mut events);
        runs::supraventricular(&columns, &in_af, &mut events);
        pattern::repeats(&columns, &in_af, &mut events);
        pauses::pauses(&columns, &in_af, &mut events);
        silence::uncertain(&columns, &mut events);
        dropped_beats::dropped(&columns, &in_af, &mut events);
        events
    };
    let of_rates = || {
        let mut events = Vec::new();
        let windows = rate::windows(&columns, &in_af);
        rate::extremes(&columns, &in_af, &windows, &mut events);
        rate::episodes(&columns, &in_af, &windows, &mut events);
        events
    };
    let (mut events, rates) = rayon::join(of_beats, of_rates);
    events.extend(rates);
    events.retain(|e| !explained.covers(e));
    conduction::conduction(&columns, &in_af, &mut events);
    unreadable::stretches(reading, &mut events);
    ventricular_waves::candidates(reading, &mut events);
    lead_changes::lead_changes(reading, &mut events);
    events.sort_by_key(|e| (e.span.start, e.kind));
    events
}
