//! The last line for the reader.

/// A line for the reader, and whether it tells of something that went wrong.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Notice {
    /// The sentence.
    pub words: String,
    /// True when something could not be done.
    pub wrong: bool,
}
