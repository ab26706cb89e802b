//! Beats to P, QRS and T limits.
//!
//! QRS limits come from the speed of change of all readable leads together (spatial velocity, as in
//! multi-lead vectorcardiographic delineation): a complex begins and ends where the speed falls to a small
//! share of its peak (`qrs`). The end of T is where a trapezium under its far limb is largest (`t_wave`); that
//! of an averaged beat is believed where leads and methods agree (`agreement`). P is the most prominent deflection before the QRS complex
//! (`p_wave`). Knows the samples, their quality and the places of the beats; no class of any beat.

mod agreement;
mod average;
mod calibration;
mod lead_order;
mod level;
mod limits;
mod p_wave;
mod qrs;
mod t_wave;
#[cfg(test)]
mod tests;
mod window;

pub use average::{Labelled, averages};
use rayon::prelude::*;

use crate::detect::readable_lead;
use crate::model::{Progress, Quality, Recording, Waves};
use calibration::LEAST_QUALITY_SHARE_AT_BEAT;
use limits::limits_of;
use window::Window;

/// Beats measured between two looks at the progress.
const CHUNK: usize = 512;

/// Wave limits of every beat in `samples` (sorted), in the same order.
pub fn delineate(
    recording: &Recording,
    quality: &Quality,
    samples: &[i64],
    progress: &Progress,
) -> Vec<Waves> {
    let order = lead_order::by_waves(recording, quality, samples);
    let done = std::sync::atomic::AtomicUsize::new(0);
    let chunks = samples.len().div_ceil(CHUNK);
    let parts: Vec<Vec<Waves>> = samples
        .par_chunks(CHUNK)
        .enumerate()
        .map(|(chunk, part)| {
            if progress.is_cancelled() {
                return vec![Waves::default(); part.len()];
            }
            let mut window = Window::default();
            let waves = (0..part.len())
                .map(|k| {
                    let i = chunk * CHUNK + k;
                    let before = i.checked_sub(1).map(|b| samples[b]);
                    let leads = readable_leads(recording, quality, &order, samples[i]);
                    window.read(recording, &leads, samples[i], before, samples.get(i + 1).copied());
                    limits_of(&window)
                })
                .collect();
            progress.set(1 + done.fetch_add(1, std::sync::atomic::Ordering::Relaxed), chunks);
            waves
        })
        .collect();
    parts.concat()
}

/// Wave limits of one beat, for a beat that a reader placed; its neighbours are not known, so P and T are
/// looked for in the usual places of a rate of 75 bpm.
pub fn one(recording: &Recording, sample: i64) -> Waves {
    let mut window = Window::default();
    let leads: Vec<usize> = (0..recording.leads.len()).collect();
    window.read(recording, &leads, sample, None, None);
    limits_of(&window)
}

/// Leads that can be read at `sample`. First comes the one for P and T: of those that are not much worse there than
/// the clearest, the one that shows them best. Without any, the first of `order` alone.
fn readable_leads(recording: &Recording, quality: &Quality, order: &[usize], sample: i64) -> Vec<usize> {
    let second = recording.rate.seconds_from_samples(sample).max(0.0) as usize;
    let readable =
        |l: &usize| quality.leads.get(*l).and_then(|q| q.kind.get(second)).is_none_or(|k| k.is_readable());
    let score = |l: &usize| quality.leads.get(*l).and_then(|q| q.score.get(second)).map_or(255, |s| *s);
    let mut out: Vec<usize> = order.iter().copied().filter(readable).collect();
    let best = out.iter().map(score).max().unwrap_or(0);
    let fair = |l: &usize| f32::from(score(l)) >= LEAST_QUALITY_SHARE_AT_BEAT * f32::from(best);
    match out.iter().position(fair) {
        Some(first) => out[..=first].rotate_right(1),
        None => out.push(readable_lead(recording, quality, order, sample)),
    }
    out
}
