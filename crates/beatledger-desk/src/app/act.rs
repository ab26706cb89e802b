//! What views ask for. One place applies acts after drawing; nothing else changes anything.

use std::path::PathBuf;

use beatledger_core::model::Span;
use beatledger_core::review::Edit;

use crate::app::selection::Selection;
use crate::commands::table::Command;
use crate::lists::event_filter::EventFilter;
use crate::outside::services::SignRequest;
use crate::sheets::sheet::Sheet;

/// One request of a view.
#[derive(Clone, Debug, PartialEq)]
pub enum Act {
    /// Makes this the selection; the place in the day moves to its first beat when `go` is set.
    Select {
        /// The new selection.
        selection: Selection,
        /// Move the place in the day there.
        go: bool,
    },
    /// Moves the place in the day.
    GoTo(i64),
    /// Makes an edit through the ledger.
    Edit(Edit),
    /// Shows this much of the day in the lens, samples.
    LensSpan(Span),
    /// Runs a command, as its key would.
    Run(Command),
    /// Makes the edit that waits for a yes.
    Confirm,
    /// Opens a recording.
    Open(PathBuf),
    /// Opens a sheet, or closes the open one.
    Sheet(Option<Sheet>),
    /// Gives the reader's name; an edit that waited for it is made.
    Reader(String),
    /// Looks for what a line in trade words says.
    Find(String),
    /// Narrows the event list.
    Filter(EventFilter),
    /// Chooses an event of the snapshot by index, and goes there.
    Event(usize),
    /// Asks a figure of the summary, by key, what proves it.
    Ask(&'static str),
    /// Chooses an open item by its place in the list, and goes there.
    Item(usize),
    /// Signs the summary.
    Sign(SignRequest),
    /// Closes the card of the first minutes that is shown.
    NextCard,
    /// Closes all cards.
    NoCards,
    /// Stops the opening that is under way.
    CancelOpening,
}
