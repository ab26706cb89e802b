//! Find: a line in plain trade words that selects beats or events everywhere at once, or goes to a clock time.
//!
//! `words` says what one word means, `query` reads a line into a query, `answer` asks it of a day, `line` draws the
//! line above the stage.
//! The first three know the snapshot alone; no selection is made here.

mod answer;
mod line;
mod query;
mod words;

pub use answer::{Answer, answer};
pub use line::{FindState, find_line};
pub use query::{Compare, EventWord, Query, parse};
pub use words::Field;
