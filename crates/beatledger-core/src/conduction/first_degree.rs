//! First-degree AV block: PR of the averaged beat above its limit.

use super::calibration::{FEWEST_PR_BEATS, FEWEST_PR_WINDOWS, LONG_PR_MS};
use crate::model::{Averaged, Recording, Span};

/// Stretches of five minutes whose averaged beat has a long PR, neighbours joined.
pub(super) fn first_degree(recording: &Recording, averaged: &[Averaged]) -> Vec<Span> {
    let length = recording.rate.samples_from_seconds(Averaged::WINDOW_S).max(1);
    let is_long = |a: &&Averaged| {
        let pr_ms = a.waves.pr_samples().map(|s| recording.rate.ms_from_samples(s));
        a.beats >= FEWEST_PR_BEATS && pr_ms.is_some_and(|ms| ms > LONG_PR_MS)
    };
    let span = |a: &Averaged| {
        let start = i64::from(a.window) * length;
        Span::new(start, start + length).overlap(recording.whole())
    };
    let mut out = Span::merged(averaged.iter().filter(is_long).map(span).collect(), 0);
    // In a recording of one window that one is all there is.
    out.retain(|s| s.len() > (FEWEST_PR_WINDOWS - 1) * length || s.len() == recording.samples);
    out
}
