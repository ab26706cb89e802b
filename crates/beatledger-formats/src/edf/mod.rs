//! EDF, EDF+C and EDF+D files (Kemp et al. 1992; Kemp and Olivan 2003).

use std::path::Path;

use beatledger_core::model::Recording;

use crate::{FormatError, Reader};

/// Reads EDF files.
pub struct EdfReader;

impl Reader for EdfReader {
    fn name(&self) -> &'static str {
        "EDF"
    }

    fn recognises(&self, head: &[u8]) -> bool {
        head.starts_with(b"0       ")
    }

    fn read(&self, path: &Path) -> Result<Recording, FormatError> {
        Err(FormatError::unsupported(path, "EDF is not read yet"))
    }
}
