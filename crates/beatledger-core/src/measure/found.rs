//! Beats as they stand, laid beside what was found.

use crate::model::{Beat, FoundBeat, Reading};

/// For each beat as it stands the found beat at its place.
pub struct FoundAt<'d> {
    at: Vec<u32>,
    beats: &'d [FoundBeat],
}

impl<'d> FoundAt<'d> {
    /// Lays both beside each other; both are sorted by sample.
    pub fn new(reading: &Reading<'d>) -> Self {
        let beats = reading.found.map_or(&[][..], |f| &f.beats);
        let mut next = 0;
        let place = |beat: &Beat| {
            while beats.get(next).is_some_and(|b| b.sample < beat.sample) {
                next += 1;
            }
            beats.get(next).filter(|b| b.sample == beat.sample).map_or(u32::MAX, |_| next as u32)
        };
        Self { at: reading.beats.iter().map(place).collect(), beats }
    }

    /// Index of the found beat at the place of beat `i`; `None` for one that a reader put there.
    pub fn get(&self, i: usize) -> Option<usize> {
        self.at.get(i).map(|f| *f as usize).filter(|f| *f < self.beats.len())
    }
}
