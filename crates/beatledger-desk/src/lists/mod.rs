//! The lists beside the stage: open items and events, and the rows that both are made of.
//!
//! A list reads the snapshot and what was derived from it, and emits acts when a row is chosen.
//! Which items are open is decided here; which events exist is decided by the core.
//! No tracing is drawn here.

pub(crate) mod events;
pub(crate) mod items;
pub(crate) mod rows;
