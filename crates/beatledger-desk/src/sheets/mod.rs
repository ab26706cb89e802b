//! What opens over the stage when it is asked for, one sheet at a time, and the cards of the first minutes.
//!
//! Each sheet is one drawing function and the draft that it keeps between frames.
//! A sheet knows the snapshot and the acts it emits, and of other sheets only their names.
//! No sheet writes a file or an entry by itself: it asks for that with an act.

pub(crate) mod cards;
pub(crate) mod choose;
pub(crate) mod conclusion;
pub(crate) mod history;
pub(crate) mod intake;
pub(crate) mod key_table;
pub(crate) mod palette;
pub(crate) mod settings;
pub mod sheet;
pub(crate) mod sign;
