//! Reading a ledger without touching it.

use std::io::Cursor;
use std::path::{Path, PathBuf};

use beatledger_core::review::Entry;
use serde::de::DeserializeOwned;

use crate::LedgerError;
use crate::file::{EnvelopeV1, FORMAT_VERSION, HeaderV1, MAGIC, RECORD_VERSION, RecordV1};
use crate::frame::{self, Break, link_of};

/// The header of a ledger.
pub type Header = HeaderV1;

/// The ledger of a recording: `<file name>.beatledger` beside it.
pub fn path_for(recording: &Path) -> PathBuf {
    let mut name = recording.as_os_str().to_owned();
    name.push(".beatledger");
    PathBuf::from(name)
}

/// A record cut short at the end of the file, as a crash or a full disk leaves it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Torn {
    /// Byte of the file at which it starts.
    pub at: u64,
    /// Number of bytes.
    pub bytes: u64,
    /// Where the bytes were put before they were cut off; `None` while they are still in the ledger.
    pub saved_as: Option<PathBuf>,
}

/// What a ledger holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Contents {
    /// Header.
    pub header: Header,
    /// Entries in order.
    pub entries: Vec<Entry>,
    /// SHA-256 of the last record, of the header when there is none: names the whole history.
    pub head_hash: String,
    /// A torn end, if there is one.
    pub torn: Option<Torn>,
    /// Where the chain breaks; the entries are those before it. Always `None` from [`read`].
    pub broken: Option<Break>,
    /// Bytes of the file up to the end of the last good record.
    pub good_bytes: u64,
}

/// Reads a whole ledger. Takes no lock and writes nothing.
///
/// # Errors
/// [`LedgerError::Broken`] when the chain breaks before the last record, [`LedgerError::Header`] when this
/// is no ledger, [`LedgerError::NewerFile`] and [`LedgerError::NewerEntry`] when a newer program wrote it,
/// [`LedgerError::Io`] otherwise.
pub fn read(path: &Path) -> Result<Contents, LedgerError> {
    let contents = read_prefix(path)?;
    match contents.broken {
        Some(at) => Err(LedgerError::Broken { at, path: path.to_owned() }),
        None => Ok(contents),
    }
}

/// Reads as far as the chain holds, and says where it breaks.
///
/// # Errors
/// As [`read`], without [`LedgerError::Broken`].
pub fn read_prefix(path: &Path) -> Result<Contents, LedgerError> {
    let bytes = std::fs::read(path).map_err(|e| LedgerError::io("reading the ledger", path, e))?;
    contents_of(&bytes, path)
}

pub(crate) fn contents_of(bytes: &[u8], path: &Path) -> Result<Contents, LedgerError> {
    let (header, mut at, mut head_hash) = header_of(bytes, path)?;
    let mut entries: Vec<Entry> = Vec::new();
    let (mut torn, mut broken) = (None, None);
    while at < bytes.len() {
        let seq = entries.len() as u64 + 1;
        let break_at = |why| Some(Break { seq, byte: at as u64, why });
        match frame::first(&bytes[at..]) {
            Ok(record) => match entry_of(record.payload, seq, &head_hash, path)? {
                Ok(entry) => {
                    entries.push(entry);
                    head_hash = link_of(record.payload);
                    at += record.bytes;
                }
                Err(why) => {
                    broken = break_at(why);
                    break;
                }
            },
            Err(why) => {
                let tail = &bytes[at..];
                if frame::any_record_in(&tail[1..]) {
                    broken = break_at(format!("{why}, and whole records follow"));
                } else if frame::is_torn(tail) {
                    torn = Some(Torn { at: at as u64, bytes: tail.len() as u64, saved_as: None });
                } else {
                    broken = break_at(why);
                }
                break;
            }
        }
    }
    Ok(Contents { header, entries, head_hash, torn, broken, good_bytes: at as u64 })
}

/// The header, the byte after it, and its hash.
fn header_of(bytes: &[u8], path: &Path) -> Result<(Header, usize, String), LedgerError> {
    let odd = |why: &str| LedgerError::Header { why: why.to_owned(), path: path.to_owned() };
    let start = MAGIC.len() + 2;
    if bytes.len() < start || bytes[..MAGIC.len()] != MAGIC {
        return Err(odd("its first bytes are not those of a ledger"));
    }
    let found = u16::from_le_bytes([bytes[MAGIC.len()], bytes[MAGIC.len() + 1]]);
    let record = frame::first(&bytes[start..]);
    // A flipped bit in the version is told from a newer file by the rest of the header.
    if found != FORMAT_VERSION {
        return Err(LedgerError::NewerFile { found, known: FORMAT_VERSION, path: path.to_owned() });
    }
    let record = record.map_err(|why| odd(&why))?;
    let header: Header = decoded(record.payload).map_err(|why| odd(&why))?;
    if crate::hash::normal(&header.recording_sha256).as_ref() != Some(&header.recording_sha256) {
        return Err(odd("it names no recording"));
    }
    Ok((header, start + record.bytes, link_of(record.payload)))
}

/// The entry of a payload; the inner error says why the chain breaks here.
fn entry_of(
    payload: &[u8],
    seq: u64,
    before: &str,
    path: &Path,
) -> Result<Result<Entry, String>, LedgerError> {
    let newer = |version, program: &str, why| LedgerError::NewerEntry {
        seq,
        program: if program.is_empty() { "unknown".to_owned() } else { program.to_owned() },
        version,
        why,
        path: path.to_owned(),
    };
    let record: RecordV1 = match decoded(payload) {
        Ok(record) => record,
        Err(why) => {
            return match decoded::<EnvelopeV1>(payload) {
                Ok(envelope) => Err(newer(envelope.v, &envelope.program, why)),
                Err(_) => Ok(Err(format!("it is no entry ({why})"))),
            };
        }
    };
    if record.v != RECORD_VERSION {
        return Err(newer(record.v, &record.program, "another record format".to_owned()));
    }
    if record.before != before {
        return Ok(Err("it does not follow the entry before it (hash chain)".to_owned()));
    }
    if record.entry.seq != seq {
        return Ok(Err(format!("it calls itself entry {}", record.entry.seq)));
    }
    Entry::try_from(record.entry).map(Ok).map_err(|why| newer(record.v, &record.program, why))
}

/// MessagePack that fills `bytes` to the last one.
fn decoded<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, String> {
    let mut cursor = Cursor::new(bytes);
    let value = rmp_serde::from_read(&mut cursor).map_err(|e| e.to_string())?;
    match cursor.position() == bytes.len() as u64 {
        true => Ok(value),
        false => Err(format!("{} bytes too many", bytes.len() as u64 - cursor.position())),
    }
}
