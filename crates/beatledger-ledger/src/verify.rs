//! Whether a ledger is whole, in plain sentences.

use std::fmt;
use std::path::Path;

use crate::frame::Break;
use crate::read::{Torn, read_prefix};
use crate::{LedgerError, error};

/// What checking a ledger gave.
#[derive(Clone, Debug, PartialEq)]
pub struct LedgerVerification {
    /// SHA-256 of the recording that it belongs to.
    pub recording_sha256: String,
    /// Entries up to the end or the break.
    pub entries: u64,
    /// SHA-256 of the last good record.
    pub head_hash: String,
    /// A torn end.
    pub torn: Option<Torn>,
    /// Where the chain breaks.
    pub broken: Option<Break>,
}

impl LedgerVerification {
    /// True when every record is whole and follows the one before.
    pub fn is_intact(&self) -> bool {
        self.torn.is_none() && self.broken.is_none()
    }
}

impl fmt::Display for LedgerVerification {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (entries, head) = (self.entries, error::short(&self.head_hash));
        match (&self.broken, &self.torn) {
            (Some(at), _) => write!(f, "Not intact: {at}; {entries} entries before it hold.")?,
            (None, Some(torn)) => write!(
                f,
                "{entries} entries hold; the {} bytes from byte {} on are a record that was cut short.",
                torn.bytes, torn.at
            )?,
            (None, None) => write!(f, "Intact: {entries} entries, each follows the one before.")?,
        }
        write!(f, " Last hash {head}..., recording {}....", error::short(&self.recording_sha256))
    }
}

/// Checks a ledger from its first byte to its last. Takes no lock and writes nothing.
///
/// # Errors
/// As [`crate::read`], without [`LedgerError::Broken`].
pub fn ledger(path: &Path) -> Result<LedgerVerification, LedgerError> {
    let contents = read_prefix(path)?;
    Ok(LedgerVerification {
        recording_sha256: contents.header.recording_sha256,
        entries: contents.entries.len() as u64,
        head_hash: contents.head_hash,
        torn: contents.torn,
        broken: contents.broken,
    })
}
