//! Tuned numbers that more than one part of the classification uses; each part has its own list beside it.

/// A second has this many milliseconds (definition).
pub const MS_PER_S: f64 = 1000.0;
/// A beat comes clearly early above this prematurity, as a share of the sinus interval (design choice).
pub const CLEARLY_EARLY: f32 = 0.12;
/// The weight of a similar shape falls as exp(-distance / this distance) (design choice).
pub const SIMILAR_DISTANCE: f32 = 0.12;
/// Beats are judged this many times, each time with a sinus interval free of what was found ectopic (design
/// choice).
pub const ROUNDS: usize = 3;
/// The QRS begins this far from the fiducial where none was measured, ms (common practice).
pub const USUAL_QRS_START_MS: f32 = -40.0;
/// A lead of full quality has this score (definition of the quality score).
pub const FULL_QUALITY: f32 = 255.0;
/// A sum of energies or weights starts from this value, so that a quotient of two exists (guard, no tuning).
pub const NO_ENERGY: f32 = 1e-9;
