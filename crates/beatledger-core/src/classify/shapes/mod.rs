//! What beats look like: the shape of every beat, clusters of shapes that are the same, and numbers that
//! describe one.
//!
//! Knows samples, lead quality and the places of the beats. Intervals, wave limits and beat classes must not
//! come in: two beats of one shape are the same here, whenever they come and whatever they are called.

pub mod calibration;
pub mod cluster;
pub mod descriptors;
pub mod distance;
pub mod fusion;
mod running_sums;
pub mod shape;
