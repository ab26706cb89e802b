//! Events: stretches of the recording that mean something.

use serde::{Deserialize, Serialize};

use super::{Origin, Span};

/// Kinds of event. Definitions and their sources stand with each detector in `rhythm`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
pub enum EventKind {
    /// Waves without beats: ventricular flutter or fibrillation, for a reader to confirm.
    VentricularFibrillation,
    /// Three or more ventricular beats above the run rate: ventricular tachycardia.
    VentricularTachycardia,
    /// Three or more ventricular beats at or below the run rate: idioventricular run.
    IdioventricularRun,
    /// Two ventricular beats in a row.
    VentricularCouplet,
    /// Every second beat ventricular.
    VentricularBigeminy,
    /// Every third beat ventricular.
    VentricularTrigeminy,
    /// Three or more supraventricular ectopic beats in a row.
    SupraventricularRun,
    /// Two supraventricular ectopic beats in a row.
    SupraventricularCouplet,
    /// Every second beat supraventricular.
    SupraventricularBigeminy,
    /// Every third beat supraventricular.
    SupraventricularTrigeminy,
    /// Atrial fibrillation.
    AtrialFibrillation,
    /// Atrial flutter: only a reader says so.
    AtrialFlutter,
    /// An RR interval at or above the pause limit.
    Pause,
    /// A long interval that may hide a beat that was not conducted.
    DroppedBeatCandidate,
    /// Slow sinus rate held for the minimum time.
    Bradycardia,
    /// Fast sinus rate held for the minimum time.
    Tachycardia,
    /// The slowest window of the day.
    SlowestRate,
    /// The fastest window of the day.
    FastestRate,
    /// The longest RR interval of the day.
    LongestRr,
    /// No lead can be read.
    Unreadable,
    /// No beat for a while, and the tracing is not that of an electrode in contact: no pause is told.
    ContactUncertain,
    /// Fast and regular, with nothing that shows that it comes from the sinus node.
    RegularTachycardia,
    /// Irregular as fibrillation is, and too short to be called so.
    IrregularShort,
    /// Two P waves to a beat, of which one is conducted.
    AvBlock2To1,
}

impl EventKind {
    /// All kinds, most consequential first.
    pub const ALL: [EventKind; 24] = [
        Self::VentricularFibrillation,
        Self::VentricularTachycardia,
        Self::Pause,
        Self::ContactUncertain,
        Self::AtrialFibrillation,
        Self::AtrialFlutter,
        Self::AvBlock2To1,
        Self::RegularTachycardia,
        Self::IdioventricularRun,
        Self::SupraventricularRun,
        Self::DroppedBeatCandidate,
        Self::VentricularCouplet,
        Self::VentricularBigeminy,
        Self::VentricularTrigeminy,
        Self::SupraventricularCouplet,
        Self::SupraventricularBigeminy,
        Self::SupraventricularTrigeminy,
        Self::IrregularShort,
        Self::Bradycardia,
        Self::Tachycardia,
        Self::LongestRr,
        Self::SlowestRate,
        Self::FastestRate,
        Self::Unreadable,
    ];

    /// The kind in words, as a heading.
    pub fn words(self) -> &'static str {
        match self {
            Self::VentricularFibrillation => "VF/VFL candidate",
            Self::VentricularTachycardia => "Ventricular tachycardia",
            Self::IdioventricularRun => "Idioventricular run",
            Self::VentricularCouplet => "Ventricular couplet",
            Self::VentricularBigeminy => "Ventricular bigeminy",
            Self::VentricularTrigeminy => "Ventricular trigeminy",
            Self::SupraventricularRun => "Supraventricular run",
            Self::SupraventricularCouplet => "Supraventricular couplet",
            Self::SupraventricularBigeminy => "Supraventricular bigeminy",
            Self::SupraventricularTrigeminy => "Supraventricular trigeminy",
            Self::AtrialFibrillation => "Atrial fibrillation",
            Self::AtrialFlutter => "Atrial flutter",
            Self::Pause => "Pause",
            Self::DroppedBeatCandidate => "Dropped-beat candidate",
            Self::Bradycardia => "Bradycardia",
            Self::Tachycardia => "Tachycardia",
            Self::SlowestRate => "Slowest rate",
            Self::FastestRate => "Fastest rate",
            Self::LongestRr => "Longest RR",
            Self::Unreadable => "Unreadable time",
            Self::ContactUncertain => "No beats, contact uncertain",
            Self::RegularTachycardia => "Regular tachycardia, mechanism not told",
            Self::AvBlock2To1 => "AV block 2:1",
            Self::IrregularShort => "Irregular stretch, too short for AF",
        }
    }

    /// Stable name for files: kebab-case of the kind.
    pub fn key(self) -> &'static str {
        match self {
            Self::VentricularFibrillation => "ventricular-fibrillation",
            Self::VentricularTachycardia => "ventricular-tachycardia",
            Self::IdioventricularRun => "idioventricular-run",
            Self::VentricularCouplet => "ventricular-couplet",
            Self::VentricularBigeminy => "ventricular-bigeminy",
            Self::VentricularTrigeminy => "ventricular-trigeminy",
            Self::SupraventricularRun => "supraventricular-run",
            Self::SupraventricularCouplet => "supraventricular-couplet",
            Self::SupraventricularBigeminy => "supraventricular-bigeminy",
            Self::SupraventricularTrigeminy => "supraventricular-trigeminy",
            Self::AtrialFibrillation => "atrial-fibrillation",
            Self::AtrialFlutter => "atrial-flutter",
            Self::Pause => "pause",
            Self::DroppedBeatCandidate => "dropped-beat-candidate",
            Self::Bradycardia => "bradycardia",
            Self::Tachycardia => "tachycardia",
            Self::SlowestRate => "slowest-rate",
            Self::FastestRate => "fastest-rate",
            Self::LongestRr => "longest-rr",
            Self::Unreadable => "unreadable",
            Self::ContactUncertain => "contact-uncertain",
            Self::RegularTachycardia => "regular-tachycardia",
            Self::AvBlock2To1 => "av-block-2-to-1",
            Self::IrregularShort => "irregular-short",
        }
    }

    /// The kind of a file name.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|k| k.key() == key)
    }
}

/// Whether a reader has looked at an event, and what was said.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum EventState {
    /// Found, nobody has spoken yet.
    Unread,
    /// A reader confirmed it.
    Kept,
    /// A reader changed its kind or limits, or added it.
    Changed,
    /// A reader said it is not so; it counts in no figure.
    Dropped,
}

impl EventState {
    /// Stable lower-case word for files and screens.
    pub fn word(self) -> &'static str {
        match self {
            Self::Unread => "unread",
            Self::Kept => "kept",
            Self::Changed => "changed",
            Self::Dropped => "dropped",
        }
    }
}

/// How sure the program is of an event.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Certainty {
    /// Chance that the event is what it is called, 0 to 1.
    pub share: f32,
    /// Why it is doubtful, in words that go on after 'doubtful, because'; empty when it is not.
    pub reason: String,
}

impl Certainty {
    /// Below this an event is doubtful (design choice: one in five wrong is too many to count unread).
    pub const DOUBTFUL_BELOW: f32 = 0.8;

    /// Nothing speaks against it.
    pub fn sure() -> Self {
        Self { share: 1.0, reason: String::new() }
    }

    /// The certainty `share`, with its reason where it is doubtful.
    pub fn of(share: f32, reason: impl FnOnce() -> String) -> Self {
        let reason = if share < Self::DOUBTFUL_BELOW { reason() } else { String::new() };
        Self { share, reason }
    }

    /// What it says where it is doubtful.
    pub fn doubt(&self) -> Option<&str> {
        (self.share < Self::DOUBTFUL_BELOW).then_some(self.reason.as_str())
    }
}

/// One event as it stands now.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Event {
    /// What it is.
    pub kind: EventKind,
    /// Where: from its first beat (or start of the interval) to one past its last beat (or end of the interval).
    pub span: Span,
    /// First and one-past-last index into the snapshot's beats that belong to it; empty for unreadable time.
    pub beats: (u32, u32),
    /// Mean rate over its RR intervals, where it has any.
    pub rate_bpm: Option<f32>,
    /// What a reader said.
    pub state: EventState,
    /// Who found it.
    pub origin: Origin,
    /// True when sign-off must wait for a reader: pause at or above the critical limit, VF or VT, AF at or above its minimum.
    pub critical: bool,
    /// Cause or qualifier in trade words, such as `after ectopy`, `in atrial fibrillation`; empty when none.
    pub note: String,
    /// How sure the program is of it, before any reader spoke.
    pub certainty: Certainty,
}

impl Event {
    /// True unless a reader dropped it.
    pub fn stands(&self) -> bool {
        self.state != EventState::Dropped
    }

    /// Why it is doubtful, where it is and no reader has said so or otherwise.
    pub fn doubt(&self) -> Option<&str> {
        self.certainty.doubt().filter(|_| self.state == EventState::Unread)
    }

    /// True when it counts in the figures: it stands, and what must be read before signing is not doubtful.
    pub fn counts(&self) -> bool {
        self.stands() && !(self.critical && self.doubt().is_some())
    }

    /// Its note, and what makes it doubtful.
    pub fn remark(&self) -> String {
        let doubt = self.doubt().map(|reason| format!("doubtful, because {reason}"));
        let note = Some(self.note.clone()).filter(|note| !note.is_empty());
        note.into_iter().chain(doubt).collect::<Vec<_>>().join("; ")
    }

    /// Number of beats that belong to it.
    pub fn beat_count(&self) -> u32 {
        self.beats.1 - self.beats.0
    }
}
