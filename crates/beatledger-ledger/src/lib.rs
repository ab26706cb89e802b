//! The sidecar file that holds every edit: append, flush, lock, recover, hash chain, manifest.
//!
//! The ledger of `day.edf` is `day.edf.beatledger` beside it. It starts with a header that names the
//! recording by its SHA-256 and goes on with one record per entry; nothing in it is ever overwritten.
//! Each record carries the SHA-256 of the one before, so that a changed byte shows, and where it is.
//! How the bytes lie is told in [`mod@file`]. The chain shows damage and careless change; it does not prove
//! who wrote the file, because nobody needs a secret to write one.
//!
//! ```no_run
//! # fn main() -> Result<(), beatledger_ledger::LedgerError> {
//! # let sha256 = String::new();
//! let path = beatledger_ledger::path_for(std::path::Path::new("day.edf"));
//! let (mut ledger, loaded) = beatledger_ledger::Ledger::open(&path, &sha256)?;
//! for entry in &loaded.entries {
//!     println!("{}", beatledger_ledger::words(entry));
//! }
//! # Ok(()) }
//! ```

pub mod file;
pub mod manifest;
pub mod verify;

mod error;
mod frame;
mod hash;
mod ledger;
mod lock;
mod read;
mod words;

#[cfg(test)]
mod tests;

pub use error::LedgerError;
pub use frame::Break;
pub use hash::{sha256_of_bytes, sha256_of_file};
pub use ledger::{Ledger, Loaded};
pub use read::{Contents, Header, Torn, path_for, read, read_prefix};
pub use words::{history, iso_time, words};
