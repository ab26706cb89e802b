//! What the desk holds, in groups: what is open, what the reader points at, what is shown.

use beatledger_core::review::Action;

use crate::app::job::Job;
use crate::app::notice::Notice;
use crate::app::open_day::OpenDay;
use crate::app::selection::Selection;
use crate::lists::event_list::EventsState;
use crate::lists::open_items::ItemKey;
use crate::sheets::cards::Card;
use crate::sheets::sheet::Sheet;
use crate::shell::panels::Panels;
use crate::shell::stage::Stage;

/// The day that is open, and the work under way on it.
#[derive(Default)]
pub struct OnDesk {
    /// The day; none until the first one is there.
    pub day: Option<OpenDay>,
    /// A day that is being opened, or beats that are being found again.
    pub job: Option<Job>,
    /// The change of a setting that is made once the job has found the beats again.
    pub after_job: Option<Action>,
}

/// What the reader points at. Every view shows it, and every edit acts on it.
#[derive(Default)]
pub struct Pointed {
    /// The one selection.
    pub selection: Selection,
    /// The place in the day, a sample.
    pub place: i64,
    /// The open item that was chosen last, and where it stood in the list.
    pub item: Option<(ItemKey, usize)>,
}

/// What is shown, and how.
pub struct Shown {
    /// The view on the stage.
    pub stage: Stage,
    /// The sheet that is open.
    pub sheet: Option<Sheet>,
    /// The card of the first minutes that is shown.
    pub card: Option<Card>,
    /// The last line for the reader.
    pub notice: Notice,
    /// The event list and what it is narrowed to.
    pub events: EventsState,
    /// Size of the text against the usual one.
    pub text_scale: f32,
    /// What the panels keep between frames.
    pub panels: Panels,
}

impl Default for Shown {
    fn default() -> Self {
        Self {
            stage: Stage::default(),
            sheet: None,
            card: None,
            notice: Notice::default(),
            events: EventsState::default(),
            text_scale: 1.0,
            panels: Panels::default(),
        }
    }
}
