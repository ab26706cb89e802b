//! Ectopic beats: counts of each class, and beats that stand alone.

use super::Day;
use crate::model::{BeatClass, Event};
use crate::rhythm::runs::supraventricular_chains;

/// Counts and single beats of a day.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ectopy {
    /// Beats of each class, by [`BeatClass::index`].
    pub beats: [u64; 5],
    /// V or F beats with no V or F beat beside them: indices.
    pub v_singles: Vec<u32>,
    /// S beats outside atrial fibrillation with no S beat beside them: indices.
    pub s_singles: Vec<u32>,
}

/// Counts the ectopic beats. Couplets and runs are events and are counted as such, so that an event that a
/// reader drops leaves the count.
pub fn ectopy(day: &Day<'_>) -> Ectopy {
    let columns = &day.columns;
    let mut out = Ectopy::default();
    for class in &columns.classes {
        out.beats[class.index()] += 1;
    }
    let single = |chain: std::ops::Range<usize>| (chain.len() == 1).then_some(chain.start as u32);
    out.v_singles = columns.chains(|i| columns.is_ventricular(i)).filter_map(single).collect();
    out.s_singles = supraventricular_chains(columns, &day.in_af).filter_map(single).collect();
    out
}

impl Ectopy {
    /// Beats of one class.
    pub fn of(&self, class: BeatClass) -> u64 {
        self.beats[class.index()]
    }

    /// Beats of all classes.
    pub fn total(&self) -> u64 {
        self.beats.iter().sum()
    }
}

/// The run of `runs` (event indices) with most beats; the faster of two equally long ones.
pub fn longest_run<'d>(day: &Day<'d>, runs: &[u32]) -> Option<&'d Event> {
    let rank = |e: &&Event| (e.beat_count(), rate_key(day, e));
    runs.iter().rev().map(|i| &day.events[*i as usize]).max_by_key(rank)
}

/// The run of `runs` (event indices) with the highest mean rate.
pub fn fastest_run<'d>(day: &Day<'d>, runs: &[u32]) -> Option<&'d Event> {
    runs.iter().rev().map(|i| &day.events[*i as usize]).max_by_key(|e| rate_key(day, e))
}

/// Rate as an integer that sorts, thousandths of a beat per minute.
fn rate_key(day: &Day<'_>, event: &Event) -> u64 {
    (day.rate_of(event).unwrap_or(0.0) * 1000.0) as u64
}
