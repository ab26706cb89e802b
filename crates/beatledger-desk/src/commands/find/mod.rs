//! Find: a line in plain trade words that selects beats or events everywhere at once, or goes to a clock time.

mod answer;
mod line;
mod query;
mod words;

pub use answer::{Answer, answer};
pub use line::{FindState, find_line};
pub use query::{Compare, EventWord, Query, parse};
pub use words::Field;
