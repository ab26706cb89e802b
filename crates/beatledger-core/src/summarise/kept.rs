//! What an edit seldom touches, kept from one summary of a recording to the next.
//!
//! A part is taken over only where everything that it was worked out from is the same, so that a summary never depends
//! on what was kept.

use crate::measure::Day;
use crate::measure::hrv::Series;
use crate::model::{LeadTime, Span};

/// Parts of a summary that the next one of the same recording and findings may take over.
#[derive(Clone, Debug, Default)]
pub struct Kept {
    /// The NN intervals and what is measured of their windows.
    pub(super) series: Series,
    leads: Vec<LeadTime>,
    unreadable: Vec<Span>,
}

impl Kept {
    /// Keeps what a summary was made with.
    pub(super) fn new(series: Series, day: &Day<'_>, leads: &[LeadTime]) -> Self {
        Self { series, leads: leads.to_vec(), unreadable: day.reading().unreadable.to_vec() }
    }

    /// The times of the leads, where the same time is unreadable.
    pub(super) fn leads_of(&self, day: &Day<'_>) -> Option<Vec<LeadTime>> {
        (self.unreadable == day.reading().unreadable).then(|| self.leads.clone())
    }
}
