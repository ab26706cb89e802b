//! Events: stretches of the recording that mean something.

use serde::{Deserialize, Serialize};

use super::{Origin, Span};

macro_rules! event_kinds {
    ($( $(#[$doc:meta])* $kind:ident = $words:literal, $key:literal, $mark:literal; )*) => {
        /// Kinds of event, most consequential first. Definitions and their sources stand with each detector in `rhythm`.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        pub enum EventKind { $( $(#[$doc])* $kind, )* }

        impl EventKind {
    /// Its words as they stand inside a sentence; what begins with capitals keeps them.
    pub fn inside_a_sentence(self) -> String {
        let words = self.words();
        let mut letters = words.chars();
        match (letters.next(), letters.next()) {
            (Some(first), Some(second)) if second.is_lowercase() => {
                first.to_lowercase().chain(words.chars().skip(1)).collect()
            }
            _ => words.to_owned(),
        }
    }

            /// All kinds, most consequential first.
            pub const ALL: [EventKind; [$( $words ),*].len()] = [ $( Self::$kind, )* ];

            /// The kind in words, as a heading.
            pub fn words(self) -> &'static str {
                match self { $( Self::$kind => $words, )* }
            }

            /// Stable name for files: kebab-case of the kind.
            pub fn key(self) -> &'static str {
                match self { $( Self::$kind => $key, )* }
            }

            /// The kind in the short words of the trade, for the tracing; empty for what is shown there in another way.
            pub fn mark(self) -> &'static str {
                match self { $( Self::$kind => $mark, )* }
            }
        }
    };
}

event_kinds! {
    /// Waves without beats: ventricular flutter or fibrillation, for a reader to confirm.
    VentricularFibrillation = "VF/VFL candidate", "ventricular-fibrillation", "VF/VFL?";
    /// Three or more ventricular beats above the run rate: ventricular tachycardia.
    VentricularTachycardia = "Ventricular tachycardia", "ventricular-tachycardia", "VT";
    /// An RR interval at or above the pause limit.
    Pause = "Pause", "pause", "pause";
    /// Atria and ventricles beat independently: complete AV block.
    AvBlock3 = "AV block, third degree", "av-block-3", "AV block 3?";
    /// Two P waves or more in a row are not conducted.
    AvBlockAdvanced = "AV block, advanced", "av-block-advanced", "adv. block?";
    /// No beat for a while, and the tracing is not that of an electrode in contact: no pause is told.
    ContactUncertain = "No beats, contact uncertain", "contact-uncertain", "contact?";
    /// Atrial fibrillation.
    AtrialFibrillation = "Atrial fibrillation", "atrial-fibrillation", "AF";
    /// Atrial flutter.
    AtrialFlutter = "Atrial flutter", "atrial-flutter", "AFL";
    /// Two P waves to a beat, of which one is conducted.
    AvBlock2To1 = "AV block 2:1", "av-block-2-to-1", "2:1?";
    /// A P wave is not conducted, with the same PR before and after.
    AvBlockMobitz2 = "AV block, Mobitz II", "av-block-mobitz-2", "Mobitz II?";
    /// A P wave is not conducted after PR became longer.
    AvBlockMobitz1 = "AV block, Mobitz I", "av-block-mobitz-1", "Mobitz I?";
    /// More P waves than QRS complexes, of a kind that does not show.
    ConductionNotTold = "P waves not conducted, conduction not told", "conduction-not-told", "P > QRS?";
    /// Fast and regular, with nothing that shows that it comes from the sinus node.
    RegularTachycardia = "Regular tachycardia, mechanism not told", "regular-tachycardia", "regular tachycardia?";
    /// Three or more ventricular beats at or below the run rate: idioventricular run.
    IdioventricularRun = "Idioventricular run", "idioventricular-run", "idioventricular run";
    /// Three or more supraventricular ectopic beats in a row.
    SupraventricularRun = "Supraventricular run", "supraventricular-run", "S run";
    /// An ST level away from its stable reference for as long as asked.
    StChange = "ST change", "st-change", "ST";
    /// QRS and ST change at the same instant: a position or axis change.
    PositionChange = "Position or axis change", "position-change", "position";
    /// P, QRS and T of a lead turn over at one instant.
    PolarityChange = "Polarity change", "polarity-change", "polarity";
    /// No P wave, and an interval that is a multiple of the usual one.
    ExitBlock = "Sinus exit block", "exit-block", "exit block?";
    /// An early P wave that is not conducted.
    BlockedAtrialEctopy = "Blocked atrial ectopic beats", "blocked-atrial-ectopy", "blocked P";
    /// A long interval that may hide a beat that was not conducted.
    DroppedBeatCandidate = "Dropped-beat candidate", "dropped-beat-candidate", "dropped beat?";
    /// Two ventricular beats in a row.
    VentricularCouplet = "Ventricular couplet", "ventricular-couplet", "V couplet";
    /// Every second beat ventricular.
    VentricularBigeminy = "Ventricular bigeminy", "ventricular-bigeminy", "V bigeminy";
    /// Every third beat ventricular.
    VentricularTrigeminy = "Ventricular trigeminy", "ventricular-trigeminy", "V trigeminy";
    /// Two supraventricular ectopic beats in a row.
    SupraventricularCouplet = "Supraventricular couplet", "supraventricular-couplet", "S couplet";
    /// Every second beat supraventricular.
    SupraventricularBigeminy = "Supraventricular bigeminy", "supraventricular-bigeminy", "S bigeminy";
    /// Every third beat supraventricular.
    SupraventricularTrigeminy = "Supraventricular trigeminy", "supraventricular-trigeminy", "S trigeminy";
    /// Irregular as fibrillation is, and too short to be called so.
    IrregularShort = "Irregular stretch, too short for AF", "irregular-short", "irregular";
    /// Every P wave is conducted, with a long PR.
    AvBlock1 = "AV block, first degree", "av-block-1", "PR long";
    /// Slow rate held for the minimum time.
    Bradycardia = "Bradycardia", "bradycardia", "bradycardia";
    /// Fast sinus rate held for the minimum time.
    Tachycardia = "Tachycardia", "tachycardia", "tachycardia";
    /// The longest RR interval of the day.
    LongestRr = "Longest RR", "longest-rr", "";
    /// The slowest window of the day.
    SlowestRate = "Slowest rate", "slowest-rate", "";
    /// The fastest window of the day.
    FastestRate = "Fastest rate", "fastest-rate", "";
    /// No lead can be read.
    Unreadable = "Unreadable time", "unreadable", "";
}

impl EventKind {
    /// AV block of any kind but the first degree, and what is not told among it: more P waves than QRS complexes.
    pub const BLOCKS: [EventKind; 6] = [
        Self::AvBlock3,
        Self::AvBlockAdvanced,
        Self::AvBlock2To1,
        Self::AvBlockMobitz2,
        Self::AvBlockMobitz1,
        Self::ConductionNotTold,
    ];

    /// The kind of a file name.
    pub fn from_key(key: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|k| k.key() == key)
    }

    /// True for kinds that point at a place of the day rather than at a disorder: its extremes, and unreadable time.
    pub fn is_landmark(self) -> bool {
        matches!(self, Self::LongestRr | Self::SlowestRate | Self::FastestRate | Self::Unreadable)
    }

    /// True for what happened to the electrodes and not to the heart.
    pub fn is_of_leads(self) -> bool {
        matches!(self, Self::PositionChange | Self::PolarityChange)
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
