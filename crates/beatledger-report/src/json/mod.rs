//! The summary as a JSON file: its own types, apart from those in memory, with format and version.
//! Readers ignore what they do not know. Times are ISO 8601 without a zone, as none is known.

mod parts;
mod rows;
mod tables;

use std::collections::BTreeMap;

use beatledger_core::model::{DiaryKind, Event, Figure, FigureValue, HourRow, Origin, Recording, Span};
use beatledger_core::session::Snapshot;
use beatledger_core::settings::TABLE;
use serde::{Deserialize, Serialize};

pub use parts::{AboutPart, DiaryPart, EventPart, FigurePart, HourPart, OrphanPart, RatePart, RecordingPart};
pub use rows::{
    AlternansPart, ConductionPart, EnoughPart, HrvPart, LeadPart, LongestRrPart, PauseTierPart, PlacePart,
    QtPart, SilentPart, StChangePart, StPart, StPointPart, SymptomPart, TablePart, TablesPart,
};
pub(crate) use tables::{conduction_hours, hrv_hours, hrv_windows, tables};

use crate::ReportError;
use crate::document::CAUTIONS;
use crate::explain;
use crate::values::{clock_ms, iso_local};

/// Name of the format.
pub const FORMAT: &str = "beatledger-summary";
/// Version that is written, and the latest that is read.
pub const VERSION: u32 = 1;

/// The file.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct SummaryFile {
    /// Always [`FORMAT`].
    pub format: String,
    /// [`VERSION`].
    pub version: u32,
    /// The recording.
    pub recording: RecordingPart,
    /// All figures in printing order.
    pub figures: Vec<FigurePart>,
    /// What the hours and the day are.
    pub hours_about: AboutPart,
    /// One a clock hour.
    pub hours: Vec<HourPart>,
    /// The whole day; counts are the sums of the hours.
    pub day: HourPart,
    /// Tables beyond the hours, each with its definition and settings.
    pub tables: TablesPart,
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

/// Reads a summary file.
///
/// # Errors
/// When it is no JSON, another format, or a later version.
pub fn read(text: &str) -> Result<SummaryFile, ReportError> {
    let file: SummaryFile = serde_json::from_str(text)?;
    match file.format == FORMAT && file.version <= VERSION {
        true => Ok(file),
        false => Err(ReportError::Format { format: file.format, version: file.version }),
    }
}

/// The summary as the types of the file.
pub fn summary_file(snapshot: &Snapshot) -> SummaryFile {
    let summary = &snapshot.summary;
    SummaryFile {
        format: FORMAT.to_owned(),
        version: VERSION,
        recording: recording_part(&snapshot.recording),
        figures: summary.figures.iter().map(figure_part).collect(),
        hours_about: AboutPart {
            definition: explain::HOURS.definition.to_owned(),
            settings: explain::HOURS.settings.iter().map(|s| (*s).to_owned()).collect(),
        },
        hours: summary.hours.iter().map(|h| hour_part(&snapshot.recording, h)).collect(),
        day: hour_part(&snapshot.recording, &summary.day),
        tables: tables(snapshot),
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
        settings: figure.settings().iter().map(|s| (*s).to_owned()).collect(),
        definition: figure.definition().to_owned(),
    }
}

pub(crate) fn hour_part(recording: &Recording, h: &HourRow) -> HourPart {
    let finite = |x: Option<f64>| x.filter(|x| x.is_finite());
    let clock = |place: Option<Span>| place.map(|s| place_text(recording, s.start));
    let length_s = h.span.map_or(0.0, |s| recording.rate.seconds_from_samples(s.len()));
    HourPart {
        start_sample: h.span.map(|s| s.start),
        end_sample: h.span.map(|s| s.end),
        clock: clock(h.span),
        readable_min: h.readable_s / 60.0,
        readable_percent: (length_s > 0.0).then(|| 100.0 * h.readable_s / length_s),
        beats: h.beats,
        min_bpm: finite(h.min_bpm),
        min_start_sample: h.min_place.map(|s| s.start),
        min_clock: clock(h.min_place),
        mean_bpm: finite(h.mean_bpm),
        max_bpm: finite(h.max_bpm),
        max_start_sample: h.max_place.map(|s| s.start),
        max_clock: clock(h.max_place),
        s_beats: h.s_beats,
        s_singles: h.s_singles,
        s_couplets: h.s_couplets,
        s_runs: h.s_runs,
        v_beats: h.v_beats,
        v_singles: h.v_singles,
        v_couplets: h.v_couplets,
        v_runs: h.v_runs,
        pauses: h.pauses,
        af_min: h.af_s / 60.0,
        longest_rr_ms: finite(h.longest_rr_ms),
        longest_rr_start_sample: h.longest_rr_place.map(|s| s.start),
        longest_rr_clock: clock(h.longest_rr_place),
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

/// ISO local time at a sample; elapsed time with a leading `+` when the start is unknown.
fn place_text(recording: &Recording, sample: i64) -> String {
    recording.local_time(sample).map_or_else(|| clock_ms(recording, sample), iso_local)
}
