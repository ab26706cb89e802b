//! The truth in the shape of the summary file, so that the two can be laid side by side.

use std::collections::BTreeMap;

use beatledger_core::model::DiaryKind;
use serde::Serialize;

use crate::count::{BIGEMINY_CYCLES, CRITICAL_PAUSE_MS, NIGHT_H, PAUSE_MS, RUN_RATE_BPM};
use crate::make::{AF_MIN_S, Made, RATE_HOLDS_S, RATE_LIMITS_BPM};
use crate::truth::{TruthEvent, TruthFigure};

/// The file. Readers of summaries ignore the fields they do not know.
#[derive(Debug, Serialize)]
pub(crate) struct TruthFile {
    format: &'static str,
    version: u32,
    recording: RecordingPart,
    figures: Vec<FigurePart>,
    hours: Vec<()>,
    day: BTreeMap<&'static str, f64>,
    events: Vec<EventPart>,
    /// Events that are there but too short to be reported.
    uncounted: Vec<EventPart>,
    diary: Vec<DiaryPart>,
    settings: BTreeMap<&'static str, f64>,
    conclusion: &'static str,
    orphans: Vec<()>,
    cautions: [&'static str; 2],
}

#[derive(Debug, Serialize)]
struct RecordingPart {
    name: String,
    format: String,
    sha256: String,
    start: Option<String>,
    rate: RatePart,
    samples: i64,
    leads: Vec<String>,
}

#[derive(Debug, Serialize)]
struct RatePart {
    num: u32,
    den: u32,
}

#[derive(Debug, Serialize)]
struct FigurePart {
    key: &'static str,
    family: &'static str,
    name: &'static str,
    value: Option<serde_json::Number>,
    unit: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    reason: Option<&'static str>,
    settings: Vec<&'static str>,
    definition: &'static str,
}

#[derive(Debug, Serialize)]
struct EventPart {
    kind: &'static str,
    start_sample: i64,
    end_sample: i64,
    clock: String,
    beats: u32,
    rate_bpm: Option<serde_json::Number>,
    state: &'static str,
    origin: &'static str,
    note: &'static str,
}

#[derive(Debug, Serialize)]
struct DiaryPart {
    start_sample: i64,
    end_sample: i64,
    clock: String,
    kind: &'static str,
    text: String,
}

/// The word of a kind of diary entry in files.
pub(crate) fn kind_word(kind: DiaryKind) -> &'static str {
    match kind {
        DiaryKind::Symptom => "symptom",
        DiaryKind::Activity => "activity",
        DiaryKind::Medication => "medication",
        DiaryKind::Button => "button",
        DiaryKind::Sleep => "sleep",
        DiaryKind::Note => "note",
    }
}

/// A number with at most `decimals` decimals; a count stays whole.
fn number(value: f64, decimals: i32) -> Option<serde_json::Number> {
    if value.fract() == 0.0 && value.abs() < 9.0e15 {
        return Some(serde_json::Number::from(value as i64));
    }
    let scale = 10f64.powi(decimals);
    serde_json::Number::from_f64((value * scale).round() / scale)
}

fn figure(figure: &TruthFigure) -> FigurePart {
    let (row, value) = (figure.id.row(), figure.value);
    FigurePart {
        key: row.key,
        family: row.family.title(),
        name: row.name,
        value: value.and_then(|v| number(v, 6)),
        unit: row.unit,
        reason: value.is_none().then_some("there is nothing in this recording to count it from"),
        settings: Vec::new(),
        definition: "Counted from the script of the made recording.",
    }
}

fn event(event: &TruthEvent, made: &Made) -> EventPart {
    EventPart {
        kind: event.kind.key(),
        start_sample: event.span.start,
        end_sample: event.span.end,
        clock: made.recording.clock(event.span.start),
        beats: event.beats.1 - event.beats.0,
        rate_bpm: event.rate_bpm.and_then(|bpm| number(f64::from(bpm), 2)),
        state: "kept",
        origin: "truth",
        note: event.note,
    }
}

fn settings() -> BTreeMap<&'static str, f64> {
    BTreeMap::from([
        ("pause_ms", PAUSE_MS),
        ("critical_pause_ms", CRITICAL_PAUSE_MS),
        ("run_rate_bpm", RUN_RATE_BPM),
        ("run_beats", 3.0),
        ("bigeminy_cycles", BIGEMINY_CYCLES as f64),
        ("af_min_s", AF_MIN_S),
        ("brady_bpm", RATE_LIMITS_BPM.0),
        ("tachy_bpm", RATE_LIMITS_BPM.1),
        ("rate_episode_s", RATE_HOLDS_S),
        ("night_from_h", f64::from(NIGHT_H.0)),
        ("night_to_h", f64::from(NIGHT_H.1)),
    ])
}

/// The file of a made day.
pub(crate) fn truth_file(made: &Made) -> TruthFile {
    let (recording, truth) = (&made.recording, &made.truth);
    let (num, den) = recording.rate.parts();
    let events =
        |counts: bool| truth.events.iter().filter(|e| e.counts == counts).map(|e| event(e, made)).collect();
    TruthFile {
        format: "beatledger-summary",
        version: 1,
        recording: RecordingPart {
            name: recording.name.clone(),
            format: recording.format.clone(),
            sha256: recording.sha256.clone(),
            start: recording.start.map(beatledger_formats::time::iso_date_time),
            rate: RatePart { num, den },
            samples: recording.samples,
            leads: recording.leads.iter().map(|l| l.name.clone()).collect(),
        },
        figures: truth.figures.iter().map(figure).collect(),
        hours: Vec::new(),
        day: BTreeMap::new(),
        events: events(true),
        uncounted: events(false),
        diary: recording
            .diary
            .iter()
            .map(|d| DiaryPart {
                start_sample: d.span.start,
                end_sample: d.span.end,
                clock: recording.clock(d.span.start),
                kind: kind_word(d.kind),
                text: d.text.clone(),
            })
            .collect(),
        settings: settings(),
        conclusion: "",
        orphans: Vec::new(),
        cautions: [
            "Made by a program from a script and a seed; no person was recorded.",
            "Beats inside unreadable time are not counted.",
        ],
    }
}
