//! The summary as a JSON file: its own types, apart from those in memory, with format and version.
//! Readers ignore what they do not know. Times are ISO 8601 without a zone, as none is known.

mod parts;

use std::collections::BTreeMap;

use beatledger_core::model::{DiaryKind, Event, Figure, FigureValue, Origin, Recording};
use beatledger_core::session::Snapshot;
use beatledger_core::settings::TABLE;
use serde::Serialize;

pub use parts::{
    AboutPart, DiaryPart, DoubtPart, EventPart, FigurePart, OrphanPart, RatePart, RecordingPart,
};

use crate::ReportError;
use crate::document::CAUTIONS;
use crate::tables::{self, Named, Record, TablePart, local as place_text};
use crate::values::iso_local;

/// Name of the format.
pub const FORMAT: &str = "beatledger-summary";
/// Version that is written.
pub const VERSION: u32 = 1;

/// The file.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SummaryFile {
    /// Always [`FORMAT`].
    pub format: &'static str,
    /// [`VERSION`].
    pub version: u32,
    /// The recording.
    pub recording: RecordingPart,
    /// All figures in printing order.
    pub figures: Vec<FigurePart>,
    /// What the hours and the day are.
    pub hours_about: AboutPart,
    /// One a clock hour.
    pub hours: Vec<Record>,
    /// The whole day; counts are the sums of the hours.
    pub day: Record,
    /// Tables beyond the hours, each with its definition and settings.
    pub tables: Named<TablePart>,
    /// Events, dropped ones included.
    pub events: Vec<EventPart>,
    /// Diary entries.
    pub diary: Vec<DiaryPart>,
    /// Settings in force by key.
    pub settings: BTreeMap<String, f64>,
    /// The reader's conclusion; empty when none is written.
    pub conclusion: String,
    /// Edits whose target is gone.
    pub orphans: Vec<OrphanPart>,
    /// Cautions.
    pub cautions: Vec<String>,
}

/// The summary as a value.
///
/// # Errors
/// When it cannot be expressed as JSON.
pub fn summary(snapshot: &Snapshot) -> Result<serde_json::Value, ReportError> {
    Ok(serde_json::to_value(summary_file(snapshot))?)
}

/// The summary as the text of a file, with a final line end.
///
/// # Errors
/// When it cannot be expressed as JSON.
pub fn summary_text(snapshot: &Snapshot) -> Result<String, ReportError> {
    Ok(serde_json::to_string_pretty(&summary_file(snapshot))? + "\n")
}

/// The summary as the types of the file.
pub fn summary_file(snapshot: &Snapshot) -> SummaryFile {
    let summary = &snapshot.summary;
    let hours = tables::HOURS.part(snapshot);
    let tables = tables::ALL.iter().filter(|table| table.about().in_summary);
    SummaryFile {
        format: FORMAT,
        version: VERSION,
        recording: recording_part(&snapshot.recording),
        figures: summary.figures.iter().map(figure_part).collect(),
        hours_about: AboutPart { definition: hours.definition, settings: hours.settings },
        hours: hours.rows,
        day: tables::hours::day(snapshot),
        tables: Named(tables.map(|t| (t.about().key, t.part(snapshot))).collect()),
        events: snapshot.events.iter().map(|e| event_part(&snapshot.recording, e)).collect(),
        diary: diary_parts(snapshot),
        settings: TABLE.iter().map(|row| (row.key.to_owned(), row.value(&snapshot.settings))).collect(),
        conclusion: snapshot.conclusion.clone(),
        orphans: snapshot
            .orphans
            .iter()
            .map(|o| OrphanPart { seq: o.seq, words: o.words.clone(), missing: o.missing })
            .collect(),
        cautions: CAUTIONS.map(str::to_owned).to_vec(),
    }
}

fn recording_part(recording: &Recording) -> RecordingPart {
    let (num, den) = recording.rate.parts();
    RecordingPart {
        name: recording.name.clone(),
        format: recording.format.clone(),
        sha256: recording.sha256.clone(),
        start: recording.start.map(iso_local),
        rate: RatePart { num, den },
        samples: recording.samples,
        leads: recording.leads.iter().map(|l| l.name.clone()).collect(),
    }
}

fn figure_part(figure: &Figure) -> FigurePart {
    let (value, reason) = match &figure.value {
        FigureValue::Count(n) => (Some((*n).into()), None),
        FigureValue::Place(sample) => (Some((*sample).into()), None),
        FigureValue::Number(x) => match serde_json::Number::from_f64(*x) {
            Some(n) => (Some(n), None),
            None => (None, Some("no finite value".to_owned())),
        },
        FigureValue::NotComputable(reason) => (None, Some(reason.clone())),
    };
    FigurePart {
        key: figure.key().to_owned(),
        family: figure.family().title().to_owned(),
        name: figure.name.to_owned(),
        value,
        decimals: match figure.value {
            FigureValue::Number(_) => Some(figure.decimals()),
            _ => None,
        },
        unit: figure.unit().to_owned(),
        basis_percent: figure.basis.percent.filter(|x| x.is_finite()),
        basis_of: figure.basis.of.to_owned(),
        place_sample: figure.place.map(|p| [p.start, p.end]),
        reason,
        doubt: figure.doubt.as_ref().map(|d| DoubtPart {
            doubtful: d.doubtful,
            range: d.range.map(|(low, high)| [low, high]),
            reason: d.reason.clone(),
        }),
        settings: figure.settings().iter().map(|s| (*s).to_owned()).collect(),
        definition: figure.definition().to_owned(),
    }
}

fn event_part(recording: &Recording, event: &Event) -> EventPart {
    EventPart {
        kind: event.kind.key().to_owned(),
        start_sample: event.span.start,
        end_sample: event.span.end,
        clock: place_text(recording, event.span.start),
        beats: event.beat_count(),
        // Through text, so that 92.3 does not become 92.30000305.
        rate_bpm: event.rate_bpm.and_then(|r| r.to_string().parse().ok()).filter(|r: &f64| r.is_finite()),
        state: event.state.word().to_owned(),
        origin: if event.origin == Origin::Reader { "reader" } else { "found" }.to_owned(),
        note: event.note.clone(),
        certainty: (f64::from(event.certainty.share) * 100.0).round() / 100.0,
        doubt: event.doubt().map(str::to_owned),
    }
}

fn diary_parts(snapshot: &Snapshot) -> Vec<DiaryPart> {
    let word = |kind| match kind {
        DiaryKind::Symptom => "symptom",
        DiaryKind::Activity => "activity",
        DiaryKind::Medication => "medication",
        DiaryKind::Button => "button",
        DiaryKind::Sleep => "sleep",
        DiaryKind::Note => "note",
    };
    let part = |d: &beatledger_core::model::DiaryEntry| DiaryPart {
        start_sample: d.span.start,
        end_sample: d.span.end,
        clock: place_text(&snapshot.recording, d.span.start),
        kind: word(d.kind).to_owned(),
        text: d.text.clone(),
    };
    snapshot.diary.iter().map(part).collect()
}
