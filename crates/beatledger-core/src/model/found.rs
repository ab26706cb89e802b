//! Everything the program found before any reader spoke: dear to compute, computed once.

use super::{BeatClass, FoundBeat, Quality};

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

/// What the program found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Found {
    /// Signal quality.
    pub quality: Quality,
    /// Beats, sorted by sample.
    pub beats: Vec<FoundBeat>,
    /// Shape groups, largest first; [`FoundBeat::group`] points here.
    pub groups: Vec<Group>,
    /// Per lead: true when the main deflection looks upside down and the desk should draw it inverted.
    pub looks_inverted: Vec<bool>,
}
