//! What the window needs from outside: files, dialogs, the clock, sign-off. Tests hand in the canned ones of `canned`.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use beatledger_core::model::Recording;
use beatledger_core::review::{Entry, Signature};
use beatledger_core::session::{Snapshot, Stamp};
use beatledger_core::settings::Settings;

/// File dialogs. `ask` returns at once; the answer is taken with `answer` in a later frame.
pub trait Dialogs {
    /// Starts asking for a recording to open; `ctx` is woken when there is an answer.
    fn ask(&mut self, ctx: &egui::Context);

    /// What was answered since the last call: `Some(None)` when nothing was chosen.
    fn answer(&mut self) -> Option<Option<PathBuf>>;
}

/// The computer's clock.
pub trait Clock {
    /// ms since 1970-01-01 UTC, and minutes east of UTC.
    fn now(&self) -> (i64, i32);
}

/// A stamp of `reader` at the clock's time.
pub fn stamp(clock: &dyn Clock, reader: &str) -> Stamp {
    let (at_utc_ms, utc_offset_min) = clock.now();
    Stamp { reader: reader.to_owned(), at_utc_ms, utc_offset_min }
}

/// A ledger file that is open for writing. `append` returns only when the entry is safely on the disk.
pub trait LedgerFile: Send {
    /// Writes and flushes one entry; an error is one sentence.
    fn append(&mut self, entry: &Entry) -> Result<(), String>;

    /// Where it lies, for the bottom line.
    fn place(&self) -> String;
}

/// What came of opening the ledger of a recording.
pub struct OpenedLedger {
    /// Entries that are in it, oldest first.
    pub entries: Vec<Entry>,
    /// The file, when it can be written; else `words` say why not.
    pub file: Option<Box<dyn LedgerFile>>,
    /// What a reader should know (recovered, read-only because someone else writes); empty when nothing.
    pub words: String,
}

/// Where recordings and ledgers come from. Runs on the worker thread. Errors are one sentence.
pub trait Store: Send + Sync {
    /// Reads a recording.
    fn open(&self, path: &Path) -> Result<Recording, String>;

    /// A first look at a recording, to be drawn while [`Store::open`] still reads and the day is analysed; `None`
    /// where there is none that is quicker.
    fn glance(&self, _path: &Path) -> Option<Recording> {
        None
    }

    /// Makes the demo day.
    fn demo(&self) -> Result<Recording, String>;

    /// Opens the ledger beside a recording.
    fn ledger(&self, path: &Path, recording: &Recording) -> Result<OpenedLedger, String>;
}

/// What a reader fills in to sign.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SignRequest {
    /// Printed name.
    pub reader: String,
    /// Role, such as `technician` or `cardiologist`.
    pub role: String,
    /// Meaning: one of [`MEANINGS`](crate::outside::sign_rules::MEANINGS).
    pub meaning: String,
    /// Whether the reader has confirmed, field by field, whose recording it is.
    pub confirmed: bool,
}

/// What sign-off gives back.
#[derive(Clone, Debug, PartialEq)]
pub struct Signed {
    /// The signature for the ledger.
    pub signature: Signature,
    /// What was written and where, one sentence.
    pub words: String,
    /// The folder that was written, where one was.
    pub folder: Option<PathBuf>,
}

/// Writes the signed files of a day.
pub trait SignOff {
    /// Writes everything that a signature covers; an error is one sentence and nothing is signed.
    fn sign(
        &mut self,
        request: &SignRequest,
        stamp: &Stamp,
        snapshot: &Snapshot,
        entries: &[Entry],
        path: Option<&Path>,
    ) -> Result<Signed, String>;

    /// Takes back what was written, as the ledger did not take the signature.
    fn take_back(&mut self, signed: &Signed) -> Result<(), String>;
}

/// Everything from outside.
pub struct Services {
    /// File dialogs.
    pub dialogs: Box<dyn Dialogs>,
    /// The computer's clock.
    pub clock: Box<dyn Clock>,
    /// Recordings and ledgers.
    pub store: Arc<dyn Store>,
    /// Sign-off.
    pub sign: Box<dyn SignOff>,
    /// Settings that a day starts with.
    pub settings: Settings,
    /// Name proposed when the reader is asked for one.
    pub reader_default: String,
}
