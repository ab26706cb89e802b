//! The summary of a day: figures that can each be asked what proves them.

use std::sync::Arc;

use serde::Serialize;

use super::measured::{
    Alternans, ConductionRow, Enough, HrvRow, LeadTime, LongestRr, PauseTier, QtRow, StLead, Symptoms,
};
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
    /// A measured number; the unit stands in [`Figure::unit`], the decimals to print in the second field.
    Number(f64, u8),
    /// A clock or elapsed place: the sample.
    Place(i64),
    /// Could not be computed, and why. Never zero.
    NotComputable(String),
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
    /// Stable name for files, snake_case with the unit at the end, such as `longest_rr_ms`.
    pub key: &'static str,
    /// Family it stands under: `Rate`, `Ectopy`, `Rhythm`, `Pauses`, `Variability`, `Readable time`.
    pub family: &'static str,
    /// Name for a reader, in trade words.
    pub name: &'static str,
    /// The value.
    pub value: FigureValue,
    /// Unit in print, empty for counts.
    pub unit: &'static str,
    /// What proves it.
    pub proof: Proof,
    /// The place to look at first, when there is one.
    pub place: Option<Span>,
    /// Keys of the settings that decide it.
    pub settings: &'static [&'static str],
    /// Definition in one sentence, with its source.
    pub definition: &'static str,
    /// The share of the data that it rests on.
    pub basis: Basis,
}

/// Counts and rates of one clock hour (or of the whole day).
#[derive(Clone, Debug, Default, PartialEq)]
pub struct HourRow {
    /// The stretch of the recording.
    pub span: Option<Span>,
    /// Readable time, s.
    pub readable_s: f64,
    /// Beats.
    pub beats: u64,
    /// Slowest window, bpm.
    pub min_bpm: Option<f64>,
    /// Where that window is.
    pub min_place: Option<Span>,
    /// 60000 / mean RR, bpm.
    pub mean_bpm: Option<f64>,
    /// Fastest window, bpm.
    pub max_bpm: Option<f64>,
    /// Where that window is.
    pub max_place: Option<Span>,
    /// S beats, single ones, couplets, runs.
    pub s_beats: u64,
    /// Single S beats.
    pub s_singles: u64,
    /// S couplets.
    pub s_couplets: u64,
    /// S runs.
    pub s_runs: u64,
    /// V beats, class V alone as in the figure `v_beats`; singles, couplets and runs are of V or F.
    pub v_beats: u64,
    /// Single V beats.
    pub v_singles: u64,
    /// V couplets.
    pub v_couplets: u64,
    /// V runs, VT and idioventricular.
    pub v_runs: u64,
    /// Pauses.
    pub pauses: u64,
    /// Time in AF, s.
    pub af_s: f64,
    /// Longest RR, ms.
    pub longest_rr_ms: Option<f64>,
    /// Where it is.
    pub longest_rr_place: Option<Span>,
}

/// The whole day in one row.
pub type DayRow = HourRow;

/// Why a strip is shown.
#[derive(Clone, Debug, PartialEq)]
pub enum StripReason {
    /// The proof of an event: index into the snapshot's events.
    Event(u32),
    /// A diary entry: index into the snapshot's diary.
    Diary(u32),
}

/// A stretch of tracing that belongs in the report.
#[derive(Clone, Debug, PartialEq)]
pub struct Strip {
    /// What is drawn.
    pub span: Span,
    /// Caption, such as `Longest RR 3.42 s`.
    pub caption: String,
    /// Why it is shown.
    pub reason: StripReason,
}

/// The summary of a day.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Summary {
    /// All figures in printing order.
    pub figures: Vec<Figure>,
    /// One row a clock hour, in order; the first and last may be partial.
    pub hours: Vec<HourRow>,
    /// Totals: counts are the sums of the hours.
    pub day: DayRow,
    /// Strips chosen for the report.
    pub strips: Vec<Strip>,
    /// Rate trend for drawing: one `(sample, min, mean, max bpm)` a minute; minutes without a rate are left out.
    pub trend: Vec<(i64, f32, f32, f32)>,
    /// Pauses by reporting tier, the lowest limit first.
    pub pause_tiers: Vec<PauseTier>,
    /// Longest RR interval: of all, then of each cause.
    pub longest_rr: Vec<LongestRr>,
    /// Variability by five minutes of the recording.
    pub hrv_windows: Vec<HrvRow>,
    /// Variability by clock hour, the same hours as in `hours`.
    pub hrv_hours: Vec<HrvRow>,
    /// ST by lead, in the recording's order.
    pub st: Vec<StLead>,
    /// T-wave alternans, or why it is withheld; `None` where it was not looked for (a bare list of intervals).
    pub alternans: Option<Result<Alternans, String>>,
    /// Conduction by clock hour, the same hours as in `hours`.
    pub conduction: Vec<ConductionRow>,
    /// QT by clock hour, the same hours as in `hours`.
    pub qt_hours: Vec<QtRow>,
    /// Diary entries beside findings.
    pub symptoms: Symptoms,
    /// Readable time by lead, in the recording's order; empty where the quality of leads is not known.
    pub leads: Vec<LeadTime>,
    /// Whether the recording is long enough, by family of figures.
    pub enough: Vec<Enough>,
    /// False while figures that take long are being worked out.
    pub whole: bool,
}

impl Summary {
    /// The figure of a key.
    pub fn figure(&self, key: &str) -> Option<&Figure> {
        self.figures.iter().find(|f| f.key == key)
    }

    /// The number of a figure, counts included; `None` when absent or not computable.
    pub fn number(&self, key: &str) -> Option<f64> {
        match self.figure(key)?.value {
            FigureValue::Count(n) => Some(n as f64),
            FigureValue::Number(x, _) => Some(x),
            FigureValue::Place(s) => Some(s as f64),
            FigureValue::NotComputable(_) => None,
        }
    }
}
