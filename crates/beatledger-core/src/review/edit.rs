//! Edits and ledger entries.

use serde::{Deserialize, Serialize};

use crate::model::{BeatClass, DiaryEntry, EventKind, Span};

/// One change that a reader makes: one undo step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Edit {
    /// Gives the beats at these samples a class.
    Relabel {
        /// Samples of the beats.
        beats: Vec<i64>,
        /// The class.
        class: BeatClass,
    },
    /// Puts a beat where the program found none.
    InsertBeat {
        /// Sample of the beat.
        sample: i64,
        /// Its class.
        class: BeatClass,
    },
    /// Takes beats away that are none.
    RemoveBeats {
        /// Samples of the beats.
        beats: Vec<i64>,
    },
    /// Moves a beat.
    MoveBeat {
        /// Where it is.
        from: i64,
        /// Where it belongs.
        to: i64,
    },
    /// Declares a stretch unreadable.
    MarkNoise {
        /// The stretch.
        span: Span,
    },
    /// Declares a stretch readable again, whoever marked it.
    UnmarkNoise {
        /// The stretch.
        span: Span,
    },
    /// Confirms an event.
    KeepEvent {
        /// Its kind.
        kind: EventKind,
        /// Its limits.
        span: Span,
    },
    /// Says that an event is not so.
    DropEvent {
        /// Its kind.
        kind: EventKind,
        /// Its limits.
        span: Span,
    },
    /// Gives an event another kind or other limits.
    ChangeEvent {
        /// Its kind.
        kind: EventKind,
        /// Its limits.
        span: Span,
        /// The kind it should have.
        new_kind: EventKind,
        /// The limits it should have.
        new_span: Span,
    },
    /// Adds an event that the program did not find.
    AddEvent {
        /// Its kind.
        kind: EventKind,
        /// Its limits.
        span: Span,
    },
    /// Draws a lead upside down, or not. Raw samples stay as they are.
    InvertLead {
        /// Index of the lead.
        lead: u16,
        /// True to draw it inverted.
        inverted: bool,
    },
    /// Adds a diary entry.
    AddDiary {
        /// The entry.
        entry: DiaryEntry,
    },
    /// Changes a setting. One that decides how beats are found needs them found anew.
    ChangeSetting {
        /// Key of the setting.
        key: String,
        /// Its value.
        value: f64,
    },
    /// The reader's conclusion, in words; the last one counts.
    Conclude {
        /// The conclusion.
        text: String,
    },
    /// Says that a stretch has been looked at.
    MarkRead {
        /// The stretch.
        span: Span,
    },
}

impl Edit {
    /// Number of beats that it touches.
    pub fn beat_count(&self) -> usize {
        match self {
            Self::Relabel { beats, .. } | Self::RemoveBeats { beats } => beats.len(),
            Self::InsertBeat { .. } | Self::MoveBeat { .. } => 1,
            _ => 0,
        }
    }

    /// The edit in words, for the bottom line and the audit trail.
    pub fn words(&self) -> String {
        let beats = |n: usize| if n == 1 { "1 beat".to_owned() } else { format!("{n} beats") };
        match self {
            Self::Relabel { beats: b, class } => format!("{} labelled {}", beats(b.len()), class.letter()),
            Self::InsertBeat { class, .. } => format!("beat {} inserted", class.letter()),
            Self::RemoveBeats { beats: b } => format!("{} removed", beats(b.len())),
            Self::MoveBeat { .. } => "beat moved".to_owned(),
            Self::MarkNoise { .. } => "stretch marked unreadable".to_owned(),
            Self::UnmarkNoise { .. } => "stretch marked readable".to_owned(),
            Self::KeepEvent { kind, .. } => format!("{} kept", kind.words()),
            Self::DropEvent { kind, .. } => format!("{} dropped", kind.words()),
            Self::ChangeEvent { kind, new_kind, .. } => {
                format!("{} changed to {}", kind.words(), new_kind.words())
            }
            Self::AddEvent { kind, .. } => format!("{} added", kind.words()),
            Self::InvertLead { lead, inverted } => {
                format!("lead {} drawn {}", lead + 1, if *inverted { "inverted" } else { "as recorded" })
            }
            Self::AddDiary { entry } => format!("diary entry '{}' added", entry.text),
            Self::ChangeSetting { key, value } => format!("setting {key} set to {value}"),
            Self::Conclude { .. } => "conclusion written".to_owned(),
            Self::MarkRead { .. } => "stretch marked as read".to_owned(),
        }
    }
}

/// A sign-off: who, in which role, with which meaning, over which files.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Signature {
    /// Printed name.
    pub reader: String,
    /// Role, such as `technician` or `cardiologist`.
    pub role: String,
    /// Meaning of the signature, such as `reviewed and approved`.
    pub meaning: String,
    /// SHA-256 of the manifest that was written, lower-case hex.
    pub manifest_sha256: String,
}

/// What an entry does.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum Action {
    /// Makes an edit.
    Do(Edit),
    /// Takes the edit of entry `seq` back.
    Undo {
        /// Sequence number of the entry.
        seq: u64,
    },
    /// Makes the edit of entry `seq` again.
    Redo {
        /// Sequence number of the entry.
        seq: u64,
    },
    /// Signs the summary as it stands.
    Sign(Signature),
}

/// One line of the ledger.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Entry {
    /// Number of the entry, from 1, without holes.
    pub seq: u64,
    /// Computer's clock, ms since 1970-01-01 UTC.
    pub at_utc_ms: i64,
    /// Offset of the computer's local time, minutes east of UTC.
    pub utc_offset_min: i32,
    /// Who did it.
    pub reader: String,
    /// What was done.
    pub action: Action,
}
