//! Filtered samples to beat positions.

use crate::model::{Quality, Recording};
use crate::pipeline::Progress;
use crate::settings::Settings;

/// Where beats are.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Detected {
    /// Samples of the beats (R peak or main deflection), sorted, at the recording's rate.
    pub samples: Vec<i64>,
    /// Per lead: the main deflection looks upside down.
    pub looks_inverted: Vec<bool>,
    /// Quality revised in the light of the beats (a lead that shows none where others do), when it was.
    pub quality: Option<Quality>,
}

/// Finds the beats on all leads together.
pub fn detect(
    _recording: &Recording,
    _quality: &Quality,
    _settings: &Settings,
    _progress: &Progress,
) -> Detected {
    Detected::default()
}
