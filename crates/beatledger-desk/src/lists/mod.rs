//! The lists beside the stage: open items and events, and the rows that both are made of.
//!
//! A list reads the snapshot and what was derived from it, and emits acts when a row is chosen.
//! `open_items` decides which items are open; which events exist is decided by the core.
//! No tracing is drawn here.

pub(crate) mod event_filter;
pub(crate) mod event_list;
pub(crate) mod item_list;
pub(crate) mod open_items;
pub(crate) mod rows;
