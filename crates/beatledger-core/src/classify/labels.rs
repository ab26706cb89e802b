//! What the classification gives: a label for every beat.

use crate::model::{BeatClass, Evidence};

/// A label for every beat, as parallel columns.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Labels {
    /// Class of each beat.
    pub classes: Vec<BeatClass>,
    /// Confidence in it, 0 to 1.
    pub confidences: Vec<f32>,
    /// Why.
    pub evidence: Vec<Evidence>,
    /// Shape cluster of each beat: same number, same shape; larger clusters have smaller numbers.
    pub shapes: Vec<u32>,
}
