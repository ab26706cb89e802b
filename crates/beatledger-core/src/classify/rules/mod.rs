//! What rules make of clusters and beats: the dominant shape, scores, fusion, aberrancy, pacing.
//!
//! Knows shapes, timing and QRS widths.
//! Features and trees must not come in: the trees start from the rule score, never the other way round.

pub mod aberrancy;
pub mod beat_facts;
pub mod calibration;
pub mod cluster_score;
mod dominant;
pub mod pacing;
pub mod rule_score;
