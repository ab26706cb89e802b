//! One writer at a time: a locked file beside the ledger.
//!
//! The lock is the system's (advisory on Unix, and not to be relied on across network shares).
//! A lock file that a crash left behind is not locked and keeps nobody out.

use std::fs::{File, OpenOptions, TryLockError};
use std::path::{Path, PathBuf};

use crate::LedgerError;

/// A held lock; dropping it lets the next writer in.
#[derive(Debug)]
pub(crate) struct Lock {
    path: PathBuf,
    file: File,
}

impl Lock {
    /// Takes the lock of the ledger at `ledger`.
    pub(crate) fn take(ledger: &Path) -> Result<Self, LedgerError> {
        let mut name = ledger.as_os_str().to_owned();
        name.push(".lock");
        let path = PathBuf::from(name);
        // Another writer may take its lock file away between our opening and our locking it; then we
        // hold a file without a name and must try again.
        for _ in 0..100 {
            let file = OpenOptions::new()
                .create(true)
                .truncate(false)
                .write(true)
                .open(&path)
                .map_err(|e| LedgerError::io_write("making a lock file", "its folder", ledger, e))?;
            match file.try_lock() {
                Ok(()) => {}
                Err(TryLockError::WouldBlock) => return Err(LedgerError::Busy { path: ledger.to_owned() }),
                Err(TryLockError::Error(e)) => return Err(LedgerError::io("locking", ledger, e)),
            }
            if is_still_named(&file, &path) {
                return Ok(Self { path, file });
            }
        }
        Err(LedgerError::Busy { path: ledger.to_owned() })
    }
}

impl Drop for Lock {
    fn drop(&mut self) {
        // Only where a holder can tell that its file lost its name; elsewhere the empty file stays.
        if cfg!(unix) {
            let _ = std::fs::remove_file(&self.path);
        }
        let _ = self.file.unlock();
    }
}

#[cfg(unix)]
fn is_still_named(file: &File, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    match (file.metadata(), std::fs::metadata(path)) {
        (Ok(held), Ok(named)) => held.dev() == named.dev() && held.ino() == named.ino(),
        _ => false,
    }
}

#[cfg(not(unix))]
fn is_still_named(_file: &File, _path: &Path) -> bool {
    true
}
