//! Symptoms laid beside findings: one row an entry, and the table that says what came with what.

use std::collections::BTreeMap;

use beatledger_core::model::{Event, SymptomRow};
use beatledger_core::session::Snapshot;

use super::rows::{Measured, number};
use super::{Column, Row, Table, TableSize};
use crate::explain;
use crate::values::place_text;

/// Each symptom with what stands beside it.
pub(super) fn rows(snapshot: &Snapshot) -> Table {
    let row = |row: &SymptomRow| {
        let entry = snapshot.diary.get(row.diary as usize);
        let text = entry.map_or("–", |d| match d.text.trim() {
            "" => "button pressed",
            text => text,
        });
        let at = entry.map_or(row.window.start, |d| d.span.start);
        let rates = [row.min_bpm, row.mean_bpm, row.max_bpm].map(|x| number(x, 0)).join(" / ");
        let cells = vec![
            place_text(&snapshot.recording, at),
            text.to_owned(),
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
        summary: "Each symptom with rhythm, rate, ectopy and findings around it".to_owned(),
        groups: Vec::new(),
        columns: vec![
            Column::left("At", 17.0),
            Column::left("Symptom", 34.0),
            Column::left("Rhythm", 34.0),
            Column::right("bpm: slow / mean / fast", 26.0),
            Column::right("V", 9.0),
            Column::right("S", 9.0),
            Column::right("Read. %", 12.0),
            Column::left("Findings", 39.0),
        ],
        rows: snapshot.summary.symptoms.rows.iter().map(row).collect(),
        size: TableSize::Small,
    }
}

/// What came with what; `None` where the diary holds no symptom.
pub(super) fn classes(snapshot: &Snapshot) -> Option<Measured> {
    let found = &snapshot.summary.symptoms;
    if found.rows.is_empty() {
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

/// `Pause, Ventricular couplet ×3`.
fn kinds<'a>(events: impl Iterator<Item = &'a Event>, none: &str) -> String {
    let mut counts: BTreeMap<_, usize> = BTreeMap::new();
    events.for_each(|e| *counts.entry(e.kind).or_default() += 1);
    let words: Vec<String> = counts
        .into_iter()
        .map(|(kind, n)| if n == 1 { kind.words().to_owned() } else { format!("{} ×{n}", kind.words()) })
        .collect();
    if words.is_empty() { none.to_owned() } else { words.join(", ") }
}
