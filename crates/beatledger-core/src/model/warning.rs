//! What was odd about the input and did not stop the work.

use serde::{Deserialize, Serialize};

/// One thing that was odd: a stable code, where it was, and a sentence for a reader.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Warning {
    /// Short, stable, kebab-case name of the kind of oddity.
    pub code: String,
    /// Byte, record or line position in words, empty when the whole file is meant.
    pub place: String,
    /// One sentence: what was expected, what was found, what was done.
    pub text: String,
}

impl Warning {
    /// A warning from its three parts.
    pub fn new(code: &str, place: impl Into<String>, text: impl Into<String>) -> Self {
        Self { code: code.to_owned(), place: place.into(), text: text.into() }
    }
}
