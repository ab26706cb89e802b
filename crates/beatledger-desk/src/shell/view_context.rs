//! What a view gets to draw with.

use beatledger_core::session::Snapshot;

use crate::app::act::Act;
use crate::app::selection::Selection;
use crate::paint::theme::Theme;

/// Everything a view may read, and the list it may add to.
pub struct ViewContext<'a> {
    /// The day as it stands.
    pub snapshot: &'a Snapshot,
    /// The one selection.
    pub selection: &'a Selection,
    /// The place in the day that every view shares: a sample.
    pub place: i64,
    /// Colours of the theme.
    pub theme: &'a Theme,
    /// Requests, applied after drawing.
    pub acts: &'a mut Vec<Act>,
}
