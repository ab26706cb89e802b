//! What every edit does to beats, unreadable time, events and settings, on small days made by hand.

mod beats;
mod events;
mod fold;
mod settings;
mod stretches;
mod waves;
mod words;

use super::*;
use crate::model::{BeatClass, EventKind, Span};

fn span(start: i64, end: i64) -> Span {
    Span::new(start, end)
}

/// Edits as they stand in a ledger: the numbers are neither from 0 nor without holes.
fn numbered(edits: &[Edit]) -> Vec<(u64, Edit)> {
    edits.iter().enumerate().map(|(i, e)| (7 + 4 * i as u64, e.clone())).collect()
}

/// Number, words and missing targets of each.
fn told(orphans: &[Orphan]) -> Vec<(u64, &str, usize)> {
    orphans.iter().map(|o| (o.seq, o.words.as_str(), o.missing)).collect()
}

fn entry(seq: u64, action: Action) -> Entry {
    Entry { seq, at_utc_ms: 0, utc_offset_min: 0, reader: "A. Reader".into(), action }
}

fn keep(kind: EventKind, start: i64, end: i64) -> Edit {
    Edit::KeepEvent { kind, span: span(start, end) }
}

fn drop_event(kind: EventKind, start: i64, end: i64) -> Edit {
    Edit::DropEvent { kind, span: span(start, end) }
}

fn change(from: (EventKind, i64, i64), to: (EventKind, i64, i64)) -> Edit {
    Edit::ChangeEvent { kind: from.0, span: span(from.1, from.2), new_kind: to.0, new_span: span(to.1, to.2) }
}

fn relabel(beats: &[i64], class: BeatClass) -> Edit {
    Edit::Relabel { beats: beats.to_vec(), class }
}
