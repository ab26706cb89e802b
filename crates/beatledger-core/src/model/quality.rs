//! Signal quality: per lead and second, and what could not be read at all.

use std::ops::RangeInclusive;

use serde::{Deserialize, Serialize};

use super::Span;

/// What one second of one lead is like.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum SecondQuality {
    /// Fit for every measurement.
    Good,
    /// Noisy, but beats can be told.
    Noisy,
    /// Motion or muscle noise that imitates or hides beats.
    Unreadable,
    /// Flat: electrode off or no contact.
    Flat,
    /// At the limits of the recorder.
    Railed,
    /// No samples.
    Missing,
}

impl SecondQuality {
    /// True when beats can be told from this second.
    pub fn is_readable(self) -> bool {
        matches!(self, Self::Good | Self::Noisy)
    }
}

/// Quality of one lead, a value a second.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct LeadQuality {
    /// Kind, one per second of the recording (the last second may be partial).
    pub kind: Vec<SecondQuality>,
    /// Score 0 (useless) to 255 (clean), one per second; leads are weighted by it.
    pub score: Vec<u8>,
}

/// Quality of the whole recording.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Quality {
    /// One per lead, in the recording's lead order.
    pub leads: Vec<LeadQuality>,
    /// Stretches in which no lead is readable, sorted and disjoint: unreadable time, never asystole.
    pub unreadable: Vec<Span>,
}

impl Quality {
    /// True when a lead can be read in all of these seconds, as far as the recording reaches.
    pub fn is_readable(&self, lead: usize, seconds: RangeInclusive<usize>) -> bool {
        self.leads.get(lead).is_some_and(|lead| {
            let count = lead.kind.len();
            let (from, to) = ((*seconds.start()).min(count), (*seconds.end() + 1).min(count));
            lead.kind[from.min(to)..to].iter().copied().all(SecondQuality::is_readable)
        })
    }
}
