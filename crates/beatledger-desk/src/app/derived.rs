//! Lists that views need, worked out once per snapshot and never per frame.

use beatledger_core::model::{BeatClass, Event, Reading, Span};
use beatledger_core::review::Edit;
use beatledger_core::session::Snapshot;

use crate::app::selection::Selection;
use crate::lists::items::{self, Item};

/// What follows from a snapshot.
#[derive(Clone, Debug)]
pub struct Derived {
    /// Interval that ends at each beat, ms; NaN where there is none.
    pub rr_ms: Vec<f32>,
    /// What still needs a reader, most consequential first.
    pub items: Vec<Item>,
    /// Beats of each class, in the order of [`BeatClass::ALL`].
    pub class_counts: [usize; 5],
    /// Beats that a reader changed or placed.
    pub changed_beats: usize,
    /// Share of the recording that a reader marked as read, 0 to 100.
    pub read_percent: f64,
    /// Share of the recording that can be read, 0 to 100.
    pub readable_percent: f64,
    /// Events that count and nobody has spoken about.
    pub unread_events: usize,
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
            items: items::open_items(snapshot),
            class_counts,
            changed_beats: snapshot.beats.iter().filter(|b| b.is_changed()).count(),
            read_percent: percent(whole.covered_by(&snapshot.read)),
            readable_percent: percent(reading.readable_samples(whole)),
            unread_events: snapshot
                .events
                .iter()
                .filter(|e| e.state == beatledger_core::model::EventState::Unread)
                .count(),
            rr_ms: reading.rr_ms,
        }
    }
}

/// The selection that choosing an event makes: its beats, its span, and the event itself.
pub fn selection_of_event(snapshot: &Snapshot, event: &Event) -> Selection {
    let at = snapshot.recording.clock(event.span.start);
    let mut selection =
        Selection::of_beats(event_beats(snapshot, event), event.kind.words().to_owned() + " at " + &at);
    selection.span = Some(event.span);
    selection.event = Some((event.kind, event.span));
    selection
}

/// Samples of the beats of an event.
pub fn event_beats(snapshot: &Snapshot, event: &Event) -> Vec<i64> {
    let (from, to) = (event.beats.0 as usize, event.beats.1 as usize);
    snapshot.beats.get(from..to.max(from)).unwrap_or_default().iter().map(|b| b.sample).collect()
}

/// Samples of the beats inside `span`.
pub fn beats_in(snapshot: &Snapshot, span: Span) -> Vec<i64> {
    let at = |sample| snapshot.beats.partition_point(|b| b.sample < sample);
    snapshot.beats[at(span.start)..at(span.end)].iter().map(|b| b.sample).collect()
}

/// Index of the beat at exactly `sample`.
pub fn beat_at(snapshot: &Snapshot, sample: i64) -> Option<usize> {
    snapshot.beats.binary_search_by_key(&sample, |b| b.sample).ok()
}

/// `1 beat`, `12 beats`, `12 345 beats`.
pub fn beats_words(n: usize) -> String {
    if n == 1 { "1 beat".into() } else { format!("{} beats", grouped(n as u64)) }
}

/// A count with a thin space between thousands: `104 212`.
pub fn grouped(n: u64) -> String {
    let digits = n.to_string();
    let mut out = String::with_capacity(digits.len() + digits.len() / 3);
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push('\u{a0}');
        }
        out.push(digit);
    }
    out
}

/// An edit in words, with thousands set apart: `3 746 beats labelled N`.
pub fn edit_words(edit: &Edit) -> String {
    let (words, n) = (edit.words(), edit.beat_count());
    match words.strip_prefix(&n.to_string()) {
        Some(rest) if n >= 1000 => format!("{}{rest}", grouped(n as u64)),
        _ => words,
    }
}

/// How many of `samples` have which class, such as `12 V, 3 N`; samples without a beat are left out.
pub fn class_mix(snapshot: &Snapshot, samples: &[i64]) -> String {
    let mut counts = [0usize; 5];
    if samples.len() > 64 {
        // One walk over both sorted lists is cheaper than a search per beat.
        let mut wanted = samples.iter().peekable();
        for beat in snapshot.beats.iter() {
            while wanted.peek().is_some_and(|s| **s < beat.sample) {
                wanted.next();
            }
            if wanted.peek() == Some(&&beat.sample) {
                counts[beat.class.index()] += 1;
            }
        }
    } else {
        for at in samples.iter().filter_map(|s| beat_at(snapshot, *s)) {
            counts[snapshot.beats[at].class.index()] += 1;
        }
    }
    let parts: Vec<String> = BeatClass::ALL
        .iter()
        .filter(|c| counts[c.index()] > 0)
        .map(|c| format!("{} {}", grouped(counts[c.index()] as u64), c.letter()))
        .collect();
    parts.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn edits_of_many_beats_set_thousands_apart() {
        let edit = |n: i64| Edit::Relabel { beats: (0..n).collect(), class: BeatClass::N };
        assert_eq!(edit_words(&edit(3746)), "3\u{a0}746 beats labelled N");
        assert_eq!(edit_words(&edit(12)), "12 beats labelled N");
    }

    #[test]
    fn thousands_are_set_apart() {
        assert_eq!(grouped(0), "0");
        assert_eq!(grouped(999), "999");
        assert_eq!(grouped(104_212), "104\u{a0}212");
        assert_eq!(grouped(1_000_000), "1\u{a0}000\u{a0}000");
    }
}
