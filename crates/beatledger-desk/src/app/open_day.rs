//! The day that is open: session, ledger, and whether what was done is saved.

use std::path::PathBuf;
use std::sync::{Arc, mpsc};

use beatledger_core::model::{Found, Recording, Span};
use beatledger_core::review::{self, Action, Edit, Entry};
use beatledger_core::session::{Session, Snapshot, Stamp};
use beatledger_core::settings::Settings;

use crate::app::derived::Derived;
use crate::outside::services::LedgerFile;

/// Where entries go.
pub enum LedgerTarget {
    /// Nowhere: the entries of the demo day are kept in memory alone.
    Memory,
    /// A ledger file.
    File(Box<dyn LedgerFile>),
    /// Nothing can be written; the words say why.
    ReadOnly(String),
}

/// Everything that opening gave, before a session is made of it.
pub struct Opened {
    /// The recording.
    pub recording: Arc<Recording>,
    /// What the program found.
    pub found: Arc<Found>,
    /// Entries of the ledger, oldest first.
    pub entries: Vec<Entry>,
    /// Where new entries go.
    pub ledger_to: LedgerTarget,
    /// Where the recording lies; `None` for a made day.
    pub path: Option<PathBuf>,
    /// What a reader should know; empty when nothing.
    pub words: String,
}

/// A day being read.
pub struct OpenDay {
    session: Session,
    /// Everything as it stands.
    pub snapshot: Arc<Snapshot>,
    /// What follows from it for the views.
    pub derived: Arc<Derived>,
    /// All entries, oldest first.
    pub entries: Vec<Entry>,
    ledger_to: LedgerTarget,
    /// Where the recording lies; `None` for a made day.
    pub path: Option<PathBuf>,
    coming: Option<mpsc::Receiver<Arc<Snapshot>>>,
    ctx: egui::Context,
}

impl OpenDay {
    /// A session on what was opened; `ctx` is woken when figures that take long are there.
    pub fn new(opened: Opened, settings: &Settings, ctx: &egui::Context) -> Self {
        let Opened { recording, found, entries, ledger_to, path, words: _ } = opened;
        let session = Session::new(recording, settings.clone(), found, &entries);
        let snapshot = session.snapshot();
        let derived = Arc::new(Derived::of(&snapshot));
        Self { session, snapshot, derived, entries, ledger_to, path, coming: None, ctx: ctx.clone() }
    }

    /// The session, to read from.
    pub fn session(&self) -> &Session {
        &self.session
    }

    /// Why nothing can be changed, when so.
    pub fn read_only(&self) -> Option<&str> {
        match &self.ledger_to {
            LedgerTarget::ReadOnly(why) => Some(why),
            _ => None,
        }
    }

    /// Makes an action: written and flushed first, then in force. On an error nothing has changed.
    pub fn act(&mut self, action: Action, stamp: &Stamp) -> Result<(), String> {
        let entry = self.session.entry(action, stamp);
        self.take(entry, None)
    }

    /// The same for an action after which the beats were found again.
    pub fn act_found(&mut self, action: Action, found: Arc<Found>, stamp: &Stamp) -> Result<(), String> {
        let entry = self.session.entry(action, stamp);
        self.take(entry, Some(found))
    }

    /// Settings with which the beats must be found again before this action, when they must.
    pub fn find_with(&self, action: &Action) -> Option<Settings> {
        let after = self.session.settings_after(action.clone());
        (!review::found_alike(&after, &self.snapshot.settings)).then_some(after)
    }

    /// Takes the last edit back; `Ok(false)` when there is none.
    pub fn undo(&mut self, stamp: &Stamp) -> Result<bool, String> {
        match self.session.undo_entry(stamp) {
            Some(entry) => self.take(entry, None).map(|()| true),
            None => Ok(false),
        }
    }

    /// Makes the edit that was taken back again; `Ok(false)` when there is none.
    pub fn redo(&mut self, stamp: &Stamp) -> Result<bool, String> {
        match self.session.redo_entry(stamp) {
            Some(entry) => self.take(entry, None).map(|()| true),
            None => Ok(false),
        }
    }

    fn take(&mut self, entry: Entry, found: Option<Arc<Found>>) -> Result<(), String> {
        self.write(&entry)?;
        self.snapshot = match found {
            Some(found) => self.session.push_found(&entry, found),
            None => self.session.push_first(&entry),
        };
        self.derived = Arc::new(Derived::of(&self.snapshot));
        self.entries.push(entry);
        self.complete();
        Ok(())
    }

    /// Writes down that these stretches were on the screen.
    pub fn looked(&mut self, spans: &[Span], stamp: &Stamp) -> Result<(), String> {
        for span in spans {
            let entry = self.session.entry(Action::Do(Edit::MarkRead { span: *span }), stamp);
            self.write(&entry)?;
            self.snapshot = self.session.push_looked(&entry);
            self.entries.push(entry);
        }
        self.derived = Arc::new(Derived::of(&self.snapshot));
        Ok(())
    }

    fn write(&mut self, entry: &Entry) -> Result<(), String> {
        match &mut self.ledger_to {
            LedgerTarget::Memory => Ok(()),
            LedgerTarget::File(file) => file.append(entry),
            LedgerTarget::ReadOnly(why) => Err(why.clone()),
        }
    }

    /// Starts working out the figures that take long, on a thread of its own; an older one is no longer listened to.
    fn complete(&mut self) {
        self.coming = None;
        if self.snapshot.is_whole() {
            return;
        }
        let (tx, coming) = mpsc::channel();
        let (first, ctx) = (self.snapshot.clone(), self.ctx.clone());
        let spawned = std::thread::Builder::new().name("figures".into()).spawn(move || {
            // A day that was closed takes no figures.
            let _ = tx.send(Arc::new(first.whole()));
            ctx.request_repaint();
        });
        match spawned {
            Ok(_) => self.coming = Some(coming),
            Err(error) => {
                log::error!("no thread for figures: {error}");
                self.finish();
            }
        }
    }

    /// Takes in the figures that took long, when they are there.
    pub fn listen(&mut self) {
        match self.coming.as_ref().map(mpsc::Receiver::try_recv) {
            None | Some(Err(mpsc::TryRecvError::Empty)) => {}
            Some(Ok(whole)) if self.session.accept(&whole) => {
                (self.snapshot, self.coming) = (self.session.snapshot(), None);
            }
            // The thread is gone without an answer, which it never should.
            Some(_) => self.finish(),
        }
    }

    /// True while figures are being worked out.
    pub fn is_busy(&self) -> bool {
        self.coming.is_some()
    }

    /// Works out here and now what is still to be worked out: nothing is signed or written without it.
    pub fn finish(&mut self) {
        self.snapshot = self.session.finish();
        self.coming = None;
    }

    /// Whether what was done is saved, in words. Entries are flushed before they count, so there is no 'unsaved'.
    pub fn saved_words(&self) -> String {
        match &self.ledger_to {
            LedgerTarget::Memory => "demo: not saved".into(),
            LedgerTarget::File(file) if self.entries.is_empty() => {
                format!("no edits yet, ledger {}", file.place())
            }
            LedgerTarget::File(file) if self.entries.len() == 1 => {
                format!("1 entry saved in {}", file.place())
            }
            LedgerTarget::File(file) => format!("{} entries saved in {}", self.entries.len(), file.place()),
            LedgerTarget::ReadOnly(_) => "read-only".into(),
        }
    }
}
