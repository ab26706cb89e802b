//! Canned twins of the services, for tests and pictures: no dialog, no moving clock, no sign-off.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use beatledger_core::review::Entry;
use beatledger_core::session::{Snapshot, Stamp};
use beatledger_core::settings::Settings;

use crate::outside::desktop::Files;
use crate::outside::services::{Clock, Dialogs, Services, SignOff, SignRequest, Signed};

/// Sign-off where no files can be written: refuses, and says so.
pub struct NoSignOff;

impl SignOff for NoSignOff {
    fn sign(
        &mut self,
        _request: &SignRequest,
        _stamp: &Stamp,
        _snapshot: &Snapshot,
        _entries: &[Entry],
        _path: Option<&Path>,
    ) -> Result<Signed, String> {
        Err("Signing is not set up in this window.".into())
    }

    fn take_back(&mut self, _signed: &Signed) -> Result<(), String> {
        Ok(())
    }
}

/// A dialog that always gives the same answer.
pub struct CannedDialogs {
    answer: Option<PathBuf>,
    asked: bool,
}

impl CannedDialogs {
    /// Answers `answer` to every question.
    pub fn new(answer: Option<PathBuf>) -> Self {
        Self { answer, asked: false }
    }
}

impl Dialogs for CannedDialogs {
    fn ask(&mut self, ctx: &egui::Context) {
        self.asked = true;
        ctx.request_repaint();
    }

    fn answer(&mut self) -> Option<Option<PathBuf>> {
        std::mem::take(&mut self.asked).then(|| self.answer.clone())
    }
}

/// A clock that stands still.
pub struct FixedClock {
    /// ms since 1970-01-01 UTC.
    pub at_utc_ms: i64,
    /// Minutes east of UTC.
    pub utc_offset_min: i32,
}

impl Clock for FixedClock {
    fn now(&self) -> (i64, i32) {
        (self.at_utc_ms, self.utc_offset_min)
    }
}

/// Services without files and dialogs, for pictures and tests: a clock that stands still, no sign-off.
pub fn still_services() -> Services {
    Services {
        dialogs: Box::new(CannedDialogs::new(None)),
        clock: Box::new(FixedClock { at_utc_ms: 1_764_000_000_000, utc_offset_min: 60 }),
        store: Arc::new(Files),
        sign: Box::new(NoSignOff),
        settings: Settings::default(),
        reader_default: "A. Reader".into(),
    }
}
