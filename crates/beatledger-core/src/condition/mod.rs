//! Samples to filtered samples, and quality per lead and second.

use crate::model::{Quality, Recording, Span};
use crate::pipeline::Progress;
use crate::settings::Settings;

/// Quality of every lead and second, and unreadable time.
pub fn quality(_recording: &Recording, _settings: &Settings, _progress: &Progress) -> Quality {
    Quality::default()
}

/// One lead of `span` as it is drawn and measured: millivolts, zero-phase filtered by `highpass_hz`,
/// `lowpass_hz` and `mains_hz`; NaN where samples are missing. `out` gets exactly `span.len()` values, and
/// each value depends on the recording alone, not on where the span starts.
pub fn display_mv(recording: &Recording, lead: usize, span: Span, _settings: &Settings, out: &mut Vec<f32>) {
    recording.leads[lead].read_mv(span, out);
}
