//! All of the above to the summary: every figure carries what proves it.

pub mod catalogue;
mod figures;
mod heart;
mod hours;
mod list;
mod sheet;
mod strips;
mod trend;

pub use list::rr_list;

use crate::measure::{Day, ectopy::ectopy};
use crate::model::{DiaryEntry, Event, Reading, Summary};

/// The summary of a day as it stands. `events` are all events, dropped ones included; those count nowhere.
pub fn summarise(reading: &Reading<'_>, events: &[Event], diary: &[DiaryEntry]) -> Summary {
    let day = Day::new(reading, events);
    let ectopic = ectopy(&day);
    let (hours, total) = hours::hours(&day, &ectopic);
    Summary {
        figures: figures::figures(&day, &ectopic),
        hours,
        day: total,
        strips: strips::strips(&day, diary),
        trend: trend::trend(&day),
        ..Summary::default()
    }
}

#[cfg(test)]
mod tests;
