//! Records as bytes: framing, the hash chain, and where a damaged file stops being good.
//!
//! A record is `length: u32`, `!length: u32`, `crc32 of the payload: u32` (all little-endian), then the
//! payload. The length stands twice so that a flipped bit in it is told from a record cut short.

use std::fmt;

use crate::hash::sha256_of_bytes;

/// Bytes before a payload.
pub(crate) const HEAD_BYTES: usize = 12;

/// Most bytes of a payload: far above a day's beats in one edit.
pub(crate) const MOST_BYTES: u32 = 64 << 20;

/// Where and how the chain of records is broken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Break {
    /// Number of the entry that cannot be read.
    pub seq: u64,
    /// Byte of the file at which its record starts.
    pub byte: u64,
    /// What is wrong with it.
    pub why: String,
}

impl fmt::Display for Break {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the ledger is broken at entry {}, byte {}: {}", self.seq, self.byte, self.why)
    }
}

/// One record found whole.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Frame<'a> {
    /// The payload.
    pub(crate) payload: &'a [u8],
    /// Bytes of the whole record.
    pub(crate) bytes: usize,
}

/// A payload as a record; `None` when it is too long.
pub(crate) fn framed(payload: &[u8]) -> Option<Vec<u8>> {
    let length = u32::try_from(payload.len()).ok().filter(|n| *n <= MOST_BYTES)?;
    let mut bytes = Vec::with_capacity(HEAD_BYTES + payload.len());
    bytes.extend_from_slice(&length.to_le_bytes());
    bytes.extend_from_slice(&(!length).to_le_bytes());
    bytes.extend_from_slice(&crc32fast::hash(payload).to_le_bytes());
    bytes.extend_from_slice(payload);
    Some(bytes)
}

/// Four bytes at `at` as a number.
fn word(bytes: &[u8], at: usize) -> Option<u32> {
    let four = bytes.get(at..at + 4)?;
    Some(u32::from_le_bytes([four[0], four[1], four[2], four[3]]))
}

/// Length of the payload of a record at the start of `bytes`, where its head agrees with itself.
fn length_of(bytes: &[u8]) -> Option<usize> {
    let (length, again) = (word(bytes, 0)?, word(bytes, 4)?);
    (length == !again && length <= MOST_BYTES).then_some(length as usize)
}

/// The record at the start of `bytes`, or why there is none.
pub(crate) fn first(bytes: &[u8]) -> Result<Frame<'_>, String> {
    let word = |at: usize| word(bytes, at);
    let (Some(length), Some(again), Some(crc)) = (word(0), word(4), word(8)) else {
        return Err(format!("{} bytes are left and a record has at least {HEAD_BYTES}", bytes.len()));
    };
    if length != !again || length > MOST_BYTES {
        return Err("its length does not agree with itself".to_owned());
    }
    let end = HEAD_BYTES + length as usize;
    let Some(payload) = bytes.get(HEAD_BYTES..end) else {
        return Err(format!("it has {end} bytes and only {} are left", bytes.len()));
    };
    if crc32fast::hash(payload) != crc {
        return Err("its bytes do not agree with its checksum".to_owned());
    }
    Ok(Frame { payload, bytes: end })
}

/// Bytes of payload that are summed at most to find a record behind a damaged one: each byte could begin one.
const MOST_SUMMED: usize = 64 << 20;

/// True when a whole record starts anywhere in `bytes`, or when so many places look like one that it is not told: what stands
/// before it is no torn tail then.
pub(crate) fn any_record_in(bytes: &[u8]) -> bool {
    let mut left = MOST_SUMMED;
    for at in 0..bytes.len().saturating_sub(HEAD_BYTES) {
        let rest = &bytes[at..];
        // An empty payload is never written, and twelve odd bytes could look like one.
        let Some(length) = length_of(rest).filter(|n| *n > 0 && HEAD_BYTES + n <= rest.len()) else {
            continue;
        };
        if length > left || first(rest).is_ok() {
            return true;
        }
        left -= length;
    }
    false
}

/// True when the bytes at the end of a file can be a write that was cut short: too few for the record that they begin, or
/// ending in a block that the disk never filled. A whole record that is wrong is damage.
pub(crate) fn is_torn(bytes: &[u8]) -> bool {
    let too_few = match length_of(bytes) {
        Some(length) => bytes.len() < HEAD_BYTES + length,
        None => bytes.len() < HEAD_BYTES,
    };
    too_few || bytes.ends_with(&[0; 8])
}

/// The link that the next record carries: the hash of this record's payload.
pub(crate) fn link_of(payload: &[u8]) -> String {
    sha256_of_bytes(payload)
}
