//! What waits for an answer of the reader before it is done.

use beatledger_core::review::Edit;
use beatledger_core::session::Snapshot;

use crate::app::act::Act;

/// An edit that touches much and waits for a yes, with what it would do.
pub struct Pending {
    /// The edit.
    pub edit: Edit,
    /// What it would do to events, in words.
    pub events: Vec<String>,
    /// What would stand after it.
    pub after: Box<Snapshot>,
}

/// The questions that are open. Each holds what is done once it is answered.
#[derive(Default)]
pub struct Waiting {
    /// Waits for the reader's name.
    pub for_name: Option<Act>,
    /// Waits for a yes.
    pub for_yes: Option<Pending>,
    /// True while the next class letter inserts a beat at the place in the day.
    pub for_class: bool,
}
