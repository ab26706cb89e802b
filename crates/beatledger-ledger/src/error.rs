//! What can go wrong with a ledger, each in one sentence.

use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

use crate::frame::Break;

/// Why a ledger could not be opened, read or written. Nothing is lost by any of these.
#[derive(Debug, Error)]
pub enum LedgerError {
    /// The folder or the file may not be written.
    #[error("edits cannot be saved because {what} may not be written; open it to read only, or copy the recording to a folder of yours: {}", path.display())]
    ReadOnly {
        /// What refused: the folder or the file.
        what: &'static str,
        /// The ledger.
        path: PathBuf,
    },
    /// Another window or program holds the ledger.
    #[error("this recording is being edited in another window or by another reader; close it there or open it to read only: {}", path.display())]
    Busy {
        /// The ledger.
        path: PathBuf,
    },
    /// The ledger belongs to another recording.
    #[error("this ledger belongs to another recording: expected {}..., found {}...: {}", short(expected), short(found), path.display())]
    WrongRecording {
        /// SHA-256 of the recording at hand.
        expected: String,
        /// SHA-256 that the ledger names.
        found: String,
        /// The ledger.
        path: PathBuf,
    },
    /// The hash of the recording is not one.
    #[error("a recording is named by its SHA-256, 64 hexadecimal digits; found '{0}'")]
    NotAHash(
        /// What was given.
        String,
    ),
    /// The file does not start like a ledger.
    #[error("this is no ledger, or its header is damaged ({why}); it was left as it is: {}", path.display())]
    Header {
        /// What is odd.
        why: String,
        /// The file.
        path: PathBuf,
    },
    /// The file has a newer format as a whole.
    #[error("this ledger has format version {found}, and this program reads version {known} only; use a newer program: {}", path.display())]
    NewerFile {
        /// Version of the file.
        found: u16,
        /// Version that this program knows.
        known: u16,
        /// The file.
        path: PathBuf,
    },
    /// One entry says something that this program does not know.
    #[error("entry {seq} was written by version {program} in record format {version} and holds something that version {} does not know ({why}); use that version or a newer one: {}", env!("CARGO_PKG_VERSION"), path.display())]
    NewerEntry {
        /// Number of the entry.
        seq: u64,
        /// Program version that wrote it.
        program: String,
        /// Record format version.
        version: u16,
        /// What is not known.
        why: String,
        /// The file.
        path: PathBuf,
    },
    /// The chain is broken in the middle.
    #[error("{at}; nothing was changed, and the entries before it can still be opened to read only: {}", path.display())]
    Broken {
        /// Where and how.
        at: Break,
        /// The file.
        path: PathBuf,
    },
    /// The entry does not follow the last one.
    #[error("entry {found} cannot be written because entry {expected} comes next")]
    Sequence {
        /// Number that comes next.
        expected: u64,
        /// Number that was given.
        found: u64,
    },
    /// The name leads to no file any more, or to another one than that which is open.
    #[error("the ledger was removed, or another file took its name, while it was open; the edit was not saved, and what was saved before lies in the file that is gone: put it back and open the recording again: {}", path.display())]
    Gone {
        /// The ledger.
        path: PathBuf,
    },
    /// The file grew, shrank or vanished under us.
    #[error("the ledger was changed by something else ({expected} bytes expected, {found} found); the edit was not saved, open the recording again: {}", path.display())]
    ChangedOutside {
        /// Bytes expected.
        expected: u64,
        /// Bytes found.
        found: u64,
        /// The file.
        path: PathBuf,
    },
    /// The entry is too large for a record.
    #[error("the edit was not saved: it takes {bytes} bytes and a record holds at most {most}")]
    TooLarge {
        /// Bytes of the entry.
        bytes: u64,
        /// Bytes that a record holds.
        most: u32,
    },
    /// An entry did not reach the disk; the file is as before.
    #[error("the edit was not saved and the ledger is as before: {source}: {}", path.display())]
    NotWritten {
        /// What the system says.
        source: io::Error,
        /// The file.
        path: PathBuf,
    },
    /// An entry did not reach the disk and the file could not be put back.
    #[error("the edit was not saved, and the ledger may end in part of it; no more edits are taken until the recording is opened again: {source}: {}", path.display())]
    LeftTorn {
        /// What the system says.
        source: io::Error,
        /// The file.
        path: PathBuf,
    },
    /// Anything else that the system says.
    #[error("{doing} failed: {source}: {}", path.display())]
    Io {
        /// What was being done.
        doing: &'static str,
        /// What the system says.
        source: io::Error,
        /// The file.
        path: PathBuf,
    },
}

impl LedgerError {
    /// An I/O error as a sentence; a refusal to write becomes [`LedgerError::ReadOnly`].
    pub(crate) fn io(doing: &'static str, path: &Path, source: io::Error) -> Self {
        Self::Io { doing, source, path: path.to_owned() }
    }

    /// The same for something that needs to be written.
    pub(crate) fn io_write(doing: &'static str, what: &'static str, path: &Path, source: io::Error) -> Self {
        match source.kind() {
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                Self::ReadOnly { what, path: path.to_owned() }
            }
            _ => Self::io(doing, path, source),
        }
    }
}

/// The first twelve digits of a hash.
pub(crate) fn short(hash: &str) -> &str {
    hash.get(..12).unwrap_or(hash)
}
