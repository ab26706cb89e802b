//! The parts of the summary file, apart from the types in memory.

use serde::{Deserialize, Serialize};

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
    /// Decimals to print; null for counts and places.
    pub decimals: Option<u8>,
    /// Unit.
    pub unit: String,
    /// Share of the data that it rests on, %; null where there is nothing to take a share of.
    pub basis_percent: Option<f64>,
    /// What of what that share is.
    pub basis_of: String,
    /// The place to look at first: first and one past the last sample.
    pub place_sample: Option<[i64; 2]>,
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
    pub readable_percent: Option<f64>,
    pub beats: u64,
    pub min_bpm: Option<f64>,
    pub min_start_sample: Option<i64>,
    pub min_clock: Option<String>,
    pub mean_bpm: Option<f64>,
    pub max_bpm: Option<f64>,
    pub max_start_sample: Option<i64>,
    pub max_clock: Option<String>,
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
    pub longest_rr_start_sample: Option<i64>,
    pub longest_rr_clock: Option<String>,
}

/// What a table is.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct AboutPart {
    /// Definition.
    pub definition: String,
    /// Keys of the settings that decide it.
    pub settings: Vec<String>,
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
