//! One figure: its value, what proves it, and what it rests on.

use std::sync::Arc;

use serde::Serialize;

use super::figures::{Family, FigureId};
use super::{BeatClass, EventKind, Span};

/// What proves a figure. Beat and event indices are into the same snapshot.
#[derive(Clone, Debug, PartialEq)]
pub enum Proof {
    /// All beats.
    AllBeats,
    /// All beats of one class.
    Class(BeatClass),
    /// These beats.
    Beats(Arc<[u32]>),
    /// All counting events of one kind.
    Kind(EventKind),
    /// These events.
    Events(Arc<[u32]>),
    /// These stretches of tracing.
    Spans(Arc<[Span]>),
    /// The whole recording.
    Whole,
}

/// Value of a figure.
#[derive(Clone, Debug, PartialEq)]
pub enum FigureValue {
    /// A count.
    Count(u64),
    /// A measured number in the unit of the figure.
    Number(f64),
    /// A clock or elapsed place: the sample.
    Place(i64),
    /// Could not be computed, and why. Never zero.
    NotComputable(String),
}

impl FigureValue {
    /// The reason of a figure that is being worked out: it comes a moment after the others when a reader changes
    /// something.
    pub const AWAITED: &'static str = "being worked out";
}

/// What is not certain about a figure that is told.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Doubt {
    /// How many of a count are doubtful.
    pub doubtful: u64,
    /// The value lies between these for 95 of 100 such counts, by the program's own confidence, in the unit of the figure; `None` where it is known.
    pub range: Option<(f64, f64)>,
    /// What else makes it doubtful, in words; empty when nothing does.
    pub reason: String,
}

impl Doubt {
    /// The same for a figure that is this many times the count.
    pub fn times(&self, factor: f64) -> Self {
        Self { range: self.range.map(|(low, high)| (factor * low, factor * high)), ..self.clone() }
    }

    /// True when nothing is in doubt.
    pub fn is_none(&self) -> bool {
        self.doubtful == 0 && self.range.is_none() && self.reason.is_empty()
    }
}

/// The share of the data that a figure rests on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Basis {
    /// The share, %; `None` where there is nothing to take a share of.
    pub percent: Option<f64>,
    /// What of what, such as `of recorded time readable`.
    pub of: &'static str,
}

/// One figure of the summary.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// Which figure.
    pub id: FigureId,
    /// Name for a reader, in trade words; that of a short recording may differ from the one of the table.
    pub name: &'static str,
    /// The value.
    pub value: FigureValue,
    /// What proves it.
    pub proof: Proof,
    /// The place to look at first, when there is one.
    pub place: Option<Span>,
    /// The share of the data that it rests on.
    pub basis: Basis,
    /// What is not certain about it; `None` where it is told without doubt, or not told.
    pub doubt: Option<Doubt>,
}

impl Figure {
    /// Stable name for files.
    pub fn key(&self) -> &'static str {
        self.id.row().key
    }

    /// Family it stands under.
    pub fn family(&self) -> Family {
        self.id.row().family
    }

    /// Unit in print, empty for counts.
    pub fn unit(&self) -> &'static str {
        self.id.row().unit
    }

    /// Decimals in print.
    pub fn decimals(&self) -> u8 {
        self.id.row().decimals
    }

    /// Keys of the settings that decide it.
    pub fn settings(&self) -> &'static [&'static str] {
        self.id.row().settings
    }

    /// Definition in one sentence, with its source.
    pub fn definition(&self) -> &'static str {
        self.id.row().definition
    }

    /// Its number, counts included; `None` when it could not be computed.
    pub fn number(&self) -> Option<f64> {
        match self.value {
            FigureValue::Count(n) => Some(n as f64),
            FigureValue::Number(x) => Some(x),
            FigureValue::Place(sample) => Some(sample as f64),
            FigureValue::NotComputable(_) => None,
        }
    }
}
