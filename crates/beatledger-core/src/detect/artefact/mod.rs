//! Quality in the light of the beats: disorder that is noise is unreadable, and a lead without beats is not trusted.
//!
//! This folder knows the selected beats, the candidates' measures by second, and the quality from the samples alone.
//! It reads no samples and changes no beat: beats in unreadable time are left out by the caller.

mod activity_ratio;
mod complexes;
mod disorder;
mod motion;
#[cfg(test)]
mod tests;
mod widen;

use crate::condition::quality::unreadable_spans;
use crate::condition::seconds::seconds_in;
use crate::detect::calibration::lead_quality::{
    BEATS_ABOVE, NO_BEATS_BELOW, NOISY_BELOW, SCORE_FACTOR, SCORE_FACTOR_GAIN, UNREADABLE_MAX_SCORE,
};
use crate::detect::envelope::Candidates;
use crate::model::{Quality, Recording, SecondQuality};

pub use self::complexes::Complexes;
pub use self::motion::growth;

/// Quality with kinds and scores lowered where the beats speak against them.
pub fn revised_quality(
    recording: &Recording,
    quality: &Quality,
    all: &Candidates,
    complexes: &Complexes<'_>,
) -> Quality {
    let mut revised = quality.clone();
    let is_disorder = disorder::disorder(recording, quality, all, complexes);
    for s in 0..seconds_in(recording) {
        let clearness = |l: usize| all.clearness.get(l).and_then(|c| c.get(s)).copied().unwrap_or(0.0);
        let clearest = (0..revised.leads.len()).map(clearness).fold(0.0, f32::max);
        for (l, lead) in revised.leads.iter_mut().enumerate() {
            let (Some(kind), Some(score)) = (lead.kind.get_mut(s), lead.score.get_mut(s)) else { continue };
            if !kind.is_readable() {
                continue;
            }
            let clearness = clearness(l);
            if is_disorder[s] || (clearness < NO_BEATS_BELOW && clearest > BEATS_ABOVE) {
                *kind = SecondQuality::Unreadable;
            } else if clearness < NOISY_BELOW {
                *kind = SecondQuality::Noisy;
            }
            let is_unreadable = *kind == SecondQuality::Unreadable;
            let most = if is_unreadable { UNREADABLE_MAX_SCORE } else { f32::from(u8::MAX) };
            let factor = SCORE_FACTOR + SCORE_FACTOR_GAIN * clearness;
            *score = (f32::from(*score) * factor).min(most) as u8;
        }
    }
    revised.unreadable = unreadable_spans(recording, &revised.leads);
    revised
}
