//! The summary of a day: figures that can each be asked what proves them.

use super::measured::{
    Alternans, ConductionRow, Enough, HrvRow, LeadTime, LongestRr, PauseTier, QtRow, StLead, Symptoms,
};
use super::{Figure, FigureId, Span};

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
    /// A figure; `None` where the summary does not hold it, as that of a bare list of intervals.
    pub fn figure(&self, id: FigureId) -> Option<&Figure> {
        self.figures.iter().find(|f| f.id == id)
    }

    /// The number of a figure, counts included; `None` when absent or not computable.
    pub fn number(&self, id: FigureId) -> Option<f64> {
        self.figure(id)?.number()
    }
}
