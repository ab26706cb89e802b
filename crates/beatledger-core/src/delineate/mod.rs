//! Beats to P, QRS and T limits.

use crate::model::{Quality, Recording, Waves};
use crate::pipeline::Progress;
use crate::settings::Settings;

/// Wave limits of every beat in `samples`.
pub fn delineate(
    _recording: &Recording,
    _quality: &Quality,
    _settings: &Settings,
    samples: &[i64],
    _progress: &Progress,
) -> Vec<Waves> {
    vec![Waves::default(); samples.len()]
}

/// Wave limits of one beat, for a beat that a reader placed.
pub fn one(_recording: &Recording, _settings: &Settings, _sample: i64) -> Waves {
    Waves::default()
}
