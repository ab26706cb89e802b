//! What the labels were decided from, for training.

use super::features::row::FeatureRow;
use super::labels::Labels;
use crate::model::BeatClass;

/// Labels and what they were decided from.
#[derive(Clone, Debug, Default)]
pub struct Study {
    /// The classes and what goes with them.
    pub labels: Labels,
    /// Features of the beats that the trees look at; `None` for all others.
    pub rows: Vec<Option<Box<FeatureRow>>>,
    /// Classes by rules alone.
    pub rules: Vec<BeatClass>,
    /// Ventricular score of each beat.
    pub ventricular: Vec<f32>,
}
