//! Lists that views need, worked out once per snapshot and never per frame.

use beatledger_core::model::{Event, EventKind, EventState, Reading};
use beatledger_core::session::Snapshot;

use crate::lists::open_items::{self, Item};

/// What follows from a snapshot.
#[derive(Clone, Debug)]
pub struct Derived {
    /// Interval that ends at each beat, ms; NaN where there is none.
    pub rr_ms: Vec<f32>,
    /// What still needs a reader, most consequential first.
    pub items: Vec<Item>,
    /// Beats of each class, in the order of [`beatledger_core::model::BeatClass::ALL`].
    pub class_counts: [usize; 5],
    /// Beats that a reader changed or placed.
    pub changed_beats: usize,
    /// Share of the recording that was on the screen long enough to be read, 0 to 100.
    pub read_percent: f64,
    /// Share of the recording that can be read, 0 to 100.
    pub readable_percent: f64,
    /// Events that no reader has kept, changed or dropped.
    pub unread_events: usize,
    /// The same by kind, in words, without the places that are no disorder.
    pub unanswered: String,
}

impl Derived {
    /// Works everything out; about a millisecond for a day.
    pub fn of(snapshot: &Snapshot) -> Self {
        let reading =
            Reading::new(&snapshot.recording, &snapshot.settings, &snapshot.beats, &snapshot.unreadable);
        let whole = snapshot.recording.whole();
        let percent = |samples: i64| 100.0 * samples as f64 / whole.len().max(1) as f64;
        let mut class_counts = [0; 5];
        for beat in snapshot.beats.iter() {
            class_counts[beat.class.index()] += 1;
        }
        Self {
            items: open_items::open_items(snapshot),
            class_counts,
            changed_beats: snapshot.beats.iter().filter(|b| b.is_changed()).count(),
            read_percent: percent(whole.covered_by(&snapshot.read)),
            readable_percent: percent(reading.readable_samples(whole)),
            unread_events: snapshot.events.iter().filter(|e| e.state == EventState::Unread).count(),
            unanswered: unanswered(snapshot),
            rr_ms: reading.rr_ms,
        }
    }
}

fn unanswered(snapshot: &Snapshot) -> String {
    let is_open = |e: &&Event| e.state == EventState::Unread && !e.kind.is_landmark();
    let count = |kind: EventKind| snapshot.events.iter().filter(is_open).filter(|e| e.kind == kind).count();
    let counted = EventKind::ALL.into_iter().map(|kind| (kind, count(kind))).filter(|(_, n)| *n > 0);
    let words = counted.map(|(kind, n)| format!("{n} {}", kind.inside_a_sentence()));
    words.collect::<Vec<_>>().join(", ")
}
