//! How a command ends, and how it prints.

/// How a command ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// Everything was done.
    Done,
    /// It was read, and something needs a person.
    NeedsPerson,
}

/// Prints text that may be piped into a program that stops reading early.
pub fn print(text: &str) {
    use std::io::Write;
    // A closed pipe is no reason to fail: there is nobody to tell.
    let _ = std::io::stdout().write_all(text.as_bytes());
}
