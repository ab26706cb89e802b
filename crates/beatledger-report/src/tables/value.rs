//! A cell as files hold it: the same value in the summary file and in a list of comma-separated values.

use beatledger_core::model::{Recording, Span};
use serde::ser::{Serialize, SerializeMap, Serializer};

use crate::values::{clock_ms, iso_local};

/// A cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// Nothing is known.
    None,
    /// Text.
    Text(String),
    /// A whole number.
    Whole(i64),
    /// A number; one that is not finite is written as nothing.
    Number(f64),
    /// Yes or no.
    Flag(bool),
    /// Several.
    List(Vec<Value>),
    /// Named values.
    Record(Record),
}

/// Named values in the order in which they are written.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Named<V>(pub Vec<(&'static str, V)>);

/// The fields of a row.
pub type Record = Named<Value>;

impl Serialize for Value {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::None => to.serialize_none(),
            Self::Text(text) => to.serialize_str(text),
            Self::Whole(n) => to.serialize_i64(*n),
            Self::Number(x) => to.serialize_f64(*x),
            Self::Flag(is) => to.serialize_bool(*is),
            Self::List(values) => values.serialize(to),
            Self::Record(record) => record.serialize(to),
        }
    }
}

impl<V: Serialize> Serialize for Named<V> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let mut map = to.serialize_map(Some(self.0.len()))?;
        for (key, value) in &self.0 {
            map.serialize_entry(key, value)?;
        }
        map.end()
    }
}

impl Value {
    /// A place: first sample, one past the last, and the clock at the first.
    pub fn place(recording: &Recording, span: Span) -> Self {
        Self::Record(Named(span_fields(recording, Some(span)).to_vec()))
    }

    /// A number of single precision as it is written: 0.1 does not become 0.10000000149.
    pub fn single(x: f32) -> Self {
        x.to_string().parse().map_or(Self::None, Self::Number)
    }

    /// As a cell of comma-separated values; nothing is an empty cell.
    pub(crate) fn cell(&self) -> String {
        match self {
            Self::None => String::new(),
            Self::Text(text) => text.clone(),
            Self::Number(x) if !x.is_finite() => String::new(),
            // Numbers as in the summary file; what cannot be told in a cell is told there.
            other => serde_json::to_string(other).unwrap_or_default(),
        }
    }
}

/// The three fields of a stretch.
pub(crate) fn span_fields(recording: &Recording, span: Option<Span>) -> [(&'static str, Value); 3] {
    [
        ("start_sample", span.map(|s| s.start).into()),
        ("end_sample", span.map(|s| s.end).into()),
        ("clock", clock(recording, span)),
    ]
}

/// The clock at the start of a stretch.
pub(crate) fn clock(recording: &Recording, span: Option<Span>) -> Value {
    span.map(|s| local(recording, s.start)).into()
}

/// ISO local time at a sample; elapsed time with a leading `+` when the start is unknown.
pub(crate) fn local(recording: &Recording, sample: i64) -> String {
    recording.local_time(sample).map_or_else(|| clock_ms(recording, sample), iso_local)
}

impl From<f64> for Value {
    fn from(x: f64) -> Self {
        Self::Number(x)
    }
}

impl From<i64> for Value {
    fn from(n: i64) -> Self {
        Self::Whole(n)
    }
}

impl From<u64> for Value {
    /// Counts of beats and events lie far below 2^63.
    fn from(n: u64) -> Self {
        Self::Whole(i64::try_from(n).unwrap_or(i64::MAX))
    }
}

impl From<u32> for Value {
    fn from(n: u32) -> Self {
        Self::Whole(i64::from(n))
    }
}

impl From<bool> for Value {
    fn from(is: bool) -> Self {
        Self::Flag(is)
    }
}

impl From<&str> for Value {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<String> for Value {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl<T: Into<Value>> From<Option<T>> for Value {
    fn from(value: Option<T>) -> Self {
        value.map_or(Self::None, Into::into)
    }
}
