//! Tables of the summary as they lie in the file. Names carry the units; each table says what it is and which
//! settings decide it, each row how much of its stretch could be read.

use serde::{Deserialize, Serialize};

/// A table with its explanation.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct TablePart<T> {
    /// Definition.
    pub definition: String,
    /// Keys of the settings that decide it.
    pub settings: Vec<String>,
    /// Share of the data that it rests on, %; null where there is nothing to take a share of.
    pub basis_percent: Option<f64>,
    /// What of what that share is.
    pub basis_of: String,
    /// Why it is withheld.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// The rows.
    pub rows: Vec<T>,
}

impl<T> Default for TablePart<T> {
    fn default() -> Self {
        Self {
            definition: String::new(),
            settings: Vec::new(),
            basis_percent: None,
            basis_of: String::new(),
            reason: None,
            rows: Vec::new(),
        }
    }
}

/// Declares file types whose fields explain themselves: the names carry the units.
macro_rules! parts {
    ($( $(#[$doc:meta])* $name:ident { $( $field:ident: $kind:ty, )* } )*) => { $(
        $(#[$doc])*
        #[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
        #[serde(default)]
        #[allow(missing_docs, reason = "the names carry the units and mirror the model")]
        pub struct $name { $( pub $field: $kind, )* }
    )* };
}

parts! {
    /// Where: samples and the clock at the start.
    PlacePart { start_sample: i64, end_sample: i64, clock: String, }
    /// Pauses of one tier.
    PauseTierPart { limit_ms: f64, setting: String, pauses: u64, sinus: u64, after_ectopy: u64, in_af: u64,
        places: Vec<PlacePart>, }
    /// The longest RR interval of one cause; `cause` is `any`, `sinus`, `after-ectopy` or `fibrillation`.
    LongestRrPart { cause: String, ms: Option<f64>, place: Option<PlacePart>, }
    /// Variability of a stretch.
    HrvPart { start_sample: i64, end_sample: i64, clock: String, readable_percent: f64, intervals: u32,
        nn_percent: f64, reason: Option<String>, mean_nn_ms: Option<f64>, sdnn_ms: Option<f64>,
        rmssd_ms: Option<f64>, sdann_ms: Option<f64>, sdnn_index_ms: Option<f64>, nn50: Option<u64>,
        pnn50_percent: Option<f64>, triangular_index: Option<f64>, tinn_ms: Option<f64>, total_ms2: Option<f64>,
        vlf_ms2: Option<f64>, lf_ms2: Option<f64>, hf_ms2: Option<f64>, lf_nu: Option<f64>, hf_nu: Option<f64>,
        lf_hf_ratio: Option<f64>, even_total_ms2: Option<f64>, even_vlf_ms2: Option<f64>,
        even_lf_ms2: Option<f64>, even_hf_ms2: Option<f64>, sd1_ms: Option<f64>, sd2_ms: Option<f64>, dfa_alpha1: Option<f64>,
        dfa_alpha2: Option<f64>, sample_entropy: Option<f64>, }
    /// ST of one lead.
    StPart { lead: String, reason: Option<String>, readable_percent: Option<f64>, reference_mv: Option<f64>,
        lowest_mv: Option<f64>, lowest_place: Option<PlacePart>, highest_mv: Option<f64>,
        highest_place: Option<PlacePart>, changes: Vec<StChangePart>, points: Vec<StPointPart>, }
    /// A change of ST that is held.
    StChangePart { start_sample: i64, end_sample: i64, clock: String, extreme_mv: f64, extreme_place: PlacePart, }
    /// One window of the course of ST.
    StPointPart { start_sample: i64, level_mv: f64, beats: u16, }
    /// Alternans in one window.
    AlternansPart { hour: bool, start_sample: i64, end_sample: i64, clock: String, lead: String, uv: f64,
        control_uv: f64, }
    /// Conduction in one hour.
    ConductionPart { start_sample: i64, end_sample: i64, clock: String, readable_percent: f64, pr_ms: Option<f64>, pr_beats: u32,
        qrs_ms: Option<f64>, qrs_beats: u32, wide_percent: Option<f64>, }
    /// QT in one hour.
    QtPart { start_sample: i64, end_sample: i64, clock: String, readable_percent: f64, windows: u32, beats: u32, reason: Option<String>,
        qt_ms: Option<f64>, rr_ms: Option<f64>, qtc_bazett_ms: Option<f64>, qtc_fridericia_ms: Option<f64>,
        qtc_framingham_ms: Option<f64>, qtc_hodges_ms: Option<f64>, }
    /// A diary entry with what stands beside it; `class` is `with-finding`, `without-finding` or `unreadable` of a symptom,
    /// `no-symptom` of another entry.
    SymptomPart { diary: u32, text: String, start_sample: i64, end_sample: i64, clock: String,
        readable_percent: f64, class: String, rhythm: String, min_bpm: Option<f64>, mean_bpm: Option<f64>,
        max_bpm: Option<f64>, v_beats: u64, s_beats: u64, findings: Vec<String>, }
    /// A finding beside which nobody felt anything.
    SilentPart { kind: String, start_sample: i64, end_sample: i64, clock: String, }
    /// What one lead was like.
    LeadPart { lead: String, readable_s: f64, noisy_s: f64, unreadable_s: f64, flat_s: f64, railed_s: f64,
        missing_s: f64, longest_hole: Option<PlacePart>, }
    /// Whether there is enough for a family of figures.
    EnoughPart { what: String, unit: String, asked: f64, have: f64, enough: bool, source: String, }
}

/// All tables.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
#[allow(missing_docs, reason = "each type says what it holds")]
pub struct TablesPart {
    pub pause_tiers: TablePart<PauseTierPart>,
    pub longest_rr: TablePart<LongestRrPart>,
    pub hrv_windows: TablePart<HrvPart>,
    pub hrv_hours: TablePart<HrvPart>,
    pub st: TablePart<StPart>,
    pub alternans: TablePart<AlternansPart>,
    pub conduction: TablePart<ConductionPart>,
    pub qt_hours: TablePart<QtPart>,
    pub symptoms: TablePart<SymptomPart>,
    pub silent_findings: TablePart<SilentPart>,
    pub leads: TablePart<LeadPart>,
    pub enough: TablePart<EnoughPart>,
}
