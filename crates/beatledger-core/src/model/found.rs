//! Everything the program found before any reader spoke: dear to compute, computed once.

use super::{BeatClass, FoundBeat, Quality, Span, Waves};

/// When the members of a group come: beats of the same shape are told apart by timing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Timing {
    /// At the usual time.
    OnTime,
    /// Premature.
    Early,
    /// Late: after a pause.
    Late,
}

impl Timing {
    /// The timing in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::OnTime => "on time",
            Self::Early => "early",
            Self::Late => "late",
        }
    }
}

/// Beats of the same shape and timing.
#[derive(Clone, Debug, PartialEq)]
pub struct Group {
    /// Class that most members were found to be.
    pub class: BeatClass,
    /// When its members come.
    pub timing: Timing,
    /// Number of members found.
    pub count: u32,
    /// Mean waveform of each lead, mV, [`Group::BEFORE_MS`] before to [`Group::AFTER_MS`] after the beat, at the recording's rate.
    pub mean_mv: Vec<Vec<f32>>,
}

impl Group {
    /// The mean waveform starts this long before the beat.
    pub const BEFORE_MS: f64 = 280.0;
    /// The mean waveform ends this long after the beat.
    pub const AFTER_MS: f64 = 440.0;
}

/// What only the tracing tells of ST and T, measured once so that no edit waits for samples.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Repolarisation {
    /// Per lead, one per found beat: ST level against the PQ level, uV; [`Repolarisation::NO_LEVEL`] where it could not be measured.
    pub st_uv: Vec<Vec<i16>>,
    /// Per lead, one per found beat: level at the beat itself against the PQ level, uV; [`Repolarisation::NO_LEVEL`] where it
    /// could not be measured. Empty where it was not.
    pub qrs_uv: Vec<Vec<i16>>,
    /// Per lead: windows of alternans in order, whatever stands in them.
    pub alternans: Vec<Vec<AlternansFound>>,
}

impl Repolarisation {
    /// No level.
    pub const NO_LEVEL: i16 = i16::MIN;
}

/// The averaged beat of one window.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Averaged {
    /// Number of the window: it starts at this times [`Averaged::WINDOW_S`].
    pub window: u32,
    /// Beats that took part.
    pub beats: u32,
    /// Its wave limits, relative to the beats.
    pub waves: Waves,
    /// Why its QT is not believed; `None` where it is.
    pub doubt: Option<QtDoubt>,
}

/// Why the QT of an averaged beat is not believed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum QtDoubt {
    /// No lead shows a T wave that stands out.
    FlatT,
    /// The next P wave begins before T is over.
    MergesWithP,
    /// A second wave follows T: a U wave, or the second summit of a notched T.
    TwoWaves,
    /// The leads do not agree where T ends.
    LeadsDisagree,
    /// Two ways of telling the end of T do not agree.
    WaysDisagree,
    /// The ST segment is as high as T.
    StPassesForT,
}

impl QtDoubt {
    /// The reason in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::FlatT => "no lead shows a T wave that stands out",
            Self::MergesWithP => "the next P wave begins before T is over",
            Self::TwoWaves => "a second wave or a tail follows T",
            Self::LeadsDisagree => "the leads do not agree where T ends",
            Self::WaysDisagree => "two ways of telling the end of T do not agree",
            Self::StPassesForT => "the ST segment is as high as the T wave",
        }
    }
}

impl Averaged {
    /// Length of a window, s: the five minutes over which QT is averaged in ambulatory recordings (common practice).
    pub const WINDOW_S: f64 = 300.0;
}

/// Alternans of one lead at the end of one window, before anybody asks whether it may be used.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AlternansFound {
    /// Number of the window: it starts at this times [`AlternansFound::WINDOW_S`].
    pub window: u32,
    /// Largest difference of the two averages, uV.
    pub uv: f32,
    /// The same of beats taken two by two, in which alternans cancels, uV.
    pub control_uv: f32,
    /// Root mean square of the beats around their averages, uV.
    pub scatter_uv: f32,
    /// Beats that took part.
    pub beats: u16,
}

impl AlternansFound {
    /// Length of a window, s: 10 to 15 s are usual (Nearing and Verrier 2002, second hand).
    pub const WINDOW_S: f64 = 15.0;
}

/// Why nothing shows that the electrodes were in contact.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ContactDoubt {
    /// Hum or noise that was not there before.
    Noise,
    /// Less noise than before.
    Flat,
    /// The baseline stopped moving.
    Still,
    /// The baseline runs away.
    Drift,
    /// No beat of the usual height stands beside it.
    NoBeatBeside,
}

impl ContactDoubt {
    /// The reason in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Noise => "hum or noise that is not there before and after",
            Self::Flat => "the tracing is flatter than before and after",
            Self::Still => "the baseline stops moving",
            Self::Drift => "the baseline runs away",
            Self::NoBeatBeside => "no clear beat stands on either side",
        }
    }
}

/// A stretch without a beat in which no lead shows that it was in contact.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Silence {
    /// From the beat before to the beat after.
    pub span: Span,
    /// Why contact is uncertain.
    pub reason: ContactDoubt,
}

/// What P waves, or flutter waves, say of conduction.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Conduction {
    /// Waves of flutter.
    Flutter,
    /// Atria and ventricles go their own ways.
    Complete,
    /// Two P waves or more in a row were not conducted.
    Advanced,
    /// Two P waves to a beat.
    TwoToOne,
    /// A P wave was not conducted, without a longer PR before it.
    MobitzTwo,
    /// A P wave was not conducted, after longer PR.
    MobitzOne,
    /// A P wave was not conducted, and which kind of block it is does not show.
    NotTold,
    /// A P wave that came early was not conducted.
    BlockedEctopy,
    /// No P wave, and the interval is a multiple of the usual one.
    ExitBlock,
    /// A long PR.
    FirstDegree,
}

/// A stretch with such a finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Conducted {
    /// Where it is.
    pub span: Span,
    /// What it is.
    pub finding: Conduction,
    /// How many P waves were not conducted, or cycles left out; 0 where they were not counted.
    pub count: u32,
}

/// What happened to the leads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LeadChangeKind {
    /// This lead stands upside down.
    Turned(usize),
    /// These two leads show each other's tracing.
    Swapped(usize, usize),
}

/// A stretch in which leads are not what they were before; everything was found with it undone.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LeadChange {
    /// From its first beat to its end.
    pub span: Span,
    /// What it is.
    pub kind: LeadChangeKind,
}

/// Why waves without beats may be none of the ventricles.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WavesDoubt {
    /// No other lead shows them.
    OneLead,
    /// All leads show much the same.
    AlikeOnAllLeads,
}

impl WavesDoubt {
    /// The reason in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::OneLead => "one lead alone shows it, where motion can look the same",
            Self::AlikeOnAllLeads => "all leads show much the same, as they do in motion",
        }
    }
}

/// Waves without beats that are doubtful.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DoubtfulWaves {
    /// Where they are.
    pub span: Span,
    /// Why.
    pub doubt: WavesDoubt,
}

/// What the program found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Found {
    /// Signal quality.
    pub quality: Quality,
    /// Stretches of waves without beats, ventricular flutter or fibrillation, sorted and disjoint. Beats that were
    /// found inside stand in no figure unless a reader drops the event.
    pub ventricular_waves: Vec<Span>,
    /// Those of them that are doubtful.
    pub doubtful_waves: Vec<DoubtfulWaves>,
    /// Stretches without a beat in which contact is uncertain, in order. No interval reaches across one unless a reader
    /// drops its event.
    pub silences: Vec<Silence>,
    /// What P waves say of conduction, by start; findings of different kinds may overlap.
    pub conduction: Vec<Conducted>,
    /// Beats, sorted by sample.
    pub beats: Vec<FoundBeat>,
    /// Shape groups, largest first; [`FoundBeat::group`] points here.
    pub groups: Vec<Group>,
    /// Per lead: true when the main deflection looks upside down and the desk should draw it inverted.
    pub looks_inverted: Vec<bool>,
    /// Changes of the leads, by start.
    pub lead_changes: Vec<LeadChange>,
    /// ST levels and alternans, aligned with `beats`; empty where they were not measured.
    pub repolarisation: Repolarisation,
    /// Averaged beats, in order.
    pub averaged: Vec<Averaged>,
    /// For each of `beats` whether it took part in an averaged beat; empty where none was made.
    pub in_average: Vec<bool>,
}
