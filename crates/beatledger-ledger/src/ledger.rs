//! The ledger that is being written.

use std::fs::{File, OpenOptions};
use std::io::{self, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use beatledger_core::review::Entry;

use crate::LedgerError;
use crate::file::{EntryV1, FORMAT_VERSION, HeaderV1, MAGIC, RECORD_VERSION, RecordV1};
use crate::frame::{MOST_BYTES, framed, link_of};
use crate::hash::normal;
use crate::lock::Lock;
use crate::read::{Contents, Header, Torn, contents_of};

#[cfg(test)]
#[path = "tests/torn.rs"]
mod torn_tests;

/// What was in the ledger when it was opened.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Loaded {
    /// The header; `None` when there is no file yet.
    pub header: Option<Header>,
    /// Entries in order.
    pub entries: Vec<Entry>,
    /// A torn end that was cut off, and where its bytes were put.
    pub recovered: Option<Torn>,
}

/// An open ledger: the only writer of its file.
#[derive(Debug)]
pub struct Ledger {
    path: PathBuf,
    recording_sha256: String,
    file: Option<File>,
    bytes: u64,
    next_seq: u64,
    head_hash: String,
    left_torn: bool,
    _lock: Lock,
}

/// What appending needs of a file; a test can make it fail.
pub(crate) trait Store {
    /// Writes all bytes from byte `at` on and brings them to the disk.
    fn put(&mut self, at: u64, bytes: &[u8]) -> io::Result<()>;
    /// Cuts to `bytes` and brings that to the disk.
    fn cut(&mut self, bytes: u64) -> io::Result<()>;
}

impl Store for File {
    fn put(&mut self, at: u64, bytes: &[u8]) -> io::Result<()> {
        self.seek(SeekFrom::Start(at))?;
        self.write_all(bytes)?;
        self.sync_data()
    }

    fn cut(&mut self, bytes: u64) -> io::Result<()> {
        self.set_len(bytes)?;
        self.sync_data()
    }
}

impl Ledger {
    /// Opens the ledger at `path` for the recording with this SHA-256. Nothing but the lock file is
    /// written until the first [`Ledger::append`]. A torn end is put into `<name>.torn-<n>` and cut off.
    ///
    /// # Errors
    /// [`LedgerError::Busy`] when another writer holds it, [`LedgerError::ReadOnly`] when the folder or
    /// file may not be written, [`LedgerError::WrongRecording`] when it belongs to another recording, and
    /// the errors of [`crate::read`]. The file is untouched then.
    pub fn open(path: &Path, recording_sha256: &str) -> Result<(Self, Loaded), LedgerError> {
        let recording_sha256 =
            normal(recording_sha256).ok_or_else(|| LedgerError::NotAHash(recording_sha256.to_owned()))?;
        let lock = Lock::take(path)?;
        let mut ledger = Self {
            path: path.to_owned(),
            recording_sha256,
            file: None,
            bytes: 0,
            next_seq: 1,
            head_hash: String::new(),
            left_torn: false,
            _lock: lock,
        };
        let bytes = match std::fs::read(path) {
            Ok(bytes) => bytes,
            Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok((ledger, Loaded::default())),
            Err(e) => return Err(LedgerError::io("reading the ledger", path, e)),
        };
        let contents = contents_of(&bytes, path)?;
        let loaded = ledger.take_in(contents, &bytes)?;
        Ok((ledger, loaded))
    }

    fn take_in(&mut self, contents: Contents, bytes: &[u8]) -> Result<Loaded, LedgerError> {
        let Contents { header, entries, head_hash, mut torn, broken, good_bytes } = contents;
        let path = self.path.clone();
        if header.recording_sha256 != self.recording_sha256 {
            let (expected, found) = (self.recording_sha256.clone(), header.recording_sha256);
            return Err(LedgerError::WrongRecording { expected, found, path });
        }
        if let Some(at) = broken {
            return Err(LedgerError::Broken { at, path });
        }
        let mut file = OpenOptions::new()
            .read(true)
            .write(true)
            .open(&path)
            .map_err(|e| LedgerError::io_write("opening the ledger", "the ledger", &path, e))?;
        if let Some(torn) = &mut torn {
            // `torn.at` is a position inside `bytes`, so the slice is there.
            let tail = bytes.get(torn.at as usize..).unwrap_or_default();
            torn.saved_as = Some(save_torn(&path, tail)?);
            file.cut(good_bytes).map_err(|e| LedgerError::io("cutting the torn end off", &path, e))?;
        }
        self.file = Some(file);
        self.bytes = good_bytes;
        self.next_seq = entries.len() as u64 + 1;
        self.head_hash = head_hash;
        Ok(Loaded { header: Some(header), entries, recovered: torn })
    }

    /// Writes an entry and brings it to the disk before returning.
    ///
    /// # Errors
    /// [`LedgerError::Sequence`] when the entry does not follow the last one, [`LedgerError::NotWritten`]
    /// when the disk refuses; the file is as before in every case but [`LedgerError::LeftTorn`].
    pub fn append(&mut self, entry: &Entry) -> Result<(), LedgerError> {
        if entry.seq != self.next_seq {
            return Err(LedgerError::Sequence { expected: self.next_seq, found: entry.seq });
        }
        if self.left_torn {
            let source = io::Error::other("an earlier write failed");
            return Err(LedgerError::LeftTorn { source, path: self.path.clone() });
        }
        let (start, before) = match &self.file {
            Some(_) => (Vec::new(), self.head_hash.clone()),
            None => self.header_bytes(entry.at_utc_ms)?,
        };
        let (record, head_hash) = record_bytes(entry, before, &self.path)?;
        let mut bytes = start;
        bytes.extend_from_slice(&record);
        match &mut self.file {
            None => self.file = Some(self.created(&bytes)?),
            Some(file) => {
                let found =
                    file.metadata().map_err(|e| LedgerError::io("reading the ledger", &self.path, e))?;
                if found.len() != self.bytes {
                    let (expected, found) = (self.bytes, found.len());
                    return Err(LedgerError::ChangedOutside { expected, found, path: self.path.clone() });
                }
                if !is_same_file(&found, &self.path) {
                    return Err(LedgerError::Gone { path: self.path.clone() });
                }
                let put = put_or_undo(file, self.bytes, &bytes, &self.path);
                self.left_torn = matches!(put, Err(LedgerError::LeftTorn { .. }));
                put?;
            }
        }
        self.bytes += bytes.len() as u64;
        self.next_seq += 1;
        self.head_hash = head_hash;
        Ok(())
    }

    /// SHA-256 of the last record, 64 hex digits: names the whole history. Empty while nothing is written.
    pub fn head_hash(&self) -> &str {
        &self.head_hash
    }

    /// Number of the entry that comes next.
    pub fn next_seq(&self) -> u64 {
        self.next_seq
    }

    /// Where the ledger is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Magic, version and header, and the link that the first record carries.
    fn header_bytes(&self, created_utc_ms: i64) -> Result<(Vec<u8>, String), LedgerError> {
        let header = HeaderV1 {
            recording_sha256: self.recording_sha256.clone(),
            program: env!("CARGO_PKG_VERSION").to_owned(),
            created_utc_ms,
        };
        let payload = named(&header, &self.path)?;
        let mut bytes = MAGIC.to_vec();
        bytes.extend_from_slice(&FORMAT_VERSION.to_le_bytes());
        bytes.extend(framed(&payload).ok_or_else(|| too_large(&payload))?);
        Ok((bytes, link_of(&payload)))
    }

    /// Header and first record come into being together, so that there is never half a header.
    fn created(&self, bytes: &[u8]) -> Result<File, LedgerError> {
        match beatledger_files::create(&self.path, bytes) {
            Ok(file) => Ok(file),
            Err(e) if e.kind() == io::ErrorKind::AlreadyExists => {
                let found = std::fs::metadata(&self.path).map_or(0, |m| m.len());
                Err(LedgerError::ChangedOutside { expected: 0, found, path: self.path.clone() })
            }
            Err(source) => {
                let path = self.path.clone();
                Err(match LedgerError::io_write("", "its folder", &path, source) {
                    LedgerError::Io { source, .. } => LedgerError::NotWritten { source, path },
                    other => other,
                })
            }
        }
    }
}

/// True when `path` still leads to the file that is open: what goes into a file without a name is lost.
#[cfg(unix)]
fn is_same_file(open: &std::fs::Metadata, path: &Path) -> bool {
    use std::os::unix::fs::MetadataExt as _;
    std::fs::metadata(path).is_ok_and(|named| (named.dev(), named.ino()) == (open.dev(), open.ino()))
}

/// Other systems keep an open file from being removed or replaced; that there is one is asked.
#[cfg(not(unix))]
fn is_same_file(_open: &std::fs::Metadata, path: &Path) -> bool {
    path.exists()
}

/// An entry as a framed record, and the link that the next one carries.
pub(crate) fn record_bytes(
    entry: &Entry,
    before: String,
    path: &Path,
) -> Result<(Vec<u8>, String), LedgerError> {
    let record = RecordV1 {
        v: RECORD_VERSION,
        program: env!("CARGO_PKG_VERSION").to_owned(),
        before,
        entry: EntryV1::from(entry),
    };
    let payload = named(&record, path)?;
    let bytes = framed(&payload).ok_or_else(|| too_large(&payload))?;
    Ok((bytes, link_of(&payload)))
}

fn named<T: serde::Serialize>(value: &T, path: &Path) -> Result<Vec<u8>, LedgerError> {
    rmp_serde::to_vec_named(value)
        .map_err(|e| LedgerError::NotWritten { source: io::Error::other(e), path: path.to_owned() })
}

fn too_large(payload: &[u8]) -> LedgerError {
    LedgerError::TooLarge { bytes: payload.len() as u64, most: MOST_BYTES }
}

/// Appends at `at`; when that fails, the store is cut back to `at`.
pub(crate) fn put_or_undo(
    store: &mut impl Store,
    at: u64,
    bytes: &[u8],
    path: &Path,
) -> Result<(), LedgerError> {
    let Err(source) = store.put(at, bytes) else { return Ok(()) };
    let path = path.to_owned();
    match store.cut(at) {
        Ok(()) => Err(LedgerError::NotWritten { source, path }),
        Err(_) => Err(LedgerError::LeftTorn { source, path }),
    }
}

/// Puts torn bytes into the first free `<name>.torn-<n>`.
fn save_torn(path: &Path, tail: &[u8]) -> Result<PathBuf, LedgerError> {
    let name = |n: u32| {
        let mut name = path.as_os_str().to_owned();
        name.push(format!(".torn-{n}"));
        PathBuf::from(name)
    };
    let free = (1..=u32::MAX).map(name).find(|p| !p.exists()).unwrap_or_else(|| name(0));
    beatledger_files::replace(&free, tail)
        .map_err(|e| LedgerError::io_write("saving the torn end", "its folder", path, e))?;
    Ok(free)
}
