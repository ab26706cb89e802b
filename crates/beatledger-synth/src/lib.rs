//! Day-long recordings with known truth, made from a rhythm script and a seed.
//!
//! [`make`] turns a [`Request`] into a [`Made`]: a recording in memory and what is truly in it, beat by beat.
//! [`write()`] puts both into open-standard files. Nothing is measured from anybody: the person, the diary and
//! every beat are invented.
//!
//! How a day is made, in the order of the modules:
//! a `script` of what happens when -> a `course` of the sinus rate -> a `walk` that places beat after beat ->
//! waves as Gaussian `form`s of a three-dimensional dipole, seen by the `leads` -> `render` with `noise` and
//! `motion` -> integers. The `truth` is noted by the walk itself and counted by `count`.
//!
//! The same request gives the same bytes, on one thread or many: samples are made in fixed blocks, every random
//! stream is keyed by seed, purpose and place, and `maths` uses only operations that IEEE 754 rounds exactly.

mod annotate;
mod count;
mod course;
mod form;
mod leads;
mod make;
mod maths;
mod motion;
mod noise;
mod others;
mod plan;
mod random;
mod render;
mod request;
mod script;
mod truth;
mod truth_file;
mod walk;
mod walk_items;
mod write;

pub use make::{Made, make};
pub use request::{BadRequest, Request, Scenario};
pub use truth::{BeatKind, Truth, TruthBeat, TruthEvent, TruthFigure, TruthLimits};
pub use write::{WriteError, Written, write};
