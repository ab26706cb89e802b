//! Lists of RR intervals as text: one interval a line, or a time and an interval, in ms or in seconds.
//!
//! No standard exists; this is the layout in which open databases of RR intervals hand them out (the two RR
//! databases of PhysioNet among them: seconds, the first value being the time before the first beat). Lines that
//! begin with `#` are comments. One comment is our own: `# gap 2500.000` says that so many ms lie between the beat
//! before and the beat after, in which no interval was measured.

mod layout;
mod read;
mod write;

use beatledger_core::model::Warning;

pub use read::{RrReader, is_list, read};
pub use write::{Which, text, write};

/// Leading words of the comment that says that beats do not follow each other.
const GAP: &str = "# gap ";

/// Beats of a list of intervals, on a clock that starts at the beginning of the list.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RrList {
    /// Time of each beat, ms, rising.
    pub beats_ms: Vec<f64>,
    /// Stretches from one beat to another in which nothing is known, ms, rising.
    pub gaps_ms: Vec<(f64, f64)>,
    /// What was odd, and in which unit the list was read.
    pub warnings: Vec<Warning>,
}
