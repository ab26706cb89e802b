//! Beats as they stand, laid beside what was found.

use super::Day;
use crate::model::FoundBeat;

/// For each beat as it stands the found beat at its place.
pub struct FoundAt<'d> {
    at: Vec<u32>,
    beats: &'d [FoundBeat],
}

impl<'d> FoundAt<'d> {
    /// Lays both beside each other; both are sorted by sample.
    pub fn new(day: &'d Day<'_>) -> Self {
        let beats = day.reading().found.map_or(&[][..], |f| &f.beats);
        let mut next = 0;
        let place = |sample: &i64| {
            while beats.get(next).is_some_and(|b| b.sample < *sample) {
                next += 1;
            }
            beats.get(next).filter(|b| b.sample == *sample).map_or(u32::MAX, |_| next as u32)
        };
        Self { at: day.columns.samples.iter().map(place).collect(), beats }
    }

    /// Index of the found beat at the place of beat `i`; `None` for one that a reader put there.
    pub fn get(&self, i: usize) -> Option<usize> {
        self.at.get(i).map(|f| *f as usize).filter(|f| *f < self.beats.len())
    }
}
