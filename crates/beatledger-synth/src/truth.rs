//! What is truly in a made recording.

use beatledger_core::model::{BeatClass, EventKind, FigureId, Span};

/// Why a beat is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BeatKind {
    /// Sinus rhythm.
    Sinus,
    /// Conducted in atrial fibrillation.
    Fibrillation,
    /// Premature from an ectopic atrial focus.
    AtrialEctopic,
    /// Ventricular, shape A.
    VentricularA,
    /// Ventricular, shape B.
    VentricularB,
    /// Ventricular between two sinus beats without a pause, shape A.
    Interpolated,
    /// Half conducted, half ventricular.
    Fusion,
}

impl BeatKind {
    /// Its class by EC57.
    pub fn class(self) -> BeatClass {
        match self {
            Self::Sinus | Self::Fibrillation => BeatClass::N,
            Self::AtrialEctopic => BeatClass::S,
            Self::VentricularA | Self::VentricularB | Self::Interpolated => BeatClass::V,
            Self::Fusion => BeatClass::F,
        }
    }
}

/// One beat as it was made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TruthBeat {
    /// Sample of the main deflection.
    pub sample: i64,
    /// Class by EC57.
    pub class: BeatClass,
    /// Why it is there.
    pub kind: BeatKind,
    /// False inside time that cannot be read on any lead: no reader can be asked for it, and no figure counts it.
    pub readable: bool,
    /// Where its waves begin and end.
    pub limits: TruthLimits,
}

/// Limits of the waves of a beat as they were made, ms from [`TruthBeat::sample`].
///
/// A Gaussian has no end: P and QRS reach 2.5 deviations beyond their outermost Gaussians, where less than 5 % is
/// left.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct TruthLimits {
    /// P that is conducted to this beat: begin and end.
    pub p_ms: Option<(f64, f64)>,
    /// QRS: begin and end.
    pub qrs_ms: (f64, f64),
    /// End of T.
    pub t_off_ms: f64,
}

/// One event as it was made.
#[derive(Clone, Debug, PartialEq)]
pub struct TruthEvent {
    /// What it is.
    pub kind: EventKind,
    /// From its first beat (or the start of the interval) to one past its last beat (or the end of the interval).
    pub span: Span,
    /// First and one-past-last index into [`Truth::beats`]; equal for unreadable time.
    pub beats: (u32, u32),
    /// Mean rate over its RR intervals, where it has any.
    pub rate_bpm: Option<f32>,
    /// False for one that is there but too short to be reported.
    pub counts: bool,
    /// Qualifier in trade words; empty when none.
    pub note: &'static str,
}

/// One figure counted from the truth.
#[derive(Clone, Debug, PartialEq)]
pub struct TruthFigure {
    /// Which figure of the summary.
    pub id: FigureId,
    /// The value; `None` where there is nothing to count it from.
    pub value: Option<f64>,
}

/// What is truly in a made recording.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Truth {
    /// Every beat, sorted by sample.
    pub beats: Vec<TruthBeat>,
    /// Every event, sorted by start.
    pub events: Vec<TruthEvent>,
    /// Stretches that cannot be read on any lead, sorted and disjoint.
    pub unreadable: Vec<Span>,
    /// Stretches of ventricular flutter or fibrillation, without beats, sorted and disjoint.
    pub ventricular: Vec<Span>,
    /// Per lead: stretches with motion or without contact, sorted and disjoint.
    pub lost: Vec<Vec<Span>>,
    /// Figures that can be known exactly, with the counting rules of the summary.
    pub figures: Vec<TruthFigure>,
}

impl Truth {
    /// The value of a figure.
    pub fn number(&self, id: FigureId) -> Option<f64> {
        self.figures.iter().find(|f| f.id == id)?.value
    }

    /// Events of one kind that count.
    pub fn of_kind(&self, kind: EventKind) -> impl Iterator<Item = &TruthEvent> {
        self.events.iter().filter(move |e| e.kind == kind && e.counts)
    }
}
