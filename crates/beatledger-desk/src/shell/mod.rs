//! What always stands around the stage: identity line, stage bar, lines above the stage, splitter, bottom line.
//!
//! `layout` places every part of the window; `view_context` is all that a view may read and add to.
//! The files here know every view by its one drawing function, and none of its insides.
//! They emit acts and change no fact of the day.

pub(crate) mod bottom_line;
pub(crate) mod day_views;
pub(crate) mod identity;
pub(crate) mod layout;
pub(crate) mod lines;
pub(crate) mod over_stage;
pub(crate) mod panels;
pub(crate) mod preview;
pub(crate) mod splitter;
pub mod stage;
pub(crate) mod stage_bar;
pub mod view_context;
