//! Files that appear under their name only when they are complete.

use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

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

/// Where the file grows before it gets its name.
pub(crate) fn part_path(path: &Path) -> PathBuf {
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    path.with_file_name(format!(".{name}.part{}", std::process::id()))
}

/// Writes a file through `fill`; when anything fails no file is left.
pub(crate) fn whole_file<T>(
    path: &Path,
    fill: impl FnOnce(&mut BufWriter<File>) -> Result<T, Trouble>,
) -> Result<T, FormatError> {
    let part = part_path(path);
    let written = write_part(&part, fill).and_then(|made| {
        std::fs::rename(&part, path)?;
        Ok(made)
    });
    written.map_err(|trouble| {
        // The unfinished file is of no use; the first error is the one to tell.
        let _ = std::fs::remove_file(&part);
        match trouble {
            Trouble::Disk(error) => FormatError::io(path, "writing", error),
            Trouble::Content(what) => FormatError::unsupported(path, what),
        }
    })
}

fn write_part<T>(
    part: &Path,
    fill: impl FnOnce(&mut BufWriter<File>) -> Result<T, Trouble>,
) -> Result<T, Trouble> {
    let mut out = BufWriter::with_capacity(1 << 16, File::create(part)?);
    let made = fill(&mut out)?;
    out.flush()?;
    Ok(made)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_could_not_be_filled_is_not_there() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.bin");
        let refused = whole_file(&path, |out| {
            out.write_all(b"half")?;
            Err::<(), _>(Trouble::Content("it does not fit".into()))
        });
        assert_eq!(refused.unwrap_err().to_string(), "a.bin: it does not fit");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
        whole_file(&path, |out| Ok(out.write_all(b"whole")?)).unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"whole");
    }
}
