//! Files that appear under their name only when they are complete, with our sentence where they cannot be written.

use std::fs::File;
use std::io::{self, BufWriter};
use std::path::Path;

use crate::FormatError;

/// Why the content could not be put together: the disk, or the content itself in one sentence.
pub(crate) enum Trouble {
    Disk(io::Error),
    Content(String),
}

impl From<io::Error> for Trouble {
    fn from(error: io::Error) -> Self {
        Self::Disk(error)
    }
}

/// Writes a file through `fill`; when anything fails no file is left.
pub(crate) fn whole_file<T>(
    path: &Path,
    fill: impl FnOnce(&mut BufWriter<&File>) -> Result<T, Trouble>,
) -> Result<T, FormatError> {
    beatledger_files::write(path, fill).map_err(|trouble| match trouble {
        Trouble::Disk(error) => FormatError::io(path, "writing", error),
        Trouble::Content(what) => FormatError::unsupported(path, what),
    })
}

#[cfg(test)]
mod tests {
    use std::io::Write;

    use super::*;

    #[test]
    fn a_file_whose_content_cannot_be_held_is_not_there_and_the_sentence_says_why() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.bin");
        let refused = whole_file(&path, |out| {
            out.write_all(b"half")?;
            Err::<(), _>(Trouble::Content("it does not fit".into()))
        });
        assert_eq!(refused.unwrap_err().to_string(), "a.bin: it does not fit");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
    }
}
