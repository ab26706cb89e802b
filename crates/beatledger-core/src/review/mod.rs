//! What a reader says, as values: edits, ledger entries, and the fold that gives the edits in force.
//!
//! An edit names places in the recording, never a row of a derived list. State is the fold of the
//! entries; nothing else can change a figure.

mod apply;
mod edit;
mod fold;
#[cfg(test)]
mod tests;

pub use apply::{
    Orphan, apply_beats, apply_events, apply_settings, found_alike, said_not, settings_of, silences_in_force,
    unreadable_in_force,
};
pub use edit::{Action, Edit, Entry, Signature};
pub use fold::Fold;
