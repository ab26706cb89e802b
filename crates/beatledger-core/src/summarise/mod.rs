//! All of the above to the summary: every figure carries what proves it.

use crate::model::{DiaryEntry, Event, Reading, Summary};

/// The summary of a day as it stands.
pub fn summarise(_reading: &Reading<'_>, _events: &[Event], _diary: &[DiaryEntry]) -> Summary {
    Summary::default()
}
