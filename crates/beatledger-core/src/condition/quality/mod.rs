//! Quality of every lead and second from the samples alone, before any beat is known.
//!
//! A second of a lead is, in this order:
//! - missing, when half of its samples are;
//! - railed, when a fifth of its samples stand at the limits of the recorder;
//! - flat, when it stays below `flat_mv` peak to peak and lies in a stretch of such seconds that is no pause
//!   of the heart: one stuck at a value, or without the noise that the lead usually has between beats, for
//!   2 s, or any of 10 s and more. A pause of the heart keeps the usual noise of its electrode;
//! - unreadable, when it is far beyond the lead's usual size, or muscle noise is as large as its beats;
//! - noisy or good, by the ratio of noise to beats.
//!
//! Motion that imitates beats cannot be told here, because that needs the beats.

mod judge;
mod measures;

use rayon::prelude::*;

use self::judge::judge;
use self::measures::{Measures, measure_block};
use super::band::Band;
use super::calibration::{BLOCK_S, BRIEF_S, ISLAND_S};
use super::seconds::{sample_of_second, seconds_in};
use crate::model::{LeadQuality, Progress, Quality, Recording, Span};
use crate::settings::Settings;

/// Quality of every lead and second, and unreadable time.
pub fn quality(recording: &Recording, settings: &Settings, progress: &Progress) -> Quality {
    let seconds = seconds_in(recording);
    let blocks = (seconds as i64 + BLOCK_S - 1) / BLOCK_S;
    let jobs: Vec<(usize, i64)> =
        (0..recording.leads.len()).flat_map(|l| (0..blocks).map(move |b| (l, b))).collect();
    let band = Band::new(recording.rate.hz());
    let done = std::sync::atomic::AtomicUsize::new(0);
    let measured: Vec<Vec<Measures>> = jobs
        .par_iter()
        .map(|(lead, block)| {
            if progress.is_cancelled() {
                return vec![Measures::default(); BLOCK_S as usize];
            }
            let out = measure_block(recording, &band, *lead, block * BLOCK_S);
            progress.set(1 + done.fetch_add(1, std::sync::atomic::Ordering::Relaxed), jobs.len());
            out
        })
        .collect();
    let blocks = blocks as usize;
    let leads = (0..recording.leads.len())
        .map(|l| {
            let parts = &measured[l * blocks..(l + 1) * blocks];
            judge(&parts.concat().into_iter().take(seconds).collect::<Vec<Measures>>(), settings)
        })
        .collect();
    let mut quality = Quality { leads, unreadable: Vec::new() };
    quality.unreadable = unreadable_spans(recording, &quality.leads);
    quality
}

/// Stretches in which no lead is readable.
pub(crate) fn unreadable_spans(recording: &Recording, leads: &[LeadQuality]) -> Vec<Span> {
    let seconds = seconds_in(recording);
    let spans = (0..seconds)
        .filter(|s| !leads.iter().any(|l| l.kind.get(*s).is_some_and(|k| k.is_readable())))
        .map(|s| {
            let end = sample_of_second(recording, s as i64 + 1).min(recording.samples);
            Span::new(sample_of_second(recording, s as i64), end)
        })
        .collect();
    let island = recording.rate.samples_from_seconds(ISLAND_S);
    let brief = recording.rate.samples_from_seconds(BRIEF_S);
    let mut spans = Span::merged(spans, 0);
    spans.retain(|s| s.len() > brief || recording.samples <= brief);
    Span::merged(spans, island)
}
