//! Tables of the summary beyond its figures, each described once: what it is, its rows, and its columns with their field
//! in files and their wording in window and print.
//!
//! From one description follow the part of the summary file, the list of comma-separated values, the window's table, the
//! page and the terminal's lines. A new table is a file here and a line in [`ALL`]. Nothing is measured here.

mod about;
mod alternans;
mod column;
mod conduction;
pub(crate) mod hours;
mod leads;
mod pauses;
mod qt;
mod st;
pub(crate) mod symptoms;
mod table;
#[cfg(test)]
mod tests;
mod value;
mod variability;

pub use about::{About, Page};
pub use table::{ShownTable, Table, TablePart};
pub use value::{Named, Record, Value};

pub(crate) use table::settings_words;
pub(crate) use value::local;

use beatledger_core::session::Snapshot;

/// The hours, which stand by themselves in window and summary file.
pub const HOURS: &dyn Table = &hours::Hours;

/// The level of ST by lead, beside which its course is drawn.
pub const ST: &dyn Table = &st::Levels;

/// All tables, in the order of files, window and print.
pub const ALL: [&dyn Table; 16] = [
    HOURS,
    &pauses::PauseTiers,
    &pauses::LongestIntervals,
    &variability::FiveMinutes,
    &variability::ByHour,
    ST,
    &st::Changes,
    &st::Course,
    &alternans::Alternans,
    &conduction::Conduction,
    &qt::Qt,
    &symptoms::Diary,
    &symptoms::Classes,
    &symptoms::Silent,
    &leads::Leads,
    &leads::LongEnough,
];

/// Every table that the day gives, in words.
pub fn shown(snapshot: &Snapshot) -> Vec<ShownTable> {
    ALL.iter().filter_map(|table| table.shown(snapshot)).collect()
}
