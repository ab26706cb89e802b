//! Diary entries laid beside findings: one row an entry, and the table that says what came with what.

use std::collections::BTreeMap;

use beatledger_core::model::{DiaryEntry, DiaryKind, Event, EventKind, EventState, SymptomRow};
use beatledger_core::session::Snapshot;

use super::reader::is_landmark;
use super::rows::{Measured, number};
use super::{Column, Row, Table, TableSize};
use crate::explain;
use crate::values::place_text;

/// Each entry of the diary with what stands beside it.
pub(super) fn rows(snapshot: &Snapshot) -> Table {
    let row = |row: &SymptomRow| {
        let entry = snapshot.diary.get(row.diary as usize);
        let at = entry.map_or(row.window.start, |d| d.span.start);
        let rates = [row.min_bpm, row.mean_bpm, row.max_bpm].map(|x| number(x, 0)).join(" / ");
        let cells = vec![
            (row.diary + 1).to_string(),
            place_text(&snapshot.recording, at),
            entry.map_or("–".to_owned(), words),
            row.rhythm.clone(),
            rates,
            row.v_beats.to_string(),
            row.s_beats.to_string(),
            format!("{:.0}", row.readable_percent),
            kinds(row.findings.iter().filter_map(|i| snapshot.events.get(*i as usize)), "none"),
        ];
        Row::at(cells, Some(row.window))
    };
    Table {
        summary: "Each diary entry with rhythm, rate, ectopy and findings around it".to_owned(),
        groups: Vec::new(),
        columns: vec![
            Column::right("No.", 8.0),
            Column::left("At", 16.0),
            Column::left("Entry", 38.0),
            Column::left("Rhythm", 28.0),
            Column::right("bpm: slow / mean / fast", 24.0),
            Column::right("V", 9.0),
            Column::right("S", 9.0),
            Column::right("Read. %", 12.0),
            Column::left("Findings", 36.0),
        ],
        rows: snapshot.summary.symptoms.rows.iter().map(row).collect(),
        size: TableSize::Small,
    }
}

/// The wearer's words, and what kind of entry it is.
fn words(entry: &DiaryEntry) -> String {
    let kind = match entry.kind {
        DiaryKind::Symptom => "symptom",
        DiaryKind::Activity => "activity",
        DiaryKind::Medication => "medication",
        DiaryKind::Button => "button pressed",
        DiaryKind::Sleep => "sleep",
        DiaryKind::Note => "note",
    };
    match entry.text.trim() {
        "" => kind.to_owned(),
        text => format!("{text} ({kind})"),
    }
}

/// What came with what; `None` where the diary holds no symptom.
pub(super) fn classes(snapshot: &Snapshot) -> Option<Measured> {
    let found = &snapshot.summary.symptoms;
    if !found.rows.iter().any(|row| row.is_symptom) {
        return None;
    }
    let times = |list: &[u32]| {
        let at: Vec<String> = list
            .iter()
            .filter_map(|i| found.rows.get(*i as usize))
            .filter_map(|row| snapshot.diary.get(row.diary as usize))
            .map(|d| place_text(&snapshot.recording, d.span.start))
            .collect();
        if at.is_empty() { "–".to_owned() } else { at.join(", ") }
    };
    let silent = found.silent_findings.iter().filter_map(|i| snapshot.events.get(*i as usize));
    let line = |name: &str, n: usize, which: String| Row::plain(vec![name.to_owned(), n.to_string(), which]);
    let table = Table {
        summary: "Symptoms with and without findings, and findings without symptoms".to_owned(),
        groups: Vec::new(),
        columns: vec![Column::left("", 60.0), Column::right("How many", 20.0), Column::left("Which", 100.0)],
        rows: vec![
            line("Symptom with finding", found.with_finding.len(), times(&found.with_finding)),
            line("Symptom without finding", found.without_finding.len(), times(&found.without_finding)),
            line("Symptom in unreadable time", found.unreadable.len(), times(&found.unreadable)),
            line("Finding without symptom", found.silent_findings.len(), kinds(silent, "–")),
        ],
        size: TableSize::Small,
    };
    Some(Measured::new(snapshot, &explain::SYMPTOM_CLASSES, Some(table)))
}

/// `Pause (confirmed), Ventricular couplet ×3 (not confirmed)`.
fn kinds<'a>(events: impl Iterator<Item = &'a Event>, none: &str) -> String {
    let mut counts: BTreeMap<_, (usize, usize)> = BTreeMap::new();
    for event in events {
        let (all, sure) = counts.entry(event.kind).or_default();
        *all += 1;
        *sure += usize::from(event.state != EventState::Unread);
    }
    let words = |(kind, (all, sure)): (EventKind, (usize, usize))| {
        let times = if all > 1 { format!(" ×{all}") } else { String::new() };
        let said = match sure {
            _ if is_landmark(kind) => "",
            sure if sure == all => " (confirmed)",
            _ => " (not confirmed)",
        };
        format!("{}{times}{said}", kind.words())
    };
    let words: Vec<String> = counts.into_iter().map(words).collect();
    if words.is_empty() { none.to_owned() } else { words.join(", ") }
}
