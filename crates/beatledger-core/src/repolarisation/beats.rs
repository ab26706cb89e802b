//! The beats that are measured, with what is known of them.

use crate::model::{BeatClass, Recording, Waves};
use crate::settings::Settings;

/// The beats that are measured.
pub(super) struct Beats<'a> {
    /// The recording.
    pub recording: &'a Recording,
    /// Settings in force.
    pub settings: &'a Settings,
    /// Samples of the beats, rising.
    pub samples: &'a [i64],
    /// Their classes.
    pub classes: &'a [BeatClass],
    /// Their wave limits.
    pub waves: &'a [Waves],
}
