//! Beats too many by timing: a burst of noise goes, an ectopic beat of strange shape stays.

use rayon::prelude::*;

use super::alike::{likeness, likenesses};
use super::candidates::Candidates;
use super::choose::{AT_LEAST, share, usual_interval};

/// A candidate this far up is a beat whatever it looks like.
const SURE_SHARE: f32 = 0.8;
/// Where beats stand out more clearly than this the tracing is calm, and less will do
const CALM: f32 = 0.6;
/// by this much for each step of clearness,
const CALM_GAIN: f32 = 2.0;
/// but never less than this,
const LEAST_SURE: f32 = 0.45;
/// nor nearer than this to another beat, s: ventricles are refractory for 0.2 to 0.29 s (common practice),
const REST_S: f64 = 0.3;
/// nor where other leads that show beats show less than this share of one.
const SHOWN: f32 = 0.35;
/// A beat less alike than this to its neighbours is a stranger.
const STRANGE: f32 = 0.85;
/// Strangers to either side among which a strange shape is looked for.
const RECALL: usize = 60;
/// How alike two strangers are that are of one kind.
const RECALL_ALIKE: f32 = 0.88;

/// Leaves out what looks like no beat nearby and comes between two beats that are one usual interval apart:
/// a burst of noise. An ectopic beat of strange shape is kept by its size, by the pause after it, or because
/// its shape comes again. Returns the beats that stay and how alike each is to its neighbours.
pub(super) fn without_extras(all: &Candidates, beats: &[usize], rate_hz: f64) -> (Vec<usize>, Vec<f32>) {
    let places = &all.places;
    let alike = likenesses(all, beats);
    let recurs = recurring(all, beats, &alike);
    let around = (0..beats.len()).into_par_iter().with_min_len(AT_LEAST);
    let usual: Vec<f64> = around.map(|k| usual_interval(places, beats, k, rate_hz)).collect();
    let mut kept: Vec<usize> = Vec::with_capacity(beats.len());
    let mut kept_alike: Vec<f32> = Vec::with_capacity(beats.len());
    for (k, beat) in beats.iter().enumerate() {
        let usual = usual[k];
        let step = places[*beat].step;
        let before = kept.last().map_or(usual, |b| (step - places[*b].step) as f64);
        let after = beats.get(k + 1).map_or(usual, |b| (places[*b].step - step) as f64);
        let share = share(&places[*beat]);
        let sure = sure_share(all, *beat, before.min(after) / rate_hz);
        let (enough_alike, enough_share) = match (before + after) / usual {
            t if t < 1.4 => (0.85 - 0.5 * (share - 0.35).max(0.0), sure),
            t if t < 1.65 => (0.6, sure.min(0.55)),
            _ => (0.3, 0.42),
        };
        if share > enough_share || alike[k] >= enough_alike || recurs(*beat) {
            kept.push(*beat);
            kept_alike.push(alike[k]);
        }
    }
    (kept, kept_alike)
}

/// How far up a candidate that is `near_s` from the nearest beat has to be, to be a beat by that alone.
fn sure_share(all: &Candidates, beat: usize, near_s: f64) -> f32 {
    let shown = all.marks.get(beat).is_none_or(|m| m.second >= SHOWN);
    if near_s <= REST_S || !shown {
        return SURE_SHARE;
    }
    (SURE_SHARE - CALM_GAIN * (all.places[beat].clearness - CALM).max(0.0)).max(LEAST_SURE)
}

/// Tells of a beat whether its shape, strange among its neighbours, comes again at least twice.
fn recurring(all: &Candidates, beats: &[usize], alike: &[f32]) -> impl Fn(usize) -> bool {
    let strangers: Vec<usize> = (0..beats.len()).filter(|k| alike[*k] < STRANGE).map(|k| beats[k]).collect();
    let comes_again: Vec<bool> = (0..strangers.len())
        .into_par_iter()
        .map(|k| {
            let around = k.saturating_sub(RECALL)..(k + RECALL + 1).min(strangers.len());
            let again =
                around.filter(|o| *o != k && likeness(all, strangers[*o], strangers[k]) >= RECALL_ALIKE);
            again.take(2).count() == 2
        })
        .collect();
    move |beat| strangers.binary_search(&beat).is_ok_and(|s| comes_again[s])
}
