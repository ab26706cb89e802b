//! The diary with what the tracing shows around each entry, and the list of events.

use beatledger_core::model::{Event, EventKind};
use beatledger_core::session::Snapshot;

use super::reader::said_short;
use super::tables::blocks_of;
use super::tree::{Block, Column, Row, Section, Style, Table, TableSize};
use crate::tables::Page;
use crate::values::{duration_text, place_text};

/// Most events of one kind in print.
const MOST_PER_KIND: usize = 12;

pub(super) fn diary(snapshot: &Snapshot) -> Section {
    if snapshot.diary.is_empty() {
        let text = "The recording holds no diary entry.".to_owned();
        return Section::new("Diary", vec![Block::Paragraph(Style::Body, text)]);
    }
    Section::new("Diary", blocks_of(snapshot, &[Page::Diary]))
}

pub(super) fn list(snapshot: &Snapshot) -> Section {
    let mut rows = Vec::new();
    for kind in EventKind::ALL {
        let of_kind: Vec<&Event> = snapshot.events.iter().filter(|e| e.kind == kind).collect();
        rows.extend(of_kind.iter().take(MOST_PER_KIND).map(|e| event_row(snapshot, e)));
        if of_kind.len() > MOST_PER_KIND {
            let more = of_kind.len() - MOST_PER_KIND;
            let mut cells = vec![String::new(); 7];
            cells[0] = format!("and {more} more");
            rows.push(Row::plain(cells));
        }
    }
    if rows.is_empty() {
        let text = "No event was found. That does not exclude disease.".to_owned();
        return Section::new("Events", vec![Block::Paragraph(Style::Body, text)]);
    }
    let table = Table {
        summary: "Events by kind: time, length, beats, rate, what was said".to_owned(),
        groups: Vec::new(),
        columns: vec![
            Column::left("Event", 42.0),
            Column::left("From", 18.0),
            Column::right("Length", 20.0),
            Column::right("Beats", 13.0),
            Column::right("Rate, bpm", 13.0),
            Column::left("Remark", 46.0),
            Column::left("Reader", 28.0),
        ],
        rows,
        size: TableSize::Small,
    };
    let note = format!(
        "Found by the program unless the last column says that a reader set them. At most {MOST_PER_KIND} of a \
         kind are printed, in order of time; the event list file holds all."
    );
    Section::new("Events", vec![Block::Paragraph(Style::Note, note), Block::Table(table)])
}

fn event_row(snapshot: &Snapshot, event: &Event) -> Row {
    let recording = &*snapshot.recording;
    let beats =
        if event.kind == EventKind::Unreadable { "–".to_owned() } else { event.beat_count().to_string() };
    Row::plain(vec![
        event.kind.words().to_owned(),
        place_text(recording, event.span.start),
        duration_text(recording.rate.seconds_from_samples(event.span.len())),
        beats,
        event.rate_bpm.filter(|r| r.is_finite()).map_or("–".to_owned(), |r| format!("{r:.0}")),
        event.remark(),
        said_short(event).to_owned(),
    ])
}
