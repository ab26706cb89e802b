//! Filtered samples to beat positions.
//!
//! Four steps follow each other: `envelope` finds candidates on all leads together, `select` tells which of them are
//! beats, `spikes` takes out what no heart makes, and `artefact` tells which of the time is noise.
//! Then `fiducial` gives each beat its sample, and `polarity` names leads that look inverted.
//! This stage knows the recording and its quality; classes, wave limits and rhythms must not come in.

mod artefact;
mod calibration;
mod envelope;
mod fiducial;
mod lead_choice;
mod polarity;
mod select;
mod spikes;
#[cfg(test)]
mod tests;

use crate::condition::band::Band;
use crate::condition::seconds::seconds_in;
use crate::model::{MS_PER_SECOND, Progress, Quality, Recording, Span};
use crate::settings::Settings;

pub(crate) use self::lead_choice::{lead_order, readable_lead};

/// Where beats are.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Detected {
    /// Samples of the beats (R peak or main deflection), sorted, at the recording's rate.
    pub samples: Vec<i64>,
    /// Per lead: QRS, P and T look inverted.
    pub looks_inverted: Vec<bool>,
    /// Per second: how many times higher the tracing is than usual, on the lead where it is least so.
    pub growth: Vec<f32>,
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
    let mut all = envelope::candidates(recording, quality, &band, progress);
    let refractory_s = settings.refractory_ms / MS_PER_SECOND;
    let middles_of = |all: &envelope::Candidates, selection: &select::Selection| -> Vec<i64> {
        selection.beats.iter().map(|i| all.places[*i].step * band.step + band.step / 2).collect()
    };
    let mut selection = select::select(&all, band.rate_hz, refractory_s);
    let mut middles = middles_of(&all, &selection);
    let spikes = spikes::spikes(recording, quality, &middles);
    if !spikes.is_empty() {
        let places: Vec<usize> = spikes.iter().map(|i| selection.beats[*i]).collect();
        all.remove(&places);
        selection = select::select(&all, band.rate_hz, refractory_s);
        middles = middles_of(&all, &selection);
    }
    let complexes = artefact::Complexes { middles: &middles, similarity: &selection.similarity };
    let revised = artefact::revised_quality(recording, quality, &all, &complexes);
    let unreadable = &revised.unreadable;
    let readable: Vec<i64> = middles.iter().copied().filter(|m| !is_inside(unreadable, *m)).collect();
    let order = lead_order(&revised, recording.leads.len());
    let mut samples = fiducial::main_deflections(recording, &revised, &order, &readable);
    samples.sort_unstable();
    samples.dedup();
    samples.retain(|s| recording.whole().contains(*s) && !is_inside(unreadable, *s));
    let looks_inverted = polarity::looks_inverted(recording, &samples);
    let growth = artefact::growth(&all, seconds_in(recording));
    Detected { samples, looks_inverted, growth, quality: Some(revised) }
}

/// Whether a sample lies in one of the `sorted` stretches.
fn is_inside(sorted: &[Span], sample: i64) -> bool {
    let next = sorted.partition_point(|s| s.end <= sample);
    sorted.get(next).is_some_and(|s| s.contains(sample))
}
