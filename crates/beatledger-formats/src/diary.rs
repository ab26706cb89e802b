//! Diary tables in CSV.

use std::path::Path;

use beatledger_core::model::{DiaryEntry, LocalTime, Rate, Warning};

use crate::FormatError;

/// What a diary file holds.
#[derive(Clone, Debug, Default)]
pub struct Diary {
    /// Entries sorted by start.
    pub entries: Vec<DiaryEntry>,
    /// What was odd, with line numbers.
    pub warnings: Vec<Warning>,
}

/// Reads a diary.
pub fn read(path: &Path, _start: Option<LocalTime>, _rate: Rate) -> Result<Diary, FormatError> {
    Err(FormatError::unsupported(path, "not yet"))
}
