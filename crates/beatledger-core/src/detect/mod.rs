//! Filtered samples to beat positions.
//!
//! All leads are brought to one common envelope of the QRS band, each by its own usual beat and weighted by
//! how clearly beats stand out on it just then. Peaks of that envelope are candidates: clear ones are beats,
//! doubtful ones are beats when shape and timing speak for them. Polarity and lead names play no part.

mod alike;
mod block;
mod candidates;
mod choose;
#[cfg(test)]
mod choose_tests;
mod extras;
mod levels;
mod marks;
mod place;
mod revise;
#[cfg(test)]
mod revise_tests;
mod second;
#[cfg(test)]
mod second_tests;
mod stir;
#[cfg(test)]
mod tests;
mod upside;

use crate::condition::band::Band;
use crate::model::{Progress, Quality, Recording, Span};
use crate::settings::Settings;

pub(crate) use place::readable_lead;

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
    recording: &Recording,
    quality: &Quality,
    settings: &Settings,
    progress: &Progress,
) -> Detected {
    if recording.leads.is_empty() || recording.samples <= 0 {
        return Detected::default();
    }
    let band = Band::new(recording.rate.hz());
    let all = candidates::candidates(recording, quality, &band, progress);
    let refractory_s = settings.refractory_ms / 1000.0;
    let chosen = choose::choose(&all, band.rate_hz, refractory_s);
    let middles: Vec<i64> =
        chosen.beats.iter().map(|i| all.places[*i].step * band.step + band.step / 2).collect();
    let found = revise::Found { middles: &middles, likeness: &chosen.likeness };
    let revised = revise::revise(recording, quality, &all, &found);
    let unreadable = &revised.unreadable;
    let readable: Vec<i64> = middles.iter().copied().filter(|m| !is_inside(unreadable, *m)).collect();
    let order = lead_order(&revised, recording.leads.len());
    let mut samples = place::place(recording, &revised, &order, &readable);
    samples.sort_unstable();
    samples.dedup();
    samples.retain(|s| recording.whole().contains(*s) && !is_inside(unreadable, *s));
    let looks_inverted = upside::looks_inverted(recording, &samples);
    Detected { samples, looks_inverted, quality: Some(revised) }
}

fn is_inside(sorted: &[Span], sample: i64) -> bool {
    let next = sorted.partition_point(|s| s.end <= sample);
    sorted.get(next).is_some_and(|s| s.contains(sample))
}

/// Leads, clearest first, by the sum of their scores.
pub(crate) fn lead_order(quality: &Quality, leads: usize) -> Vec<usize> {
    let sum =
        |l: usize| quality.leads.get(l).map_or(0, |q| q.score.iter().map(|s| u64::from(*s)).sum::<u64>());
    let mut order: Vec<usize> = (0..leads).collect();
    order.sort_by_key(|l| (std::cmp::Reverse(sum(*l)), *l));
    order
}
