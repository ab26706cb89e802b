//! Files that are either there in full or not at all.

use std::io::{self, Write};
use std::path::Path;

/// Writes `bytes` to `path`: after a crash the file holds either the old bytes or the new ones.
/// A file of that name is replaced.
///
/// # Errors
/// Whatever the system says; the old file is then untouched.
pub fn write_atomically(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let file = written_beside(path, bytes)?;
    file.persist(path).map_err(|e| e.error)?;
    sync_folder_of(path);
    Ok(())
}

/// The same, but fails when `path` is there already.
pub(crate) fn create_atomically(path: &Path, bytes: &[u8]) -> io::Result<std::fs::File> {
    let file = written_beside(path, bytes)?;
    let file = file.persist_noclobber(path).map_err(|e| e.error)?;
    sync_folder_of(path);
    Ok(file)
}

fn written_beside(path: &Path, bytes: &[u8]) -> io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".beatledger-").suffix(".part");
    // Without this the file would be closed to the owner's group; the system's mask still applies.
    #[cfg(unix)]
    let permissions = std::os::unix::fs::PermissionsExt::from_mode(0o666);
    #[cfg(unix)]
    builder.permissions(permissions);
    let mut file = builder.tempfile_in(folder_of(path))?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    Ok(file)
}

/// The folder of a file; `.` for a bare name.
pub(crate) fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    }
}

/// Makes the name itself last. Some systems cannot sync a folder; the bytes are safe all the same.
fn sync_folder_of(path: &Path) {
    #[cfg(unix)]
    if let Ok(folder) = std::fs::File::open(folder_of(path)) {
        let _ = folder.sync_all();
    }
    #[cfg(not(unix))]
    let _ = path;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_replaced_whole_and_nothing_else_is_left() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("page.txt");
        write_atomically(&path, b"one").unwrap();
        write_atomically(&path, b"two").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"two");
        assert!(create_atomically(&path, b"three").is_err());
        assert_eq!(std::fs::read(&path).unwrap(), b"two");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }
}
