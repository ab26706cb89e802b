//! Beats: where, which class, and on what evidence.

use serde::{Deserialize, Serialize};

/// Beat class by ANSI/AAMI EC57: N S V F Q.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum BeatClass {
    /// Any beat that is not S, V, F or Q (normal and bundle branch block beats).
    N,
    /// Supraventricular ectopic beat.
    S,
    /// Ventricular ectopic beat.
    V,
    /// Fusion of a ventricular and a normal beat.
    F,
    /// Paced or unclassifiable beat.
    Q,
}

impl BeatClass {
    /// All classes in the standard's order.
    pub const ALL: [BeatClass; 5] = [Self::N, Self::S, Self::V, Self::F, Self::Q];

    /// The letter of the standard.
    pub fn letter(self) -> char {
        match self {
            Self::N => 'N',
            Self::S => 'S',
            Self::V => 'V',
            Self::F => 'F',
            Self::Q => 'Q',
        }
    }

    /// The class of a letter, upper or lower case.
    pub fn from_letter(letter: char) -> Option<Self> {
        Self::ALL.into_iter().find(|c| c.letter() == letter.to_ascii_uppercase())
    }

    /// Position in [`BeatClass::ALL`].
    pub fn index(self) -> usize {
        self as usize
    }

    /// The class in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::N => "normal",
            Self::S => "supraventricular ectopic",
            Self::V => "ventricular ectopic",
            Self::F => "fusion",
            Self::Q => "unclassifiable",
        }
    }

    /// True for V and F, which form ventricular runs together (EC57).
    pub fn is_ventricular(self) -> bool {
        matches!(self, Self::V | Self::F)
    }

    /// True for N and S, which the atria drive.
    pub fn is_supraventricular(self) -> bool {
        matches!(self, Self::N | Self::S)
    }
}

/// Who is behind a fact.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Origin {
    /// The program found it.
    Found,
    /// A reader said it.
    Reader,
}

/// Limits of the waves of one beat, as sample offsets from the beat's own sample; `None` where not found.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Waves {
    /// P onset.
    pub p_on: Option<i16>,
    /// P peak.
    pub p_peak: Option<i16>,
    /// P end.
    pub p_off: Option<i16>,
    /// QRS onset.
    pub qrs_on: Option<i16>,
    /// QRS end (J point).
    pub qrs_off: Option<i16>,
    /// T peak.
    pub t_peak: Option<i16>,
    /// T end.
    pub t_off: Option<i16>,
}

impl Waves {
    /// QRS duration in samples.
    pub fn qrs_samples(&self) -> Option<i64> {
        Some(i64::from(self.qrs_off?) - i64::from(self.qrs_on?))
    }

    /// PR interval (P onset to QRS onset) in samples.
    pub fn pr_samples(&self) -> Option<i64> {
        Some(i64::from(self.qrs_on?) - i64::from(self.p_on?))
    }

    /// QT interval (QRS onset to T end) in samples.
    pub fn qt_samples(&self) -> Option<i64> {
        Some(i64::from(self.t_off?) - i64::from(self.qrs_on?))
    }
}

/// Why a beat got its class. Kept with the beat so that the desk can show it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Evidence {
    /// How early the beat came: 1 - RR before / local sinus RR; negative when late; `None` at an edge.
    pub prematurity: Option<f32>,
    /// How long the interval after it was: RR after / local sinus RR; `None` at an edge.
    pub pause_after: Option<f32>,
    /// QRS width, ms.
    pub width_ms: Option<f32>,
    /// Distance of its shape to the dominant shape, 0 (same) to 1 (unlike) and above.
    pub shape_distance: f32,
    /// How clear a P wave stands before it at the usual place, 0 to 1; `None` when it could not be looked for.
    pub p_before: Option<f32>,
    /// Signal quality at the beat on its best lead, 0 to 1.
    pub quality: f32,
    /// A pacing spike begins it, or most beats of its shape.
    #[serde(default)]
    pub paced: bool,
}

/// A beat as the program found it: no reader involved.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct FoundBeat {
    /// Sample of the R peak or main deflection.
    pub sample: i64,
    /// Class found.
    pub class: BeatClass,
    /// Confidence in the class, 0 to 1.
    pub confidence: f32,
    /// Shape group it belongs to: an index into [`super::Found::groups`].
    pub group: u32,
    /// Wave limits.
    pub waves: Waves,
    /// Why it got its class.
    pub evidence: Evidence,
}

/// A beat as it stands now: what was found, and what a reader said.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Beat {
    /// Sample of the R peak or main deflection.
    pub sample: i64,
    /// Class in force.
    pub class: BeatClass,
    /// Class that the program found; `None` for a beat that a reader inserted.
    pub class_found: Option<BeatClass>,
    /// Who is behind `class` (or behind the beat being there at all).
    pub origin: Origin,
    /// Confidence of the program in `class_found`; 1 where a reader spoke.
    pub confidence: f32,
    /// Shape group.
    pub group: u32,
    /// Wave limits.
    pub waves: Waves,
    /// Why the program gave `class_found`.
    pub evidence: Evidence,
}

impl Beat {
    /// Group of a beat that belongs to none: one that a reader inserted.
    pub const NO_GROUP: u32 = u32::MAX;

    /// True when a reader changed or placed it.
    pub fn is_changed(&self) -> bool {
        self.origin == Origin::Reader
    }
}
