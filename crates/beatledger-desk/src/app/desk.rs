//! The desk: everything the window holds, and the order of a frame.

use std::path::PathBuf;
use std::sync::Arc;

use beatledger_core::model::{Found, Recording};
use beatledger_core::session::Snapshot;

use crate::app::act::Act;
use crate::app::job::ToOpen;
use crate::app::notice::Notice;
use crate::app::open_day::{LedgerTarget, OpenDay, Opened};
use crate::app::selection::Selection;
use crate::app::state::{OnDesk, Pointed, Shown};
use crate::app::waiting::Waiting;
use crate::app::watch::Watch;
use crate::commands::table::Command;
use crate::outside::services::Services;
use crate::paint::theme::{DARK, LIGHT, Theme};
use crate::sheets::cards::Card;
use crate::sheets::sheet::Sheet;
use crate::shell::stage::Stage;

/// What the window starts with.
pub enum Start {
    /// The made demo day.
    Demo,
    /// A recording on disk.
    Path(PathBuf),
    /// A day that is already read, for tests and pictures; its ledger stays in memory.
    AlreadyRead {
        /// The recording.
        recording: Arc<Recording>,
        /// What was found in it.
        found: Arc<Found>,
    },
}

/// The desk: everything the window holds. It holds no fact: those stand in the snapshot.
pub struct Desk {
    pub(crate) services: Services,
    /// Who reads; none until asked.
    pub(crate) reader: Option<String>,
    pub(crate) open: OnDesk,
    pub(crate) pointed: Pointed,
    pub(crate) waiting: Waiting,
    pub(crate) shown: Shown,
    pub(crate) watch: Watch,
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
            reader: None,
            open: OnDesk::default(),
            pointed: Pointed::default(),
            waiting: Waiting::default(),
            shown: Shown::default(),
            watch: Watch::default(),
            ctx: ctx.clone(),
        };
        match start {
            Start::Demo => {
                desk.shown.card = Some(Card::FIRST);
                desk.start_opening(ToOpen::Demo);
            }
            Start::Path(path) => desk.start_opening(ToOpen::File(path)),
            Start::AlreadyRead { recording, found } => desk.put_on_desk(Opened {
                recording,
                found,
                entries: Vec::new(),
                ledger_to: LedgerTarget::Memory,
                path: None,
                words: String::new(),
            }),
        }
        desk
    }

    /// True while a day is being opened, its tracing made ready for the day strip, or figures worked out.
    pub fn is_busy(&self) -> bool {
        self.open.job.is_some()
            || self.shown.panels.views.is_busy()
            || self.open.day.as_ref().is_some_and(OpenDay::is_busy)
    }

    /// The day as it stands with every figure, when one is open.
    pub fn snapshot(&self) -> Option<Arc<Snapshot>> {
        let now = &self.open.day.as_ref()?.snapshot;
        Some(if now.is_whole() { now.clone() } else { Arc::new(now.whole()) })
    }

    /// The selection.
    pub fn selection(&self) -> &Selection {
        &self.pointed.selection
    }

    /// The view on the stage.
    pub fn stage(&self) -> Stage {
        self.shown.stage
    }

    /// The sheet that is open.
    pub fn sheet(&self) -> Option<Sheet> {
        self.shown.sheet
    }

    /// The place in the day, a sample.
    pub fn place(&self) -> i64 {
        self.pointed.place
    }

    /// The last line for the reader.
    pub fn notice(&self) -> &Notice {
        &self.shown.notice
    }

    /// Says who reads, so that nobody needs to be asked.
    pub fn set_reader(&mut self, reader: impl Into<String>) {
        self.reader = Some(reader.into());
    }

    /// Colours of the theme in force.
    pub fn theme(ctx: &egui::Context) -> &'static Theme {
        match ctx.theme() {
            egui::Theme::Dark => &DARK,
            egui::Theme::Light => &LIGHT,
        }
    }

    /// One frame: listen, keys, draw, apply, note what was shown.
    pub fn frame(&mut self, ui: &mut egui::Ui) {
        let ctx = ui.ctx().clone();
        self.listen(&ctx);
        for command in self.pressed(&ctx) {
            self.run(command);
        }
        if let Some(day) = &self.open.day {
            self.shown.panels.views.keep_up(&day.snapshot, &ctx);
        }
        let mut acts = Vec::new();
        self.draw(ui, &mut acts);
        for act in acts {
            self.apply(act);
        }
        self.look();
    }

    /// Commands of the keys pressed; while a sheet lies over the stage only Esc gets through.
    fn pressed(&mut self, ctx: &egui::Context) -> Vec<Command> {
        let over = self.shown.sheet.is_some_and(|s| !s.is_line());
        if over {
            let esc = ctx.input_mut(|i| i.consume_key(egui::Modifiers::NONE, egui::Key::Escape));
            return if esc { vec![Command::ClearSelection] } else { Vec::new() };
        }
        if self.waiting.for_yes.is_some()
            && !ctx.text_edit_focused()
            && ctx.input_mut(|i| i.consume_key(egui::Modifiers::NONE, egui::Key::Enter))
        {
            self.apply(Act::Confirm);
        }
        // In the grid the arrows go from cell to cell; comma and full stop still go from beat to beat.
        let cells = self.shown.stage == Stage::Grid;
        // The find line keeps the keys that type until Esc, wherever the keyboard is.
        let finding = self.shown.sheet == Some(Sheet::Find);
        Command::pressed(ctx, |command, chord| {
            (cells && chord.is_arrow())
                || (finding && chord.is_typing() && command != Command::ClearSelection)
        })
    }

    pub(crate) fn say(&mut self, words: impl Into<String>) {
        self.shown.notice = Notice { words: words.into(), wrong: false };
    }

    pub(crate) fn say_wrong(&mut self, words: impl Into<String>) {
        self.shown.notice = Notice { words: words.into(), wrong: true };
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
