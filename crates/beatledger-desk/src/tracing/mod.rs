//! Views of the tracing itself: the whole day, the day in rows, and the selection on paper scale.
//!
//! `pyramid` holds least and greatest values of longer and longer stretches, so that a row is drawn in time.
//! `pick` turns a click or a drag on tracing into a selection.
//! The files here read the snapshot and its samples and emit acts.
//! They know nothing of sheets and lists, and of commands only the names on their switches.

pub mod band;
pub mod lens;
pub mod pick;
pub mod pyramid;
pub mod strip;
