//! What is measured beyond single figures: rows and courses. Each says what proves it, or why it is withheld.

use std::sync::Arc;

use serde::Serialize;

use super::Span;

/// What a long RR interval follows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize)]
pub enum RrCause {
    /// Sinus rhythm, with or without a beat that may not have been conducted.
    Sinus,
    /// An S, V or F beat.
    AfterEctopy,
    /// It lies in atrial fibrillation.
    Fibrillation,
}

impl RrCause {
    /// All causes in printing order.
    pub const ALL: [RrCause; 3] = [Self::Sinus, Self::AfterEctopy, Self::Fibrillation];

    /// The cause in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Sinus => "sinus",
            Self::AfterEctopy => "after ectopy",
            Self::Fibrillation => "in atrial fibrillation",
        }
    }
}

/// Pauses of one reporting tier: all at or above its limit, so that a longer one stands in every tier below it too.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PauseTier {
    /// Shortest interval of the tier, ms.
    pub limit_ms: f64,
    /// Key of the setting that holds the limit.
    pub setting: &'static str,
    /// The pauses: indices of counting events.
    pub events: Arc<[u32]>,
    /// How many have each cause, in the order of [`RrCause::ALL`].
    pub by_cause: [u64; 3],
}

/// The longest RR interval of one cause, or of all.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LongestRr {
    /// The cause; `None` for the longest of all.
    pub cause: Option<RrCause>,
    /// Length, ms; `None` without any such interval.
    pub ms: Option<f64>,
    /// Where it is: from the beat before to one past the beat after.
    pub place: Option<Span>,
}

/// Heart-rate variability of one stretch: five minutes or a clock hour.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct HrvRow {
    /// The stretch.
    pub span: Span,
    /// Share of the stretch that could be read, %.
    pub readable_percent: f64,
    /// RR intervals that exist in it.
    pub intervals: u32,
    /// Those that are normal to normal and pass the filters, %; zero without intervals.
    pub nn_percent: f64,
    /// Why the values are withheld; all of them are `None` then.
    pub withheld: Option<String>,
    /// Mean NN, ms.
    pub mean_nn_ms: Option<f64>,
    /// Standard deviation of NN (n - 1), ms.
    pub sdnn_ms: Option<f64>,
    /// Root mean square of the differences of neighbours, ms.
    pub rmssd_ms: Option<f64>,
    /// Standard deviation of the means of five minutes (n - 1), ms; of hours alone.
    pub sdann_ms: Option<f64>,
    /// Mean of the standard deviations of five minutes, ms; of hours alone.
    pub sdnn_index_ms: Option<f64>,
    /// Differences of neighbours above 50 ms.
    pub nn50: Option<u64>,
    /// Share of differences above 50 ms per number of NN (or of differences, as set), %.
    pub pnn50_percent: Option<f64>,
    /// Number of NN per height of their histogram.
    pub triangular_index: Option<f64>,
    /// Base width of the triangle that fits the histogram best, ms.
    pub tinn_ms: Option<f64>,
    /// Power up to 0.40 Hz, ms2; of an hour the mean over its full five-minute windows, as for all powers. ULF asks for a
    /// day.
    pub total_ms2: Option<f64>,
    /// Power up to 0.04 Hz, ms2.
    pub vlf_ms2: Option<f64>,
    /// Power from 0.04 to 0.15 Hz, ms2.
    pub lf_ms2: Option<f64>,
    /// Power from 0.15 to 0.40 Hz, ms2.
    pub hf_ms2: Option<f64>,
    /// LF in normalised units, %.
    pub lf_nu: Option<f64>,
    /// HF in normalised units, %.
    pub hf_nu: Option<f64>,
    /// LF / HF.
    pub lf_hf_ratio: Option<f64>,
    /// Power up to 0.40 Hz of evenly laid intervals, ms2.
    pub even_total_ms2: Option<f64>,
    /// Power up to 0.04 Hz of evenly laid intervals, ms2.
    pub even_vlf_ms2: Option<f64>,
    /// Power from 0.04 to 0.15 Hz of evenly laid intervals, ms2.
    pub even_lf_ms2: Option<f64>,
    /// Power from 0.15 to 0.40 Hz of evenly laid intervals, ms2.
    pub even_hf_ms2: Option<f64>,
    /// Spread of neighbouring NN across the line of equal ones, ms.
    pub sd1_ms: Option<f64>,
    /// Spread along it, ms.
    pub sd2_ms: Option<f64>,
    /// Scaling exponent of boxes of 4 to 16 beats; `None` where fewer than four of the largest fit.
    pub dfa_alpha1: Option<f64>,
    /// Scaling exponent of boxes of 16 to 64 beats.
    pub dfa_alpha2: Option<f64>,
    /// Sample entropy; of an hour the mean over its full five-minute windows.
    pub sample_entropy: Option<f64>,
}

/// QT in one clock hour, from averaged beats over its five-minute windows.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct QtRow {
    /// The stretch.
    pub span: Span,
    /// Five-minute windows with enough beats that begin in it.
    pub windows: u32,
    /// Beats that took part.
    pub beats: u32,
    /// Why the values are withheld; all of them are `None` then.
    pub withheld: Option<String>,
    /// Mean QT, ms.
    pub qt_ms: Option<f64>,
    /// Mean RR of the same beats, ms.
    pub rr_ms: Option<f64>,
    /// QT for the rate by Bazett, ms.
    pub qtc_bazett_ms: Option<f64>,
    /// QT for the rate by Fridericia, ms.
    pub qtc_fridericia_ms: Option<f64>,
    /// QT for the rate by the Framingham study, ms.
    pub qtc_framingham_ms: Option<f64>,
    /// QT for the rate by Hodges, ms.
    pub qtc_hodges_ms: Option<f64>,
}

/// One point of the course of ST on a lead.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct StPoint {
    /// First sample of its window.
    pub start: i64,
    /// Median over the beats of the window of the ST level against the PQ level, mV.
    pub level_mv: f32,
    /// Beats that took part.
    pub beats: u16,
}

/// A change of ST that is held. Position shifts imitate it: it is never called by a cause.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct StEpisode {
    /// From the first to one past the last window beyond the limit.
    pub span: Span,
    /// Greatest deviation from the reference level of the lead, mV; negative for a fall.
    pub extreme_mv: f32,
    /// Window of the greatest deviation.
    pub place: Span,
}

/// The course of ST on one lead.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StCourse {
    /// Reference level: median of the windows of a stable stretch, mV.
    pub reference_mv: f32,
    /// That stretch: the first five minutes in which the level is stable.
    pub reference_place: Span,
    /// Lowest level and its window.
    pub lowest: (f32, Span),
    /// Highest level and its window.
    pub highest: (f32, Span),
    /// One point a window that has enough beats, in order.
    pub points: Vec<StPoint>,
    /// Changes held long enough, in order.
    pub episodes: Vec<StEpisode>,
    /// Changes that begin at the instant at which QRS changes too: of position or axis, in order.
    pub positions: Vec<StEpisode>,
    /// Share of the readable time of the recording whose windows have a level, %.
    pub readable_percent: f64,
}

/// ST of one lead.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StLead {
    /// Index of the lead.
    pub lead: usize,
    /// Its name.
    pub name: String,
    /// The course, or why it is withheld.
    pub course: Result<StCourse, String>,
}

/// Alternans of the T wave on one lead in one window.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct AlternansPoint {
    /// The window.
    pub span: Span,
    /// Index of the lead.
    pub lead: usize,
    /// Largest difference of the two averages between J and the end of T, uV.
    pub uv: f32,
    /// The same of beats taken two by two, in which alternans cancels, uV.
    pub control_uv: f32,
}

/// T-wave alternans by modified moving average (Nearing and Verrier 2002): a research measure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Alternans {
    /// The highest window; its lead and place are those to look at.
    pub highest: AlternansPoint,
    /// The window with the highest control.
    pub control: AlternansPoint,
    /// The highest window of each clock hour that has one.
    pub hours: Vec<AlternansPoint>,
    /// Windows that could be used, on any lead.
    pub windows: u32,
    /// Share of the readable time that they cover, %.
    pub readable_percent: f64,
}

/// Conduction in one clock hour, from the N beats outside atrial fibrillation.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct ConductionRow {
    /// The stretch.
    pub span: Span,
    /// Median PR, ms; `None` where P was found on too few beats.
    pub pr_ms: Option<f64>,
    /// Beats with a P wave.
    pub pr_beats: u32,
    /// Median QRS duration, ms.
    pub qrs_ms: Option<f64>,
    /// N beats whose QRS could be measured.
    pub qrs_beats: u32,
    /// Those of them that are as wide as the setting or wider, %.
    pub wide_percent: Option<f64>,
}

/// What a diary entry stands beside.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SymptomRow {
    /// Index into the snapshot's diary.
    pub diary: u32,
    /// True for a symptom or a press of the button.
    pub is_symptom: bool,
    /// The entry, at least one sample long, cut to the recording.
    pub entry: Span,
    /// The entry with the set minutes on both sides, cut to the recording.
    pub window: Span,
    /// Share of the window that could be read, %.
    pub readable_percent: f64,
    /// Rhythms of the window in words, most of the time first.
    pub rhythm: String,
    /// Slowest windowed rate, bpm.
    pub min_bpm: Option<f64>,
    /// 60000 / mean RR, bpm.
    pub mean_bpm: Option<f64>,
    /// Fastest windowed rate, bpm.
    pub max_bpm: Option<f64>,
    /// V beats.
    pub v_beats: u64,
    /// S beats.
    pub s_beats: u64,
    /// Counting events in the window that are findings: indices.
    pub findings: Arc<[u32]>,
}

impl SymptomRow {
    /// The entry itself, where it lies in the recording.
    pub fn place(&self) -> Option<Span> {
        (!self.window.is_empty()).then_some(self.entry)
    }
}

/// Symptoms laid beside findings.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Symptoms {
    /// One row an entry of the diary, in order.
    pub rows: Vec<SymptomRow>,
    /// Symptoms with a finding: indices into `rows`.
    pub with_finding: Vec<u32>,
    /// Symptoms without a finding whose window could be read.
    pub without_finding: Vec<u32>,
    /// Symptoms without a finding of which too little could be read to say so.
    pub unreadable: Vec<u32>,
    /// Findings in no symptom's window: indices of events.
    pub silent_findings: Arc<[u32]>,
}

/// What one lead was like, in seconds of the recording.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct LeadTime {
    /// Index of the lead.
    pub lead: usize,
    /// Its name.
    pub name: String,
    /// Good or noisy, and not declared unreadable by a reader.
    pub readable_s: f64,
    /// Of the readable time, that with noise.
    pub noisy_s: f64,
    /// Motion or noise that hides beats, and what a reader declared unreadable.
    pub unreadable_s: f64,
    /// Flat.
    pub flat_s: f64,
    /// At the limits of the recorder.
    pub railed_s: f64,
    /// Without samples.
    pub missing_s: f64,
    /// The longest stretch that is not readable.
    pub longest_hole: Option<Span>,
}

/// Whether the recording is long enough for a figure or a family of them.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Enough {
    /// What it is about, in words.
    pub what: &'static str,
    /// Unit of `asked` and `have`.
    pub unit: &'static str,
    /// How much is asked.
    pub asked: f64,
    /// How much there is.
    pub have: f64,
    /// Where the demand comes from.
    pub source: &'static str,
}

impl Enough {
    /// True when there is as much as asked.
    pub fn is_enough(&self) -> bool {
        self.have >= self.asked
    }
}
