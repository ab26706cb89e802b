//! Activity of the baseline against its usual activity: what tells a moving electrode from a heart that beats in
//! disorder.

use crate::detect::calibration::baseline_activity::{
    MIN_CLEARNESS, REACH_S, UNKNOWN, USUAL_EVERY_S, USUAL_REACH_S,
};
use crate::detect::envelope::Candidates;
use crate::model::Quality;
use crate::statistics::quantile;

/// By second, the activity of the stillest lead that shows beats, as a multiple of its usual activity.
pub fn activity_ratios(all: &Candidates, quality: &Quality, seconds: usize) -> Vec<f32> {
    let mut out = vec![UNKNOWN; seconds];
    for (l, activity) in all.activity.iter().enumerate() {
        let usual = usual_activity(activity);
        let is_readable =
            |s: usize| quality.leads.get(l).and_then(|q| q.kind.get(s)).is_some_and(|k| k.is_readable());
        let shows_beats =
            |s: usize| all.clearness.get(l).and_then(|c| c.get(s)).is_some_and(|c| *c >= MIN_CLEARNESS);
        // A search that was cancelled leaves fewer seconds.
        for (s, out) in out.iter_mut().enumerate().take(activity.len()) {
            let usual = usual[s / USUAL_EVERY_S];
            if usual > 0.0 && shows_beats(s) && is_readable(s) {
                let near = &activity[s.saturating_sub(REACH_S)..(s + REACH_S + 1).min(activity.len())];
                *out = out.min(quantile(near.iter().copied(), 0.5).unwrap_or(0.0) / usual);
            }
        }
    }
    out
}

/// The usual activity, measured at regular times: the median around each, and not more than that of the recording.
fn usual_activity(activity: &[f32]) -> Vec<f32> {
    let of_positive = |part: &[f32]| quantile(part.iter().copied().filter(|v| *v > 0.0), 0.5).unwrap_or(0.0);
    let of_recording = of_positive(activity);
    let near = |block: usize| {
        let from = (block * USUAL_EVERY_S).saturating_sub(USUAL_REACH_S);
        let to = ((block + 1) * USUAL_EVERY_S + USUAL_REACH_S).min(activity.len());
        of_positive(&activity[from..to]).min(of_recording)
    };
    (0..activity.len().div_ceil(USUAL_EVERY_S)).map(near).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{LeadQuality, SecondQuality};

    #[test]
    fn the_stillest_lead_that_shows_beats_tells_and_seconds_that_were_not_looked_at_are_not_still() {
        let lead = |from: usize| (0..610).map(|s| if s >= from { 40.0 } else { 10.0 }).collect::<Vec<f32>>();
        let all = Candidates {
            activity: vec![lead(500), lead(550), vec![0.1; 610]],
            clearness: vec![vec![0.9; 610], vec![0.9; 610], vec![0.0; 610]],
            ..Candidates::default()
        };
        let read = || LeadQuality { kind: vec![SecondQuality::Good; 900], score: vec![255; 900] };
        let quality = Quality { leads: vec![read(), read(), read()], ..Quality::default() };
        let ratios = activity_ratios(&all, &quality, 900);
        assert_eq!(ratios.len(), 900);
        assert_eq!(
            (ratios[520], ratios[600]),
            (1.0, 4.0),
            "one lead moves, both do; the third shows no beats"
        );
        assert_eq!(ratios[700], 9.0);
    }
}
