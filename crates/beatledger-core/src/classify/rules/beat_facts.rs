//! What is known of every beat before it gets a class.

use crate::classify::shapes::cluster::Cluster;
use crate::classify::timing::prematurity::BeatTiming;

/// What is known of every beat before it gets a class; one element a beat where nothing else is said.
pub struct BeatFacts<'a> {
    /// Timing.
    pub timings: &'a [BeatTiming],
    /// QRS width, ms.
    pub width_ms: &'a [Option<f32>],
    /// How clear a P wave stands before it, 0 to 1.
    pub p_before: &'a [Option<f32>],
    /// Cluster of each beat.
    pub member_of: &'a [u32],
    /// The clusters, largest first.
    pub clusters: &'a [Cluster],
    /// Signal quality at each beat on its best lead, 0 to 1.
    pub quality: &'a [f32],
    /// Number of leads.
    pub leads: usize,
}
