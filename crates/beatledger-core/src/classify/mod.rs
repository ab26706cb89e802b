//! Beats to N S V F Q, with evidence and a confidence.

use crate::model::{BeatClass, Evidence, Quality, Recording, Waves};
use crate::pipeline::Progress;
use crate::settings::Settings;

/// A label for every beat, as parallel columns.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Labels {
    /// Class of each beat.
    pub classes: Vec<BeatClass>,
    /// Confidence in it, 0 to 1.
    pub confidences: Vec<f32>,
    /// Why.
    pub evidence: Vec<Evidence>,
    /// Shape cluster of each beat: same number, same shape.
    pub shapes: Vec<u32>,
}

/// Labels every beat in `samples`.
pub fn classify(
    _recording: &Recording,
    _quality: &Quality,
    _settings: &Settings,
    samples: &[i64],
    _waves: &[Waves],
    _progress: &Progress,
) -> Labels {
    let n = samples.len();
    Labels {
        classes: vec![BeatClass::N; n],
        confidences: vec![0.0; n],
        evidence: vec![Evidence::default(); n],
        shapes: vec![0; n],
    }
}
