//! Begin and end of the QRS complex from the speed of change.

use super::calibration::{
    QRS_AFTER_MS, QRS_BEFORE_MS, QRS_MOST_SHARE, QRS_OFF_SHARE, QRS_ON_SHARE, QRS_STAY_MS, QRS_STEEPEST_MS,
};
use super::window::Window;

/// Limits of a QRS complex, indices into the window.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Limits {
    /// First sample of the complex.
    pub on: usize,
    /// First sample after the complex.
    pub off: usize,
}

/// Limits of the complex at the window's beat; `None` when nothing moves there.
pub(super) fn limits(w: &Window) -> Option<Limits> {
    let near = w.samples(QRS_STEEPEST_MS);
    let n = w.speed.len();
    let (from, to) = (w.beat.checked_sub(near)?, (w.beat + near).min(n));
    let steepest = (from..to).max_by(|a, b| w.speed[*a].total_cmp(&w.speed[*b]))?;
    let peak = w.speed[steepest];
    if peak <= 0.0 {
        return None;
    }
    let rest = rest_speed(w);
    let stay = w.samples(QRS_STAY_MS).max(2);
    let first = w.beat.saturating_sub(w.samples(QRS_BEFORE_MS));
    let last = (w.beat + w.samples(QRS_AFTER_MS)).min(n.saturating_sub(stay + 1));
    let low_on = (QRS_ON_SHARE * peak).max(2.0 * rest).min(QRS_MOST_SHARE * peak);
    let low_off = (QRS_OFF_SHARE * peak).max(2.0 * rest).min(QRS_MOST_SHARE * peak);
    let left = steepest.min(w.beat);
    let right = steepest.max(w.beat);
    let low_before =
        |stay: usize| (first..left).rev().find(|i| (i.saturating_sub(stay)..*i).all(|k| w.speed[k] < low_on));
    let low_after = |stay: usize| (right + 1..last).find(|i| (*i..i + stay).all(|k| w.speed[k] < low_off));
    // A P wave that runs into the complex leaves a short dip only.
    let on = low_before(stay).or_else(|| low_before(stay / 3));
    let off = low_after(stay).or_else(|| low_after(stay / 3));
    Some(Limits { on: on.unwrap_or(first), off: off.unwrap_or(last) })
}

/// Speed where nothing happens: a low quantile over the window.
fn rest_speed(w: &Window) -> f32 {
    let mut all: Vec<f32> = w.speed.iter().copied().step_by(3).collect();
    let at = all.len() / 5;
    if all.is_empty() { 0.0 } else { *all.select_nth_unstable_by(at, f32::total_cmp).1 }
}
