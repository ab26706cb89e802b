//! Diary entries laid beside findings: one row an entry, what came with what, and findings beside which nobody felt anything.

use std::collections::BTreeMap;

use beatledger_core::model::{
    DiaryEntry, DiaryKind, Event, EventKind, EventState, FigureId, Span, SymptomRow,
};
use beatledger_core::session::Snapshot;

use super::about::{About, Page};
use super::column::{Column, NOTHING, number};
use super::table::Rows;
use super::value::Value;
use crate::document::tree::TableSize;
use crate::values::place_text;

/// Each entry of the diary with what stands beside it.
pub struct Diary;

impl Rows for Diary {
    type Row = SymptomRow;

    const ABOUT: About = About {
        key: "symptoms",
        title: "Diary and findings",
        shows: "Each diary entry with rhythm, rate, ectopy and findings around it",
        definition: "Each entry of the diary with rhythm, rate and ectopy in the set minutes on both sides of it (common \
                     practice).",
        settings: &["symptom_min"],
        rests_like: FigureId::Symptoms,
        file: None,
        in_summary: true,
        page: Page::Diary,
        size: TableSize::Small,
        groups: &[],
    };

    fn rows(&self, snapshot: &Snapshot) -> Vec<SymptomRow> {
        snapshot.summary.symptoms.rows.clone()
    }

    #[rustfmt::skip]
    fn columns(&self, _: &Snapshot) -> Vec<Column<SymptomRow>> {
        type C = Column<SymptomRow>;
        vec![
            C::field("diary", |_, r| r.diary.into()).own("No.", 8.0, |_, r| (r.diary + 1).to_string()),
            C::text("At", 16.0, |s, r| {
                place_text(&s.recording, entry(s, r).map_or(r.window.start, |d| d.span.start))
            }),
            C::field("text", |s, r| entry(s, r).map_or("", |d| &d.text).into())
                .own_text("Entry", 38.0, |s, r| entry(s, r).map_or(NOTHING.to_owned(), words)),
            C::span(|r| Some(r.window)),
            C::field("readable_percent", |_, r| r.readable_percent.into()),
            C::field("class", |s, r| class(s, r).into()),
            C::field("rhythm", |_, r| r.rhythm.clone().into()).own_text("Rhythm", 28.0, |_, r| r.rhythm.clone()),
            C::field("min_bpm", |_, r| r.min_bpm.into()),
            C::field("mean_bpm", |_, r| r.mean_bpm.into()),
            C::field("max_bpm", |_, r| r.max_bpm.into()).own("bpm: slow / mean / fast", 24.0, |_, r| {
                [r.min_bpm, r.mean_bpm, r.max_bpm].map(|x| number(x, 0)).join(" / ")
            }),
            C::field("v_beats", |_, r| r.v_beats.into()).own("V", 9.0, |_, r| r.v_beats.to_string()),
            C::field("s_beats", |_, r| r.s_beats.into()).own("S", 9.0, |_, r| r.s_beats.to_string()),
            C::right("Read. %", 12.0, |_, r| format!("{:.0}", r.readable_percent)),
            C::field("findings", |s, r| {
                Value::List(findings(s, &r.findings).map(|e| e.kind.key().into()).collect())
            })
            .own_text("Findings", 36.0, |s, r| kinds(findings(s, &r.findings), "none")),
        ]
    }

    fn place(&self, _: &Snapshot, row: &SymptomRow) -> Option<Span> {
        Some(row.window)
    }
}

fn entry<'a>(snapshot: &'a Snapshot, row: &SymptomRow) -> Option<&'a DiaryEntry> {
    snapshot.diary.get(row.diary as usize)
}

fn findings<'a>(snapshot: &'a Snapshot, events: &'a [u32]) -> impl Iterator<Item = &'a Event> {
    events.iter().filter_map(|i| snapshot.events.get(*i as usize))
}

/// What came with an entry.
fn class(snapshot: &Snapshot, row: &SymptomRow) -> &'static str {
    let found = &snapshot.summary.symptoms;
    let holds =
        |list: &[u32]| list.iter().filter_map(|i| found.rows.get(*i as usize)).any(|r| r.diary == row.diary);
    match (holds(&found.with_finding), holds(&found.without_finding)) {
        _ if !row.is_symptom => "no-symptom",
        (true, _) => "with-finding",
        (_, true) => "without-finding",
        _ => "unreadable",
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

/// What came with what.
pub struct Classes;

/// Name, how many, and which.
type Class = (&'static str, usize, String);

impl Rows for Classes {
    type Row = Class;

    const ABOUT: About = About {
        key: "symptom_classes",
        title: "What came with what",
        shows: "Symptoms with and without findings, and findings without symptoms",
        definition: "A finding is an event other than the extremes of the day and unreadable time; a symptom of which \
                     less than half could be read is not judged (design rule).",
        in_summary: false,
        ..Diary::ABOUT
    };

    fn rows(&self, snapshot: &Snapshot) -> Vec<Class> {
        let found = &snapshot.summary.symptoms;
        let times = |list: &[u32]| {
            let rows = list.iter().filter_map(|i| found.rows.get(*i as usize));
            let entries = rows.filter_map(|row| entry(snapshot, row));
            let at: Vec<String> = entries.map(|d| place_text(&snapshot.recording, d.span.start)).collect();
            if at.is_empty() { NOTHING.to_owned() } else { at.join(", ") }
        };
        let silent = kinds(findings(snapshot, &found.silent_findings), NOTHING);
        vec![
            ("Symptom with finding", found.with_finding.len(), times(&found.with_finding)),
            ("Symptom without finding", found.without_finding.len(), times(&found.without_finding)),
            ("Symptom in unreadable time", found.unreadable.len(), times(&found.unreadable)),
            ("Finding without symptom", found.silent_findings.len(), silent),
        ]
    }

    fn columns(&self, _: &Snapshot) -> Vec<Column<Class>> {
        type C = Column<Class>;
        vec![
            C::text("", 60.0, |_, r| r.0.to_owned()),
            C::right("How many", 20.0, |_, r| r.1.to_string()),
            C::text("Which", 100.0, |_, r| r.2.clone()),
        ]
    }

    fn is_shown(&self, snapshot: &Snapshot, _: &[Class]) -> bool {
        snapshot.summary.symptoms.rows.iter().any(|row| row.is_symptom)
    }
}

/// Findings beside which nobody felt anything: for files alone.
pub struct Silent;

impl Rows for Silent {
    type Row = Event;

    const ABOUT: About = About {
        key: "silent_findings",
        title: "Findings without a symptom",
        shows: "Findings beside which nobody felt anything",
        definition: "Findings in no symptom's window; a finding is an event other than the extremes of the day and \
                     unreadable time (design rule).",
        page: Page::No,
        ..Diary::ABOUT
    };

    fn rows(&self, snapshot: &Snapshot) -> Vec<Event> {
        findings(snapshot, &snapshot.summary.symptoms.silent_findings).cloned().collect()
    }

    fn columns(&self, _: &Snapshot) -> Vec<Column<Event>> {
        type C = Column<Event>;
        vec![C::field("kind", |_, e| e.kind.key().into()), C::span(|e| Some(e.span))]
    }

    fn is_shown(&self, _: &Snapshot, _: &[Event]) -> bool {
        false
    }
}

/// `Pause (confirmed), Ventricular couplet ×3 (not confirmed), VF/VFL candidate (doubtful)`.
pub(crate) fn kinds<'a>(events: impl Iterator<Item = &'a Event>, none: &str) -> String {
    let mut counts: BTreeMap<_, (usize, usize, usize)> = BTreeMap::new();
    for event in events {
        let (all, sure, doubtful) = counts.entry(event.kind).or_default();
        *all += 1;
        *sure += usize::from(event.state != EventState::Unread);
        *doubtful += usize::from(event.doubt().is_some());
    }
    let words = |(kind, (all, sure, doubtful)): (EventKind, (usize, usize, usize))| {
        let times = if all > 1 { format!(" ×{all}") } else { String::new() };
        let said = match sure {
            _ if kind.is_landmark() => "",
            sure if sure == all => " (confirmed)",
            _ if doubtful == all => " (doubtful)",
            _ => " (not confirmed)",
        };
        format!("{}{times}{said}", kind.words())
    };
    let words: Vec<String> = counts.into_iter().map(words).collect();
    if words.is_empty() { none.to_owned() } else { words.join(", ") }
}
