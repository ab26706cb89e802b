//! The services of the real window: dialogs on a thread, files on disk, the computer's clock.

use std::path::{Path, PathBuf};
use std::sync::{Arc, mpsc};

use beatledger_core::model::Recording;
use beatledger_core::review::Entry;
use beatledger_core::settings::Settings;
use beatledger_ledger::{Ledger, LedgerError};

use crate::outside::services::{Clock, Dialogs, LedgerFile, OpenedLedger, Services, SignOff, Store};

/// File dialogs of the desktop, on a thread of their own so that the window goes on drawing.
#[derive(Default)]
pub struct DesktopDialogs {
    answer: Option<mpsc::Receiver<Option<PathBuf>>>,
}

impl Dialogs for DesktopDialogs {
    fn ask(&mut self, ctx: &egui::Context) {
        if self.answer.is_some() {
            return;
        }
        let (tx, rx) = mpsc::channel();
        let ctx = ctx.clone();
        let spawned = std::thread::Builder::new().name("file dialog".into()).spawn(move || {
            let path = rfd::FileDialog::new().set_title("Open a recording").pick_file();
            // A window that is gone takes no answer.
            let _ = tx.send(path);
            ctx.request_repaint();
        });
        match spawned {
            Ok(_) => self.answer = Some(rx),
            Err(error) => log::error!("no thread for the file dialog: {error}"),
        }
    }

    fn answer(&mut self) -> Option<Option<PathBuf>> {
        let answer = match self.answer.as_ref()?.try_recv() {
            Ok(path) => path,
            Err(mpsc::TryRecvError::Empty) => return None,
            Err(mpsc::TryRecvError::Disconnected) => None,
        };
        self.answer = None;
        Some(answer)
    }
}

/// The computer's clock with its local offset.
pub struct SystemClock;

impl Clock for SystemClock {
    fn now(&self) -> (i64, i32) {
        let now = chrono::Local::now();
        (now.timestamp_millis(), now.offset().local_minus_utc() / 60)
    }
}

/// Recordings and ledgers on disk.
pub struct Files;

impl Store for Files {
    fn open(&self, path: &Path) -> Result<Recording, String> {
        beatledger_formats::open(path).map_err(|error| {
            // The error names the file and ends without a full stop.
            format!("Not opened: {error}. Choose another recording; the day on the desk stays as it is.")
        })
    }

    fn glance(&self, path: &Path) -> Option<Recording> {
        beatledger_formats::glance(path)
    }

    fn demo(&self) -> Result<Recording, String> {
        Ok(beatledger_synth::make(&beatledger_synth::Request::default()).recording)
    }

    fn ledger(&self, path: &Path, recording: &Recording) -> Result<OpenedLedger, String> {
        let path = beatledger_ledger::path_for(path);
        match Ledger::open(&path, &recording.sha256) {
            Ok((ledger, loaded)) => {
                let words = loaded.recovered.map(|t| torn_words(&t)).unwrap_or_default();
                Ok(OpenedLedger { entries: loaded.entries, file: Some(Box::new(OnDisk(ledger))), words })
            }
            Err(
                error
                @ (LedgerError::Busy { .. } | LedgerError::ReadOnly { .. } | LedgerError::Broken { .. }),
            ) => {
                // A damaged ledger is read as far as it is whole.
                let entries = if path.exists() {
                    beatledger_ledger::read_prefix(&path).map_err(|e| e.to_string())?.entries
                } else {
                    Vec::new()
                };
                Ok(OpenedLedger { entries, file: None, words: format!("Open to read only: {error}") })
            }
            Err(error) => Err(format!("Not opened: {error}. The day on the desk stays as it is.")),
        }
    }
}

fn torn_words(torn: &beatledger_ledger::Torn) -> String {
    let kept = match &torn.saved_as {
        Some(path) => format!("; they are kept in {}", path.display()),
        None => String::new(),
    };
    format!("The ledger ended in the middle of an entry: its last {} bytes were set aside{kept}.", torn.bytes)
}

struct OnDisk(Ledger);

impl LedgerFile for OnDisk {
    fn append(&mut self, entry: &Entry) -> Result<(), String> {
        self.0.append(entry).map_err(|error| error.to_string())
    }

    fn place(&self) -> String {
        let path = self.0.path();
        path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
    }
}

/// Services of the real window, with `sign` for sign-off.
pub fn services(settings: Settings, sign: Box<dyn SignOff>) -> Services {
    let reader_default = ["USER", "USERNAME", "LOGNAME"].iter().find_map(|name| std::env::var(name).ok());
    Services {
        dialogs: Box::new(DesktopDialogs::default()),
        clock: Box::new(SystemClock),
        store: Arc::new(Files),
        sign,
        settings,
        reader_default: reader_default.unwrap_or_default(),
    }
}
