//! The window: what it holds, and the order of a frame.

use std::path::PathBuf;
use std::sync::Arc;

use beatledger_core::model::{Found, Recording};
use beatledger_core::review::{Action, Edit};
use beatledger_core::session::Snapshot;

use crate::app::act::Act;
use crate::app::job::{Ended, Job, What};
use crate::app::open_day::{Book, Doc, Opened};
use crate::app::selection::Selection;
use crate::commands::table::Command;
use crate::lists::events::EventsState;
use crate::lists::items::ItemKey;
use crate::outside::services::Services;
use crate::paint::theme::{DARK, LIGHT, Look};
use crate::sheets::sheet::Sheet;
use crate::shell::layout::Panels;
use crate::shell::stage::Stage;

/// What the window starts with.
pub enum Start {
    /// The made demo day.
    Demo,
    /// A recording on disk.
    Path(PathBuf),
    /// A day that is already read, for tests and pictures; its ledger stays in memory.
    Made {
        /// The recording.
        recording: Arc<Recording>,
        /// What was found in it.
        found: Arc<Found>,
    },
}

/// An edit that touches much and waits for a yes, with what it would do.
pub struct Pending {
    /// The edit.
    pub edit: Edit,
    /// What would stand after it.
    pub after: Box<Snapshot>,
}

/// A line for the reader, and whether it tells of something that went wrong.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Notice {
    /// The sentence.
    pub words: String,
    /// True when something could not be done.
    pub wrong: bool,
}

/// The desk: everything the window holds. It holds no fact: those stand in the snapshot.
pub struct Desk {
    pub(crate) services: Services,
    pub(crate) doc: Option<Doc>,
    pub(crate) job: Option<Job>,
    pub(crate) anew: Option<Action>,
    pub(crate) selection: Selection,
    pub(crate) place: i64,
    pub(crate) stage: Stage,
    pub(crate) sheet: Option<Sheet>,
    pub(crate) reader: Option<String>,
    pub(crate) waiting: Option<Act>,
    pub(crate) pending: Option<Pending>,
    pub(crate) placing: bool,
    pub(crate) notice: Notice,
    pub(crate) item: Option<(ItemKey, usize)>,
    pub(crate) events: EventsState,
    pub(crate) text_scale: f32,
    pub(crate) card: Option<usize>,
    pub(crate) panels: Panels,
    ctx: egui::Context,
}

impl Desk {
    /// A desk that starts with `start`. Fonts and colours of `ctx` are set.
    pub fn new(ctx: &egui::Context, start: Start, services: Services) -> Self {
        crate::paint::fonts::install(ctx);
        crate::paint::theme::install(ctx);
        ctx.options_mut(|o| o.zoom_with_keyboard = false);
        let mut desk = Self {
            services,
            doc: None,
            job: None,
            anew: None,
            selection: Selection::default(),
            place: 0,
            stage: Stage::default(),
            sheet: None,
            reader: None,
            waiting: None,
            pending: None,
            placing: false,
            notice: Notice::default(),
            item: None,
            events: EventsState::default(),
            text_scale: 1.0,
            card: None,
            panels: Panels::default(),
            ctx: ctx.clone(),
        };
        match start {
            Start::Demo => {
                desk.card = Some(0);
                desk.open(What::Demo);
            }
            Start::Path(path) => desk.open(What::File(path)),
            Start::Made { recording, found } => desk.take(Opened {
                recording,
                found,
                entries: Vec::new(),
                book: Book::Memory,
                path: None,
                words: String::new(),
            }),
        }
        desk
    }

    /// True while a day is being opened, its tracing made ready for the day strip, or figures worked out.
    pub fn is_busy(&self) -> bool {
        self.job.is_some() || self.panels.views.is_busy() || self.doc.as_ref().is_some_and(Doc::is_busy)
    }

    /// The day as it stands with every figure, when one is open.
    pub fn snapshot(&self) -> Option<Arc<Snapshot>> {
        let now = &self.doc.as_ref()?.snapshot;
        Some(if now.is_whole() { now.clone() } else { Arc::new(now.whole()) })
    }

    /// The selection.
    pub fn selection(&self) -> &Selection {
        &self.selection
    }

    /// The view on the stage.
    pub fn stage(&self) -> Stage {
        self.stage
    }

    /// The sheet that is open.
    pub fn sheet(&self) -> Option<Sheet> {
        self.sheet
    }

    /// The place in the day, a sample.
    pub fn place(&self) -> i64 {
        self.place
    }

    /// The last line for the reader.
    pub fn notice(&self) -> &Notice {
        &self.notice
    }

    /// Says who reads, so that nobody needs to be asked.
    pub fn set_reader(&mut self, reader: impl Into<String>) {
        self.reader = Some(reader.into());
    }

    /// Colours of the theme in force.
    pub fn look(ctx: &egui::Context) -> &'static Look {
        match ctx.theme() {
            egui::Theme::Dark => &DARK,
            egui::Theme::Light => &LIGHT,
        }
    }

    pub(crate) fn open(&mut self, what: What) {
        if let Some(job) = self.job.take() {
            job.cancel();
        }
        self.anew = None;
        let job = Job::start(what, self.services.store.clone(), self.services.settings.clone(), &self.ctx);
        self.job = Some(job);
    }

    /// Makes what was opened the day on the desk.
    pub(crate) fn take(&mut self, opened: Opened) {
        let words = opened.words.clone();
        let is_file = opened.path.is_some();
        let doc = Doc::new(opened, &self.services.settings, &self.ctx);
        self.place = doc.snapshot.beats.first().map_or(0, |b| b.sample);
        self.doc = Some(doc);
        self.selection = Selection::default();
        self.pending = None;
        self.waiting = None;
        self.placing = false;
        self.item = None;
        self.events = EventsState::default();
        self.panels.new_day();
        self.sheet = is_file.then_some(Sheet::Intake);
        self.notice = Notice { wrong: !words.is_empty(), words };
    }

    /// Looks at what came from outside since the last frame: a dialog, the worker, a dropped file.
    fn listen(&mut self, ctx: &egui::Context) {
        if let Some(Some(path)) = self.services.dialogs.answer() {
            self.open(What::File(path));
        }
        let dropped = ctx.input(|i| i.raw.dropped_files.first().map(|f| f.path().to_path_buf()));
        if let Some(path) = dropped {
            self.open(What::File(path));
        }
        self.panels.views.listen();
        if let Some(doc) = &mut self.doc {
            doc.listen();
        }
        if let Some(job) = &mut self.job {
            job.listen();
        }
        match self.job.as_ref().and_then(Job::ended) {
            Some(Ended::Opened(opened)) => {
                self.job = None;
                self.take(*opened);
            }
            Some(Ended::Found(found)) => {
                self.job = None;
                self.take_found(*found);
            }
            Some(Ended::Failed(words)) => {
                (self.job, self.anew) = (None, None);
                self.say_wrong(words);
            }
            Some(Ended::Cancelled) => {
                self.job = None;
                let finding = self.anew.take();
                self.say(match finding {
                    Some(_) => "Finding beats anew was stopped; nothing was changed.",
                    None => "Opening was cancelled.",
                });
            }
            None if self.job.is_some() => ctx.request_repaint_after(std::time::Duration::from_millis(100)),
            None => {}
        }
    }

    /// One frame: listen, keys, draw, apply.
    pub fn frame(&mut self, ui: &mut egui::Ui) {
        let ctx = ui.ctx().clone();
        self.listen(&ctx);
        for command in self.pressed(&ctx) {
            self.run(command);
        }
        if let Some(doc) = &self.doc {
            self.panels.views.keep_up(&doc.snapshot, &ctx);
        }
        let mut acts = Vec::new();
        self.draw(ui, &mut acts);
        for act in acts {
            self.apply(act);
        }
    }

    /// Commands of the keys pressed; while a sheet lies over the stage only Esc gets through.
    fn pressed(&mut self, ctx: &egui::Context) -> Vec<Command> {
        let over = self.sheet.is_some_and(|s| !s.is_line());
        if over {
            let esc = ctx.input_mut(|i| i.consume_key(egui::Modifiers::NONE, egui::Key::Escape));
            return if esc { vec![Command::ClearSelection] } else { Vec::new() };
        }
        if self.pending.is_some()
            && !ctx.text_edit_focused()
            && ctx.input_mut(|i| i.consume_key(egui::Modifiers::NONE, egui::Key::Enter))
        {
            self.apply(Act::Confirm);
        }
        // In the grid the arrows go from cell to cell; comma and full stop still go from beat to beat.
        let cells = self.stage == Stage::Grid;
        Command::pressed(ctx, |_, chord| cells && chord.is_arrow())
    }

    pub(crate) fn say(&mut self, words: impl Into<String>) {
        self.notice = Notice { words: words.into(), wrong: false };
    }

    pub(crate) fn say_wrong(&mut self, words: impl Into<String>) {
        self.notice = Notice { words: words.into(), wrong: true };
    }

    pub(crate) fn ctx(&self) -> &egui::Context {
        &self.ctx
    }
}

impl eframe::App for Desk {
    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        self.frame(ui);
    }
}
