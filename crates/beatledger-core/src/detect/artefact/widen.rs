//! Stretches of noise: short holes are closed, short stretches dropped, and the others widened to either side up to
//! where the tracing is calm again.

use super::complexes::{Complexes, interval_change};
use crate::detect::calibration::baseline_activity::AT_REST_BELOW;
use crate::detect::calibration::disorder::{CLOSED_HOLE_S, DISSIMILAR_BELOW};
use crate::detect::calibration::motion::{OUT_OF_STEP_CHANGE, STILL_MOVING, WIDEN_BEYOND_S, WIDEN_S};
use crate::model::{Recording, Span};

/// Seconds that have not grown and whose beats are similar and in step, and those at rest between beats.
pub fn calm_seconds(
    recording: &Recording,
    complexes: &Complexes<'_>,
    growth: &[f32],
    activity: &[f32],
) -> Vec<bool> {
    let middles = complexes.middles;
    let mut calm: Vec<bool> = growth.iter().map(|g| *g <= STILL_MOVING).collect();
    for (k, middle) in middles.iter().enumerate().skip(1) {
        let next = middles.get(k + 1).copied().unwrap_or(2 * middle - middles[k - 1]);
        let is_in_step = interval_change(middle - middles[k - 1], next - middle) < OUT_OF_STEP_CHANGE;
        let second = recording.rate.seconds_from_samples(*middle).max(0.0) as usize;
        if (!is_in_step || complexes.similarity[k] < DISSIMILAR_BELOW) && second < calm.len() {
            calm[second] = false;
        }
    }
    calm.iter_mut().zip(activity).for_each(|(calm, activity)| *calm |= *activity < AT_REST_BELOW);
    calm
}

/// Widens each run to either side until two calm seconds follow each other, little beyond the last second that has
/// grown, and over the short hole between two runs.
pub fn widen(marked: &mut [bool], calm: &[bool], growth: &[f32]) {
    let n = marked.len();
    let before = marked.to_vec();
    let is_calm = |s: usize| calm[s] && !before[s];
    let is_moving = |s: usize| growth[s] > STILL_MOVING;
    for s in (0..n).filter(|s| before[*s]) {
        let is_end = s + 1 < n && !before[s + 1];
        if is_end {
            let calm_from = (s + 1..n).find(|k| is_calm(*k) && (k + 1 == n || is_calm(k + 1))).unwrap_or(n);
            let moving_to =
                (s + 1..calm_from).take(WIDEN_S).rev().find(|k| is_moving(*k)).map_or(s + 1, |k| k + 1);
            marked[s..calm_from.min(moving_to + WIDEN_BEYOND_S)].fill(true);
        }
        let is_start = s > 0 && !before[s - 1];
        if is_start {
            let calm_to =
                (0..s).rev().find(|k| is_calm(*k) && (*k == 0 || is_calm(k - 1))).map_or(0, |k| k + 1);
            let moving_from =
                (calm_to.max(s.saturating_sub(WIDEN_S))..s).find(|k| is_moving(*k)).unwrap_or(s);
            marked[calm_to.max(moving_from.saturating_sub(WIDEN_BEYOND_S))..s].fill(true);
        }
    }
    keep_runs(marked, CLOSED_HOLE_S, 1);
}

/// Closes holes of up to `hole` seconds in `marked`, then clears runs shorter than `least` seconds.
pub fn keep_runs(marked: &mut [bool], hole: i64, least: usize) {
    let on = |s: usize| Span::new(s as i64, s as i64 + 1);
    let spans = (0..marked.len()).filter(|s| marked[*s]).map(on).collect();
    let runs = Span::merged(spans, hole);
    marked.fill(false);
    for run in runs.iter().filter(|r| r.len() >= least as i64) {
        marked[run.start as usize..run.end as usize].fill(true);
    }
}
