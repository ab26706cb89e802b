//! What the panels remember between frames.

use crate::commands::find::FindState;
use crate::figures::families::FiguresState;
use crate::sheets::history::HistoryState;
use crate::sheets::palette::PaletteState;
use crate::sheets::sign::SignState;
use crate::shell::day_views::DayViews;
use crate::shell::splitter::Splitter;
use crate::shell::stage_bar::ClassMix;

/// The list beside the stage.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Side {
    /// What still needs a reader.
    #[default]
    Items,
    /// Every event.
    Events,
}

/// What panels remember between frames: drafts, scroll places, caches. No facts.
#[derive(Default)]
pub struct Panels {
    /// The tracing views.
    pub views: DayViews,
    /// The figures stage.
    pub figures: FiguresState,
    /// The splitter between stage and lens.
    pub splitter: Splitter,
    /// The list beside the stage.
    pub side: Side,
    /// The find line.
    pub find: FindState,
    /// The command palette.
    pub palette: PaletteState,
    /// A line being typed: the reader's name or a path.
    pub draft: String,
    /// The conclusion being written.
    pub conclusion: String,
    /// The sheet of sign-off.
    pub sign: SignState,
    /// The ledger in words.
    pub history: HistoryState,
    /// True in the first frame of a sheet or line: drafts are filled, the focus is taken.
    pub fresh: bool,
    /// The classes of the selected beats in words.
    pub class_mix: ClassMix,
    /// Whether the bar said that the selection is on the screen.
    pub said_on_screen: bool,
    /// Height of the row of actions above the stage, points: a question takes the same room.
    pub actions_pt: f32,
}

impl Panels {
    /// Forgets what belongs to the day before.
    pub fn new_day(&mut self) {
        self.views = DayViews::default();
        self.history = HistoryState::default();
        self.figures = FiguresState::default();
        self.class_mix = ClassMix::default();
    }

    /// Shows the event list beside the stage.
    pub fn show_events(&mut self) {
        self.side = Side::Events;
    }

    /// Shows the open items beside the stage.
    pub fn show_items(&mut self) {
        self.side = Side::Items;
    }

    /// A sheet was opened: drafts are filled anew.
    pub fn sheet_opened(&mut self) {
        self.fresh = true;
        self.find.focus = true;
    }
}
