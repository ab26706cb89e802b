//! What the bytes of a ledger mean, version 1. These types are the file's own; a program that changes its
//! insides converts here and the files stay readable.
//!
//! ```text
//! 16 bytes   magic "beatledger" and six zero bytes
//!  2 bytes   format version, little-endian: 1
//!  record    HeaderV1
//!  records   RecordV1, one an entry
//! ```
//!
//! A record is framed as `length, !length, crc32` (u32, little-endian) and a payload of MessagePack with
//! field names. Unknown fields are passed over, so that a later version may add some; an unknown variant
//! or letter is refused with the version that wrote it. Names of variants and fields never change.

use beatledger_core::model::{BeatClass, DiaryEntry, DiaryKind, EventKind, Span};
use beatledger_core::review::{Action, Edit, Entry, Signature};
use serde::{Deserialize, Serialize};

/// First bytes of every ledger.
pub const MAGIC: [u8; 16] = *b"beatledger\0\0\0\0\0\0";

/// Version of the file as a whole.
pub const FORMAT_VERSION: u16 = 1;

/// Version of one record.
pub const RECORD_VERSION: u16 = 1;

/// The header.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HeaderV1 {
    /// SHA-256 of the recording, 64 lower-case hex digits.
    pub recording_sha256: String,
    /// Version of the program that made the file.
    pub program: String,
    /// When, ms since 1970-01-01 UTC by the computer's clock: the time of the first entry.
    pub created_utc_ms: i64,
}

/// One record.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RecordV1 {
    /// Record format version.
    pub v: u16,
    /// Version of the program that wrote it; empty when the record does not say.
    #[serde(default)]
    pub program: String,
    /// SHA-256 of the payload of the record before, the header's for the first; lower-case hex.
    pub before: String,
    /// The entry.
    pub entry: EntryV1,
}

/// What can be read of a record that is not fully known.
#[derive(Clone, Debug, Deserialize)]
pub(crate) struct EnvelopeV1 {
    pub(crate) v: u16,
    #[serde(default)]
    pub(crate) program: String,
}

/// One entry.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct EntryV1 {
    /// Number of the entry, from 1.
    pub seq: u64,
    /// Computer's clock, ms since 1970-01-01 UTC.
    pub at_utc_ms: i64,
    /// Minutes east of UTC.
    pub utc_offset_min: i32,
    /// Who did it.
    pub reader: String,
    /// What was done.
    pub action: ActionV1,
}

/// What an entry does.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[expect(missing_docs, reason = "the fields are those of the shared words and are told there")]
pub enum ActionV1 {
    /// Makes an edit.
    Do(EditV1),
    /// Takes an edit back.
    Undo { seq: u64 },
    /// Makes it again.
    Redo { seq: u64 },
    /// Signs.
    Sign { reader: String, role: String, meaning: String, manifest_sha256: String },
}

/// A half-open stretch of samples.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SpanV1 {
    /// First sample.
    pub start: i64,
    /// One past the last sample.
    pub end: i64,
}

/// An edit. Classes are EC57 letters, kinds of event are their stable keys.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[expect(missing_docs, reason = "variants and fields are those of the shared words and are told there")]
pub enum EditV1 {
    Relabel { beats: Vec<i64>, class: char },
    InsertBeat { sample: i64, class: char },
    RemoveBeats { beats: Vec<i64> },
    MoveBeat { from: i64, to: i64 },
    MarkNoise { span: SpanV1 },
    UnmarkNoise { span: SpanV1 },
    KeepEvent { kind: String, span: SpanV1 },
    DropEvent { kind: String, span: SpanV1 },
    ChangeEvent { kind: String, span: SpanV1, new_kind: String, new_span: SpanV1 },
    AddEvent { kind: String, span: SpanV1 },
    InvertLead { lead: u16, inverted: bool },
    AddDiary { span: SpanV1, kind: String, text: String },
    ChangeSetting { key: String, value: f64 },
    Conclude { text: String },
    MarkRead { span: SpanV1 },
}

impl From<&Entry> for EntryV1 {
    fn from(entry: &Entry) -> Self {
        Self {
            seq: entry.seq,
            at_utc_ms: entry.at_utc_ms,
            utc_offset_min: entry.utc_offset_min,
            reader: entry.reader.clone(),
            action: (&entry.action).into(),
        }
    }
}

impl TryFrom<EntryV1> for Entry {
    type Error = String;

    /// Fails on a letter or a key that this version does not know, and names it.
    fn try_from(entry: EntryV1) -> Result<Self, String> {
        Ok(Self {
            seq: entry.seq,
            at_utc_ms: entry.at_utc_ms,
            utc_offset_min: entry.utc_offset_min,
            reader: entry.reader,
            action: entry.action.try_into()?,
        })
    }
}

impl From<&Action> for ActionV1 {
    fn from(action: &Action) -> Self {
        match action {
            Action::Do(edit) => Self::Do(edit.into()),
            Action::Undo { seq } => Self::Undo { seq: *seq },
            Action::Redo { seq } => Self::Redo { seq: *seq },
            Action::Sign(s) => Self::Sign {
                reader: s.reader.clone(),
                role: s.role.clone(),
                meaning: s.meaning.clone(),
                manifest_sha256: s.manifest_sha256.clone(),
            },
        }
    }
}

impl TryFrom<ActionV1> for Action {
    type Error = String;

    fn try_from(action: ActionV1) -> Result<Self, String> {
        Ok(match action {
            ActionV1::Do(edit) => Self::Do(edit.try_into()?),
            ActionV1::Undo { seq } => Self::Undo { seq },
            ActionV1::Redo { seq } => Self::Redo { seq },
            ActionV1::Sign { reader, role, meaning, manifest_sha256 } => {
                Self::Sign(Signature { reader, role, meaning, manifest_sha256 })
            }
        })
    }
}

impl From<&Edit> for EditV1 {
    fn from(edit: &Edit) -> Self {
        let span = |s: &Span| SpanV1 { start: s.start, end: s.end };
        let key = |k: &EventKind| k.key().to_owned();
        match edit {
            Edit::Relabel { beats, class } => Self::Relabel { beats: beats.clone(), class: class.letter() },
            Edit::InsertBeat { sample, class } => Self::InsertBeat { sample: *sample, class: class.letter() },
            Edit::RemoveBeats { beats } => Self::RemoveBeats { beats: beats.clone() },
            Edit::MoveBeat { from, to } => Self::MoveBeat { from: *from, to: *to },
            Edit::MarkNoise { span: s } => Self::MarkNoise { span: span(s) },
            Edit::UnmarkNoise { span: s } => Self::UnmarkNoise { span: span(s) },
            Edit::KeepEvent { kind, span: s } => Self::KeepEvent { kind: key(kind), span: span(s) },
            Edit::DropEvent { kind, span: s } => Self::DropEvent { kind: key(kind), span: span(s) },
            Edit::ChangeEvent { kind, span: s, new_kind, new_span } => Self::ChangeEvent {
                kind: key(kind),
                span: span(s),
                new_kind: key(new_kind),
                new_span: span(new_span),
            },
            Edit::AddEvent { kind, span: s } => Self::AddEvent { kind: key(kind), span: span(s) },
            Edit::InvertLead { lead, inverted } => Self::InvertLead { lead: *lead, inverted: *inverted },
            Edit::AddDiary { entry } => Self::AddDiary {
                span: span(&entry.span),
                kind: diary_key(entry.kind).to_owned(),
                text: entry.text.clone(),
            },
            Edit::ChangeSetting { key, value } => Self::ChangeSetting { key: key.clone(), value: *value },
            Edit::Conclude { text } => Self::Conclude { text: text.clone() },
            Edit::MarkRead { span: s } => Self::MarkRead { span: span(s) },
        }
    }
}

impl TryFrom<EditV1> for Edit {
    type Error = String;

    fn try_from(edit: EditV1) -> Result<Self, String> {
        Ok(match edit {
            EditV1::Relabel { beats, class } => Self::Relabel { beats, class: class_from(class)? },
            EditV1::InsertBeat { sample, class } => Self::InsertBeat { sample, class: class_from(class)? },
            EditV1::RemoveBeats { beats } => Self::RemoveBeats { beats },
            EditV1::MoveBeat { from, to } => Self::MoveBeat { from, to },
            EditV1::MarkNoise { span } => Self::MarkNoise { span: span_from(span) },
            EditV1::UnmarkNoise { span } => Self::UnmarkNoise { span: span_from(span) },
            EditV1::KeepEvent { kind, span } => {
                Self::KeepEvent { kind: kind_from(&kind)?, span: span_from(span) }
            }
            EditV1::DropEvent { kind, span } => {
                Self::DropEvent { kind: kind_from(&kind)?, span: span_from(span) }
            }
            EditV1::ChangeEvent { kind, span, new_kind, new_span } => Self::ChangeEvent {
                kind: kind_from(&kind)?,
                span: span_from(span),
                new_kind: kind_from(&new_kind)?,
                new_span: span_from(new_span),
            },
            EditV1::AddEvent { kind, span } => {
                Self::AddEvent { kind: kind_from(&kind)?, span: span_from(span) }
            }
            EditV1::InvertLead { lead, inverted } => Self::InvertLead { lead, inverted },
            EditV1::AddDiary { span, kind, text } => {
                Self::AddDiary { entry: DiaryEntry { span: span_from(span), kind: diary_from(&kind)?, text } }
            }
            EditV1::ChangeSetting { key, value } => Self::ChangeSetting { key, value },
            EditV1::Conclude { text } => Self::Conclude { text },
            EditV1::MarkRead { span } => Self::MarkRead { span: span_from(span) },
        })
    }
}

fn span_from(span: SpanV1) -> Span {
    Span { start: span.start, end: span.end }
}

fn class_from(letter: char) -> Result<BeatClass, String> {
    BeatClass::from_letter(letter).ok_or_else(|| format!("unknown beat class '{letter}'"))
}

fn kind_from(key: &str) -> Result<EventKind, String> {
    EventKind::from_key(key).ok_or_else(|| format!("unknown kind of event '{key}'"))
}

const DIARY_KEYS: [(DiaryKind, &str); 6] = [
    (DiaryKind::Symptom, "symptom"),
    (DiaryKind::Activity, "activity"),
    (DiaryKind::Medication, "medication"),
    (DiaryKind::Button, "button"),
    (DiaryKind::Sleep, "sleep"),
    (DiaryKind::Note, "note"),
];

fn diary_key(kind: DiaryKind) -> &'static str {
    DIARY_KEYS.iter().find(|(k, _)| *k == kind).map_or("note", |(_, key)| key)
}

fn diary_from(key: &str) -> Result<DiaryKind, String> {
    let found = DIARY_KEYS.iter().find(|(_, k)| *k == key);
    found.map(|(kind, _)| *kind).ok_or_else(|| format!("unknown kind of diary entry '{key}'"))
}
