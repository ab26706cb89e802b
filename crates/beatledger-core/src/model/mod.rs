//! The shared words of all rooms.
//!
//! Times inside are sample indices of the recording; wall-clock time appears only at the edges.
//! Spans are half-open. Bare numbers carry their unit in the name.

mod beat;
mod event;
mod figure;
mod figures;
mod found;
mod measured;
mod place;
mod progress;
mod quality;
mod reading;
mod recording;
mod summary;
#[cfg(test)]
pub(crate) mod testing;
mod warning;

pub use beat::{Beat, BeatClass, Evidence, FoundBeat, Origin, Waves};
pub use event::{Certainty, Event, EventKind, EventState};
pub use figure::{Basis, Doubt, Figure, FigureValue, Proof};
pub use figures::{FIGURES, Family, FigureId, FigureRow, Needs, SHORT_NAMES, Shown};
pub use found::{
    AlternansFound, Averaged, Conducted, Conduction, ContactDoubt, DoubtfulWaves, Found, Group, LeadChange,
    LeadChangeKind, QtDoubt, Repolarisation, Silence, Timing, WavesDoubt,
};
pub use measured::{
    Alternans, AlternansPoint, ConductionRow, Enough, HrvRow, LeadTime, LongestRr, PauseTier, QtRow, RrCause,
    StCourse, StEpisode, StLead, StPoint, SymptomRow, Symptoms,
};
pub use place::{LocalTime, MS_PER_SECOND, Rate, SECONDS_PER_MINUTE, Span, UV_PER_MV};
pub use progress::{Progress, STAGES};
pub use quality::{LeadQuality, Quality, SecondQuality};
pub use reading::Reading;
pub use recording::{DiaryEntry, DiaryKind, Identity, Lead, OtherSignal, Recording, SampleSource, Unit};
pub use summary::{DayRow, HourRow, Strip, StripReason, Summary};
pub use warning::Warning;
