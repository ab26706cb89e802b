//! What views ask for. One place applies acts after drawing; nothing else changes anything.

use beatledger_core::model::Span;
use beatledger_core::review::Edit;

use crate::selection::Selection;

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
}
