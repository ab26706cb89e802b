//! All of the above to the summary: every figure carries what proves it.

pub mod catalogue;
mod enough;
mod figures;
mod heart;
mod hours;
mod list;
mod rows;
mod sheet;
mod strips;
mod trend;
mod waves;

pub use list::rr_list;

use crate::measure::{Day, ectopy::ectopy};
use crate::model::{DiaryEntry, Event, Reading, Summary};
use rows::Rows;

/// The summary of a day as it stands. `events` are all events, dropped ones included; those count nowhere.
pub fn summarise(reading: &Reading<'_>, events: &[Event], diary: &[DiaryEntry]) -> Summary {
    let day = Day::new(reading, events);
    let ectopic = ectopy(&day);
    let (rows, ((hours, total), (strips, trend))) = rayon::join(
        || Rows::new(&day, diary),
        || rayon::join(|| hours::hours(&day, &ectopic), || (strips::strips(&day, diary), trend::trend(&day))),
    );
    let figures = figures::figures(&day, &ectopic, &rows);
    let mut summary = Summary { figures, hours, day: total, strips, trend, ..Summary::default() };
    rows.put(&day, &mut summary);
    summary
}

#[cfg(test)]
mod tests;
