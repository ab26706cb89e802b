//! The diary with what the tracing shows around each entry, and the list of events.

use beatledger_core::model::{DiaryEntry, DiaryKind, Event, EventKind, EventState, Span};
use beatledger_core::session::Snapshot;

use super::reader::{is_landmark, said_short};
use super::{Block, Column, Row, Section, Style, Table, TableSize};
use crate::values::{duration_text, place_text};

/// Most events of one kind in print.
const MOST_PER_KIND: usize = 12;
/// How far around a diary entry events are looked for.
const AROUND_S: f64 = 60.0;

pub(super) fn diary(snapshot: &Snapshot) -> Section {
    if snapshot.diary.is_empty() {
        let text = "The recording holds no diary entry.".to_owned();
        return Section::new("Diary", vec![Block::Paragraph(Style::Body, text)]);
    }
    let rows = snapshot.diary.iter().enumerate().map(|(i, d)| diary_row(snapshot, i, d)).collect();
    let table = Table {
        summary: "Diary entries with mean rate and events within one minute".to_owned(),
        groups: Vec::new(),
        columns: vec![
            Column::right("No.", 9.0),
            Column::left("Time", 18.0),
            Column::left("Entry", 58.0),
            Column::right("Mean rate, bpm", 20.0),
            Column::left("Events within a minute", 75.0),
        ],
        rows,
        size: TableSize::Normal,
    };
    let mut blocks = vec![Block::Table(table)];
    blocks.extend(super::rows::blocks_of(snapshot, &["symptoms", "symptom_classes"]));
    Section::new("Diary", blocks)
}

fn diary_row(snapshot: &Snapshot, index: usize, entry: &DiaryEntry) -> Row {
    let kind = match entry.kind {
        DiaryKind::Symptom => "symptom",
        DiaryKind::Activity => "activity",
        DiaryKind::Medication => "medication",
        DiaryKind::Button => "button pressed",
        DiaryKind::Sleep => "sleep",
        DiaryKind::Note => "note",
    };
    let text = match entry.text.trim() {
        "" => kind.to_owned(),
        text => format!("{text} ({kind})"),
    };
    let by = snapshot.recording.rate.samples_from_seconds(AROUND_S);
    // A long entry, such as a night in bed, is looked at where it starts.
    let around = Span::new(entry.span.start - by, entry.span.start + by);
    let mut seen: Vec<String> = Vec::new();
    for kind in EventKind::ALL {
        let near = |e: &&Event| e.kind == kind && e.counts() && e.span.touches(around);
        let near: Vec<&Event> = snapshot.events.iter().filter(near).collect();
        let sure = near.iter().filter(|e| e.state != EventState::Unread).count();
        if !near.is_empty() {
            let times = if near.len() > 1 { format!(" ×{}", near.len()) } else { String::new() };
            let sure = match (is_landmark(kind), sure == near.len()) {
                (true, _) => "",
                (_, true) => " (confirmed)",
                (_, false) => " (not confirmed)",
            };
            seen.push(format!("{}{times}{sure}", kind.words()));
        }
    }
    let seen = if seen.is_empty() { "none found".to_owned() } else { seen.join(", ") };
    let rate = rate_at(snapshot, entry.span.start).map_or("–".to_owned(), |r| format!("{r:.0}"));
    let time = place_text(&snapshot.recording, entry.span.start);
    Row::plain(vec![(index + 1).to_string(), time, text, rate, seen])
}

/// Mean rate of the minute that holds `sample`.
fn rate_at(snapshot: &Snapshot, sample: i64) -> Option<f32> {
    let minute = snapshot.recording.rate.samples_from_seconds(60.0);
    let trend = &snapshot.summary.trend;
    let after = trend.partition_point(|p| p.0 <= sample);
    trend.get(after.checked_sub(1)?).filter(|p| sample - p.0 < minute).map(|p| p.2)
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
        event.note.clone(),
        said_short(event).to_owned(),
    ])
}
