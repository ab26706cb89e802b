//! The window in which a day is read, and the `beatledger` command.
//!
//! The window holds no fact. Views read a [`beatledger_core::session::Snapshot`] and emit [`act::Act`]s;
//! one place applies them after drawing.

pub mod act;
pub mod look;
pub mod pictures;
pub mod selection;
pub mod view;
