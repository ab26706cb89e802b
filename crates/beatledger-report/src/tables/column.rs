//! A column: its field in files, and its heading and wording in window and print.

use beatledger_core::model::Span;
use beatledger_core::session::Snapshot;

use super::value::{Value, span_fields};
use crate::document::tree::Align;
use crate::values::{duration_text, grouped};

/// A column of a table with rows of type `R`.
pub struct Column<R> {
    field: Field<R>,
    pub(super) head: Option<Head<R>>,
}

/// What of a row stands in files.
enum Field<R> {
    /// Nothing: the column is for print alone.
    None,
    /// First sample, one past the last, and clock of a stretch.
    Span(fn(&R) -> Option<Span>),
    /// One value under its name.
    One(&'static str, fn(&Snapshot, &R) -> Value),
}

/// How a column is shown.
pub(super) struct Head<R> {
    pub title: &'static str,
    pub name: &'static str,
    pub align: Align,
    pub share: f32,
    words: Words<R>,
}

/// How a cell is worded. What is nothing or zero is a dash, so that hours with something stand out.
enum Words<R> {
    /// A number with this many decimals.
    Decimals(usize),
    /// A count in groups of three.
    Count,
    /// Seconds as a duration.
    Duration,
    /// As it is told.
    Own(fn(&Snapshot, &R) -> String),
}

/// What stands for nothing.
pub(super) const NOTHING: &str = "–";

impl<R> Column<R> {
    /// The stretch of a row, for files alone.
    pub(super) fn span(of: fn(&R) -> Option<Span>) -> Self {
        Self { field: Field::Span(of), head: None }
    }

    /// A field of files, with its unit in its name.
    pub(super) fn field(key: &'static str, value: fn(&Snapshot, &R) -> Value) -> Self {
        Self { field: Field::One(key, value), head: None }
    }

    /// Text for print alone.
    pub(super) fn text(title: &'static str, share: f32, words: fn(&Snapshot, &R) -> String) -> Self {
        Self { field: Field::None, head: None }.worded(title, share, Align::Left, Words::Own(words))
    }

    /// The same, set to the right.
    pub(super) fn right(title: &'static str, share: f32, words: fn(&Snapshot, &R) -> String) -> Self {
        Self { field: Field::None, head: None }.worded(title, share, Align::Right, Words::Own(words))
    }

    /// Shown as a number with this many decimals.
    pub(super) fn number(self, title: &'static str, share: f32, decimals: usize) -> Self {
        self.worded(title, share, Align::Right, Words::Decimals(decimals))
    }

    /// Shown as a count.
    pub(super) fn count(self, title: &'static str, share: f32) -> Self {
        self.worded(title, share, Align::Right, Words::Count)
    }

    /// Shown as a duration.
    pub(super) fn duration(self, title: &'static str, share: f32) -> Self {
        self.worded(title, share, Align::Right, Words::Duration)
    }

    /// Shown in words of its own, set to the right.
    pub(super) fn own(self, title: &'static str, share: f32, words: fn(&Snapshot, &R) -> String) -> Self {
        self.worded(title, share, Align::Right, Words::Own(words))
    }

    /// Shown in words of its own, set to the left.
    pub(super) fn own_text(
        self,
        title: &'static str,
        share: f32,
        words: fn(&Snapshot, &R) -> String,
    ) -> Self {
        self.worded(title, share, Align::Left, Words::Own(words))
    }

    /// Full name, where heading and group are too short to be read aloud.
    pub(super) fn named(mut self, name: &'static str) -> Self {
        if let Some(head) = &mut self.head {
            head.name = name;
        }
        self
    }

    fn worded(self, title: &'static str, share: f32, align: Align, words: Words<R>) -> Self {
        Self { head: Some(Head { title, name: title, align, share, words }), ..self }
    }

    /// Names of its fields in files.
    pub(super) fn keys(&self) -> Vec<&'static str> {
        match self.field {
            Field::None => Vec::new(),
            Field::Span(_) => vec!["start_sample", "end_sample", "clock"],
            Field::One(key, _) => vec![key],
        }
    }

    /// Its fields of a row in files.
    pub(super) fn fields(&self, snapshot: &Snapshot, row: &R) -> Vec<(&'static str, Value)> {
        match self.field {
            Field::None => Vec::new(),
            Field::Span(of) => span_fields(&snapshot.recording, of(row)).to_vec(),
            Field::One(key, value) => vec![(key, value(snapshot, row))],
        }
    }

    /// Its cell of a row in window and print; `None` where it stands in files alone.
    pub(super) fn cell(&self, snapshot: &Snapshot, row: &R) -> Option<String> {
        let value = || match self.field {
            Field::One(_, value) => value(snapshot, row),
            Field::None | Field::Span(_) => Value::None,
        };
        let words = match &self.head.as_ref()?.words {
            Words::Own(words) => words(snapshot, row),
            Words::Decimals(decimals) => decimal(&value(), *decimals),
            Words::Count => match value() {
                Value::Whole(n) if n > 0 => grouped(n.unsigned_abs()),
                _ => NOTHING.to_owned(),
            },
            Words::Duration => match value() {
                Value::Number(s) if s > 0.0 => duration_text(s),
                _ => NOTHING.to_owned(),
            },
        };
        Some(words)
    }
}

fn decimal(value: &Value, decimals: usize) -> String {
    match value {
        Value::Number(x) => number(Some(*x), decimals),
        _ => NOTHING.to_owned(),
    }
}

/// A number with this many decimals; a dash where there is none.
pub(super) fn number(x: Option<f64>, decimals: usize) -> String {
    x.filter(|x| x.is_finite()).map_or(NOTHING.to_owned(), |x| format!("{x:.decimals$}"))
}
