//! Opening a day, or finding its beats again, on a thread of its own, with progress and cancel. The day on the desk
//! stays until the answer is there.

use std::path::PathBuf;
use std::sync::{Arc, mpsc};

use beatledger_core::model::{Found, Progress, Recording};
use beatledger_core::pipeline;
use beatledger_core::review;
use beatledger_core::settings::Settings;

use crate::app::open_day::{LedgerTarget, Opened};
use crate::outside::services::Store;
use crate::shell::preview::Preview;

/// What is being opened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ToOpen {
    /// The made demo day.
    Demo,
    /// A recording on disk.
    File(PathBuf),
}

/// Work under way.
pub struct Job {
    /// What is being done, in words.
    pub words: String,
    progress: Arc<Progress>,
    answer: mpsc::Receiver<Result<JobAnswer, String>>,
    coming: Option<mpsc::Receiver<Preview>>,
    first: Option<Preview>,
}

/// What a job gives.
enum JobAnswer {
    Opened(Box<Opened>),
    Found(Box<Found>),
}

/// How a job ended.
pub enum Ended {
    /// The beats were found again.
    Found(Box<Found>),
    /// The day is there.
    Opened(Box<Opened>),
    /// It could not be opened: one sentence.
    Failed(String),
    /// It was cancelled.
    Cancelled,
}

impl Job {
    /// Starts opening `what`; `ctx` is woken when it is done.
    pub fn start(what: ToOpen, store: Arc<dyn Store>, settings: Settings, ctx: &egui::Context) -> Self {
        let words = match &what {
            ToOpen::Demo => "Making the demo day".to_owned(),
            ToOpen::File(path) => {
                format!("Opening {}", path.file_name().unwrap_or(path.as_os_str()).to_string_lossy())
            }
        };
        let (tx, coming) = mpsc::channel();
        let waker = ctx.clone();
        let job = Self::spawn(words, ctx, move |progress| {
            let first = match &what {
                ToOpen::File(path) => store.glance(path),
                ToOpen::Demo => None,
            };
            if let Some(recording) = first {
                // A job that was given up takes no first look.
                let _ = tx.send(Preview::of(&recording, &settings));
                waker.request_repaint();
            }
            open(&what, &*store, &settings, progress).map(|opened| JobAnswer::Opened(Box::new(opened)))
        });
        Self { coming: Some(coming), ..job }
    }

    /// Starts finding the beats of `recording` again; `ctx` is woken when it is done.
    pub fn find(recording: Arc<Recording>, settings: Settings, ctx: &egui::Context) -> Self {
        Self::spawn("Finding beats anew".to_owned(), ctx, move |progress| {
            let found = pipeline::find(&recording, &settings, progress).ok_or("Cancelled.")?;
            Ok(JobAnswer::Found(Box::new(found)))
        })
    }

    fn spawn(
        words: String,
        ctx: &egui::Context,
        work: impl FnOnce(&Progress) -> Result<JobAnswer, String> + Send + 'static,
    ) -> Self {
        let progress = Arc::new(Progress::default());
        let (tx, answer) = mpsc::channel();
        let (ctx, watched) = (ctx.clone(), progress.clone());
        let spawned = std::thread::Builder::new().name("reading".into()).spawn(move || {
            // A window that is gone takes no answer; there is nobody left to tell.
            let _ = tx.send(work(&watched));
            ctx.request_repaint();
        });
        if let Err(error) = spawned {
            // The sender is dropped with the closure, so the job ends as failed in the next frame.
            log::error!("no thread for reading: {error}");
        }
        Self { words, progress, answer, coming: None, first: None }
    }

    /// Name of the present step of the analysis and the share done, 0 to 1.
    pub fn now(&self) -> (&'static str, f32) {
        self.progress.now()
    }

    /// Takes the first look when it has come.
    pub fn listen(&mut self) {
        if let Some(first) = self.coming.as_ref().and_then(|c| c.try_recv().ok()) {
            self.first = Some(first);
        }
    }

    /// The first minutes of what is being opened, once read.
    pub fn preview(&self) -> Option<&Preview> {
        self.first.as_ref()
    }

    /// Asks it to stop.
    pub fn cancel(&self) {
        self.progress.cancel();
    }

    /// How the job ended, once it has.
    pub fn ended(&self) -> Option<Ended> {
        match self.answer.try_recv() {
            Ok(_) if self.progress.is_cancelled() => Some(Ended::Cancelled),
            Ok(Ok(JobAnswer::Opened(opened))) => Some(Ended::Opened(opened)),
            Ok(Ok(JobAnswer::Found(found))) => Some(Ended::Found(found)),
            Ok(Err(words)) => Some(Ended::Failed(words)),
            Err(mpsc::TryRecvError::Empty) => None,
            Err(mpsc::TryRecvError::Disconnected) => Some(Ended::Failed(
                "The recording could not be read: the reading stopped unexpectedly.".into(),
            )),
        }
    }
}

fn open(
    what: &ToOpen,
    store: &dyn Store,
    settings: &Settings,
    progress: &Progress,
) -> Result<Opened, String> {
    let recording = match what {
        ToOpen::Demo => store.demo()?,
        ToOpen::File(path) => store.open(path)?,
    };
    let (entries, ledger_to, words) = match what {
        ToOpen::Demo => (Vec::new(), LedgerTarget::Memory, String::new()),
        ToOpen::File(path) => {
            let ledger = store.ledger(path, &recording)?;
            let ledger_to = match ledger.file {
                Some(file) => LedgerTarget::File(file),
                None => LedgerTarget::ReadOnly(ledger.words.clone()),
            };
            (ledger.entries, ledger_to, ledger.words)
        }
    };
    let in_force = review::settings_of(settings, &entries);
    let found = pipeline::find(&recording, &in_force, progress).ok_or("Cancelled.")?;
    let path = match what {
        ToOpen::Demo => None,
        ToOpen::File(path) => Some(path.clone()),
    };
    Ok(Opened { recording: Arc::new(recording), found: Arc::new(found), entries, ledger_to, path, words })
}
