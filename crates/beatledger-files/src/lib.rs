//! Files that are there in full or not at all, whatever happens while they are written.
//!
//! Everything here writes to a temporary file beside the target, flushes it to the disk, gives it its name and flushes the
//! folder. It is the one place that does so. It knows nothing of recordings or ledgers.

use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::Path;

/// Bytes that are gathered before they go to the file.
const BUFFER: usize = 1 << 16;

/// Writes `path` through `fill`: after a crash the file holds either what it held before or all of the new content.
/// A file of that name is replaced; when anything fails it is left as it was, and nothing else is left behind.
///
/// # Errors
/// What `fill` says, or the system.
pub fn write<T, E: From<io::Error>>(
    path: &Path,
    fill: impl FnOnce(&mut BufWriter<&File>) -> Result<T, E>,
) -> Result<T, E> {
    let (file, made) = written_beside(path, fill)?;
    file.persist(path).map_err(|e| e.error)?;
    flush_folder_of(path);
    Ok(made)
}

/// The same with bytes that are at hand.
///
/// # Errors
/// What the system says.
pub fn replace(path: &Path, bytes: &[u8]) -> io::Result<()> {
    write(path, |out| out.write_all(bytes))
}

/// Writes `bytes` to `path` and gives the open file; fails when `path` is there already.
///
/// # Errors
/// What the system says.
pub fn create(path: &Path, bytes: &[u8]) -> io::Result<File> {
    let (file, ()) = written_beside(path, |out| out.write_all(bytes))?;
    let file = file.persist_noclobber(path).map_err(|e| e.error)?;
    flush_folder_of(path);
    Ok(file)
}

fn written_beside<T, E: From<io::Error>>(
    path: &Path,
    fill: impl FnOnce(&mut BufWriter<&File>) -> Result<T, E>,
) -> Result<(tempfile::NamedTempFile, T), E> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".beatledger-").suffix(".part");
    // Without this the file would be closed to the owner's group; the system's mask still applies.
    #[cfg(unix)]
    let permissions = std::os::unix::fs::PermissionsExt::from_mode(0o666);
    #[cfg(unix)]
    builder.permissions(permissions);
    let file = builder.tempfile_in(folder_of(path))?;
    let mut out = BufWriter::with_capacity(BUFFER, file.as_file());
    let made = fill(&mut out)?;
    out.flush()?;
    drop(out);
    file.as_file().sync_all()?;
    Ok((file, made))
}

/// The folder of a file; `.` for a bare name.
pub fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    }
}

/// Makes the name itself last. Some systems cannot flush a folder; the bytes are safe all the same.
fn flush_folder_of(path: &Path) {
    #[cfg(unix)]
    if let Ok(folder) = File::open(folder_of(path)) {
        let _ = folder.sync_all();
    }
    #[cfg(not(unix))]
    let _ = path;
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]
mod tests {
    use super::*;

    fn names(folder: &Path) -> usize {
        std::fs::read_dir(folder).unwrap().count()
    }

    #[test]
    fn a_file_is_replaced_whole_and_nothing_else_is_left() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("page.txt");
        replace(&path, b"one").unwrap();
        replace(&path, b"two").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"two");
        assert!(create(&path, b"three").is_err());
        assert_eq!(std::fs::read(&path).unwrap(), b"two");
        assert_eq!(names(folder.path()), 1);
    }

    #[test]
    fn a_file_that_could_not_be_filled_is_not_there_and_an_older_one_is_as_it_was() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.bin");
        let fails = |out: &mut BufWriter<&File>| {
            out.write_all(b"half")?;
            Err::<(), _>(io::Error::other("it does not fit"))
        };
        assert_eq!(write(&path, fails).unwrap_err().to_string(), "it does not fit");
        assert_eq!(names(folder.path()), 0);
        assert_eq!(write(&path, |out| out.write_all(b"whole").map(|()| 7)).unwrap(), 7);
        assert!(write(&path, fails).is_err());
        assert_eq!(std::fs::read(&path).unwrap(), b"whole");
        assert_eq!(names(folder.path()), 1);
    }
}
