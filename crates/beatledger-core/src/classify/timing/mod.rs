//! When beats come: RR intervals, the local sinus interval, prematurity, runs, P waves and a second atrial
//! focus.
//!
//! Knows the places of the beats, what was unreadable, and the shapes (a P wave is looked for in the
//! tracing). QRS width, scores of clusters and the trees must not come in: what is early here is early by its
//! interval alone.

pub mod atrial_focus;
pub mod calibration;
pub mod first_guess;
pub mod irregular;
pub mod p_waves;
pub mod prematurity;
pub mod rr_intervals;
pub mod rr_runs;
pub mod run_extension;
pub mod running_means;
