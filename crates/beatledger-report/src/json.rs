//! The summary as a JSON file: its own types, apart from those in memory, with format and version.
//! Readers ignore what they do not know. Times are ISO 8601 without a zone, as none is known.

use std::collections::BTreeMap;

use beatledger_core::model::{DiaryKind, Event, Figure, FigureValue, HourRow, Origin, Recording};
use beatledger_core::session::Snapshot;
use beatledger_core::settings::TABLE;
use serde::{Deserialize, Serialize};

use crate::ReportError;
use crate::document::CAUTIONS;
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
    /// One a clock hour.
    pub hours: Vec<HourPart>,
    /// The whole day; counts are the sums of the hours.
    pub day: HourPart,
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

/// The recording.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct RecordingPart {
    /// Name.
    pub name: String,
    /// Format in words.
    pub format: String,
    /// SHA-256 of its files, hex; empty when made in memory.
    pub sha256: String,
    /// Local start, ISO 8601 without zone.
    pub start: Option<String>,
    /// Samples per second.
    pub rate: RatePart,
    /// Samples per lead.
    pub samples: i64,
    /// Names of the leads.
    pub leads: Vec<String>,
}

/// A rational rate.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct RatePart {
    /// Samples.
    pub num: u32,
    /// Seconds.
    pub den: u32,
}

/// A figure.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct FigurePart {
    /// Stable name.
    pub key: String,
    /// Family.
    pub family: String,
    /// Name for a reader.
    pub name: String,
    /// Value; a place is its sample; null when it could not be computed.
    pub value: Option<serde_json::Number>,
    /// Unit.
    pub unit: String,
    /// Why there is no value.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// Keys of the settings that decide it.
    pub settings: Vec<String>,
    /// Definition.
    pub definition: String,
}

/// An hour, or the day.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
#[allow(missing_docs, reason = "the names carry the units and mirror the hourly table")]
pub struct HourPart {
    pub start_sample: Option<i64>,
    pub end_sample: Option<i64>,
    pub clock: Option<String>,
    pub readable_min: f64,
    pub beats: u64,
    pub min_bpm: Option<f64>,
    pub mean_bpm: Option<f64>,
    pub max_bpm: Option<f64>,
    pub s_beats: u64,
    pub s_singles: u64,
    pub s_couplets: u64,
    pub s_runs: u64,
    pub v_beats: u64,
    pub v_singles: u64,
    pub v_couplets: u64,
    pub v_runs: u64,
    pub pauses: u64,
    pub af_min: f64,
    pub longest_rr_ms: Option<f64>,
}

/// An event.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct EventPart {
    /// Kind, kebab-case.
    pub kind: String,
    /// First sample.
    pub start_sample: i64,
    /// One past the last sample.
    pub end_sample: i64,
    /// Clock at its start.
    pub clock: String,
    /// Beats that belong to it.
    pub beats: u32,
    /// Mean rate.
    pub rate_bpm: Option<f64>,
    /// `unread`, `kept`, `changed` or `dropped`.
    pub state: String,
    /// `found` or `reader`.
    pub origin: String,
    /// Cause or qualifier.
    pub note: String,
}

/// A diary entry.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct DiaryPart {
    /// First sample.
    pub start_sample: i64,
    /// One past the last sample; the same as the first for an instant.
    pub end_sample: i64,
    /// Clock at its start.
    pub clock: String,
    /// `symptom`, `activity`, `medication`, `button`, `sleep` or `note`.
    pub kind: String,
    /// The wearer's words.
    pub text: String,
}

/// An edit whose target is gone.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct OrphanPart {
    /// Number of the ledger entry.
    pub seq: u64,
    /// The edit in words.
    pub words: String,
    /// How many of its targets were not found.
    pub missing: usize,
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
        hours: summary.hours.iter().map(|h| hour_part(&snapshot.recording, h)).collect(),
        day: hour_part(&snapshot.recording, &summary.day),
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
        FigureValue::Number(x, _) => match serde_json::Number::from_f64(*x) {
            Some(n) => (Some(n), None),
            None => (None, Some("no finite value".to_owned())),
        },
        FigureValue::NotComputable(reason) => (None, Some(reason.clone())),
    };
    FigurePart {
        key: figure.key.to_owned(),
        family: figure.family.to_owned(),
        name: figure.name.to_owned(),
        value,
        unit: figure.unit.to_owned(),
        reason,
        settings: figure.settings.iter().map(|s| (*s).to_owned()).collect(),
        definition: figure.definition.to_owned(),
    }
}

fn hour_part(recording: &Recording, h: &HourRow) -> HourPart {
    let finite = |x: Option<f64>| x.filter(|x| x.is_finite());
    HourPart {
        start_sample: h.span.map(|s| s.start),
        end_sample: h.span.map(|s| s.end),
        clock: h.span.map(|s| place_text(recording, s.start)),
        readable_min: h.readable_s / 60.0,
        beats: h.beats,
        min_bpm: finite(h.min_bpm),
        mean_bpm: finite(h.mean_bpm),
        max_bpm: finite(h.max_bpm),
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
