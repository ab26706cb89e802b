//! Tools of drawing that all views share: kept pictures, the line of words above a view, focus, theme, fonts, wording.
//!
//! The files here know egui, the selection, and as much of a snapshot as decides whether a picture is still good.
//! They emit no act and keep no state of a view.
//! Whatever only one view draws stays with that view.

pub mod canvas;
pub mod focus;
pub mod fonts;
pub mod headline;
pub mod picture_keys;
pub mod theme;
pub mod words;
