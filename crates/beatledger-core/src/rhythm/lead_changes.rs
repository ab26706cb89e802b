//! Leads that are turned or change places, and a lead that is upside down throughout, as events.

use crate::model::{Certainty, Event, EventKind, EventState, LeadChangeKind, Origin, Reading, Span};

/// Appends what happened to the leads, with its time.
pub fn lead_changes(reading: &Reading<'_>, events: &mut Vec<Event>) {
    let Some(found) = reading.found else { return };
    let name = |lead: usize| reading.recording.leads.get(lead).map_or("", |l| l.name.as_str());
    for change in &found.lead_changes {
        let note = match change.kind {
            LeadChangeKind::Turned(lead) => format!("{} stands upside down", name(lead)),
            LeadChangeKind::Swapped(a, b) => format!("{} and {} have changed places", name(a), name(b)),
        };
        events.push(event(reading, change.span, format!("{note}; labels and ST follow")));
    }
    for (lead, _) in found.looks_inverted.iter().enumerate().filter(|(_, inverted)| **inverted) {
        let is_turned = found.lead_changes.iter().any(|c| c.kind == LeadChangeKind::Turned(lead));
        if !is_turned {
            let note = format!("{} looks upside down from the start", name(lead));
            events.push(event(reading, reading.recording.whole(), note));
        }
    }
}

fn event(reading: &Reading<'_>, span: Span, note: String) -> Event {
    let beats = reading.beats_in(span);
    Event {
        kind: EventKind::PolarityChange,
        span,
        beats: (beats.start as u32, beats.end as u32),
        rate_bpm: None,
        state: EventState::Unread,
        origin: Origin::Found,
        critical: false,
        note,
        certainty: Certainty::sure(),
    }
}
