//! Views of beats without their place in the day: by shape in the grid, by interval in the scatter.
//!
//! `why` says in words what the program measured of one beat and who gave its label.
//! The files here read the snapshot and emit acts; they know nothing of sheets, lists and commands.
//! Labels are decided in the core and by readers, not here.

pub mod grid;
pub mod scatter;
pub(crate) mod why;
