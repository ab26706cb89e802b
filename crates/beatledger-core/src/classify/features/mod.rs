//! The features of one beat that the trees look at: ratios, shares, distances and milliseconds.
//!
//! Knows shapes, timing, wave limits and what the rules made of them; [`schema`] is the one list of features.
//! Trees and final classes must not come in, nor anything that depends on the gain, on lead names or on the
//! number of leads.

pub mod beat_context;
mod beat_timing;
pub mod calibration;
pub mod cluster_stats;
mod clusters;
pub mod day_stats;
pub mod fill;
pub mod inputs;
mod morphology;
mod neighbours;
pub mod row;
pub mod schema;
mod waves;
