//! What the program found and what a reader said, counted apart.

use beatledger_core::model::{Beat, Event, EventState, Figure, Origin, Proof};
use beatledger_core::review::Edit;
use beatledger_core::session::Snapshot;

/// How much of what stands comes from a reader.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ReaderShare {
    /// Beats whose class a reader changed.
    pub relabelled: usize,
    /// Beats whose found class a reader confirmed, or that a reader moved.
    pub confirmed_or_moved: usize,
    /// Beats that a reader placed.
    pub inserted: usize,
    /// Beats that a reader took away.
    pub removed: usize,
    /// Events that a reader confirmed.
    pub kept: usize,
    /// Events that a reader changed or added.
    pub changed: usize,
    /// Events that a reader dropped.
    pub dropped: usize,
    /// Events that nobody has looked at.
    pub unread: usize,
    /// Stretches marked unreadable or readable by a reader.
    pub noise_marks: usize,
}

/// Counts what comes from a reader.
pub fn reader_share(snapshot: &Snapshot) -> ReaderShare {
    let mut share = ReaderShare::default();
    for beat in snapshot.beats.iter().filter(|b| b.origin == Origin::Reader) {
        match beat.class_found {
            None => share.inserted += 1,
            Some(found) if found != beat.class => share.relabelled += 1,
            Some(_) => share.confirmed_or_moved += 1,
        }
    }
    for event in snapshot.events.iter() {
        match event.state {
            EventState::Unread => share.unread += 1,
            EventState::Kept => share.kept += 1,
            EventState::Changed => share.changed += 1,
            EventState::Dropped => share.dropped += 1,
        }
    }
    let lost = |seq: u64| snapshot.orphans.iter().filter(|o| o.seq == seq).map(|o| o.missing).sum::<usize>();
    for (seq, edit) in &snapshot.fold.in_force {
        match edit {
            Edit::RemoveBeats { beats } => share.removed += beats.len().saturating_sub(lost(*seq)),
            Edit::MarkNoise { .. } | Edit::UnmarkNoise { .. } => share.noise_marks += 1,
            _ => {}
        }
    }
    share
}

/// What was said about an event, in words.
pub(crate) fn said(event: &Event) -> &'static str {
    match (event.state, event.origin) {
        (EventState::Unread, _) => "found by program, not confirmed",
        (EventState::Kept, _) => "found by program, confirmed by reader",
        (EventState::Changed, Origin::Reader) => "set by reader",
        (EventState::Changed, Origin::Found) => "changed by reader",
        (EventState::Dropped, _) => "dropped by reader",
    }
}

/// The same in a table of events, where the program found all that no reader set.
pub(super) fn said_short(event: &Event) -> &'static str {
    match (event.state, event.origin) {
        (EventState::Unread, _) if event.kind.is_landmark() => "–",
        (EventState::Unread, _) => "not confirmed",
        (EventState::Kept, _) => "confirmed",
        (EventState::Changed, Origin::Reader) => "set by reader",
        (EventState::Changed, Origin::Found) => "changed by reader",
        (EventState::Dropped, _) => "dropped by reader",
    }
}

/// Who is behind a figure, in a few words.
pub(super) fn provenance(figure: &Figure, snapshot: &Snapshot) -> String {
    let of_beats = |of: &dyn Fn(&Beat) -> bool| {
        beats_words(snapshot.beats.iter().filter(|b| b.is_changed() && of(b)).count())
    };
    match &figure.proof {
        Proof::Kind(kind) if kind.is_landmark() => "found by program".to_owned(),
        Proof::Kind(kind) => events_words(snapshot.events.iter().filter(|e| e.kind == *kind)),
        Proof::Events(list) => events_words(list.iter().filter_map(|i| snapshot.events.get(*i as usize))),
        // A beat that a reader took out of the class changes its count as much as one put in.
        Proof::Class(class) => of_beats(&|b| b.class == *class || b.class_found == Some(*class)),
        Proof::Beats(list) => {
            let beats = list.iter().filter_map(|i| snapshot.beats.get(*i as usize));
            beats_words(beats.filter(|b| b.is_changed()).count())
        }
        Proof::AllBeats => of_beats(&|_| true),
        Proof::Spans(_) | Proof::Whole => "computed".to_owned(),
    }
}

fn events_words<'a>(events: impl Iterator<Item = &'a Event>) -> String {
    let (mut all, mut sure, mut landmarks) = (0, 0, 0);
    for event in events.filter(|e| e.counts()) {
        landmarks += usize::from(event.kind.is_landmark());
        all += 1;
        sure += usize::from(event.state != EventState::Unread);
    }
    match (all, sure) {
        (0, _) => "none found".to_owned(),
        (n, 0) if n == landmarks => "found by program".to_owned(),
        (1, 0) => "not confirmed".to_owned(),
        (n, 0) => format!("none of {n} confirmed"),
        (n, s) if n == s => "confirmed by reader".to_owned(),
        (n, s) => format!("{s} of {n} confirmed"),
    }
}

fn beats_words(changed: usize) -> String {
    match changed {
        0 => "found by program".to_owned(),
        1 => "1 beat changed by reader".to_owned(),
        n => format!("{n} beats changed by reader"),
    }
}
