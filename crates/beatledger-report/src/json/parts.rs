//! The parts of the summary file, apart from the types in memory.

use serde::Serialize;

/// The recording.
#[derive(Clone, Debug, PartialEq, Serialize)]
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
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct RatePart {
    /// Samples.
    pub num: u32,
    /// Seconds.
    pub den: u32,
}

/// A figure.
#[derive(Clone, Debug, PartialEq, Serialize)]
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
    /// What is not certain about it; absent where nothing is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub doubt: Option<DoubtPart>,
    /// Keys of the settings that decide it.
    pub settings: Vec<String>,
    /// Definition.
    pub definition: String,
}

/// What is not certain about a figure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DoubtPart {
    /// How many of a count are doubtful.
    pub doubtful: u64,
    /// The value lies between these for 95 of 100 such counts, by the program's own confidence; null where it is known.
    pub range: Option<[f64; 2]>,
    /// What else makes it doubtful; empty when nothing does.
    pub reason: String,
}

/// What a table is.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AboutPart {
    /// Definition.
    pub definition: &'static str,
    /// Keys of the settings that decide it.
    pub settings: &'static [&'static str],
}

/// An event.
#[derive(Clone, Debug, PartialEq, Serialize)]
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
    /// How sure the program was of it before any reader spoke, 0 to 1.
    pub certainty: f64,
    /// Why it is doubtful; null where it is not, or a reader has said so or otherwise.
    pub doubt: Option<String>,
}

/// A diary entry.
#[derive(Clone, Debug, PartialEq, Serialize)]
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
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct OrphanPart {
    /// Number of the ledger entry.
    pub seq: u64,
    /// The edit in words.
    pub words: String,
    /// How many of its targets were not found.
    pub missing: usize,
}
