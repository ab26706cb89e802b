//! The P wave: the most prominent deflection before the QRS complex on the best lead.

use super::calibration::{
    INVERTED_P_SHARE, LEAST_P_MV, NOISE_FACTOR, P_FALL_SHARE, P_GAP_MS, P_LEVEL_SHARE, P_LIMB_MS,
    P_LIMB_SHARE, P_REACH_MS, P_REACH_SHARE_OF_RR, P_ROOM_MS, P_SIDE_MS, T_SHARE_OF_RR,
};
use super::level::level_before;
use super::qrs::Limits;
use super::window::Window;

/// A P wave: indices into the window.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct PWave {
    /// Where it begins.
    pub on: usize,
    /// Its peak.
    pub peak: usize,
    /// Where it ends.
    pub off: usize,
}

/// The P wave, when one stands out before the QRS complex.
pub(super) fn p_wave(w: &Window, qrs: Limits) -> Option<PWave> {
    let smooth = &w.smooth_mv;
    let reach = w.samples(P_REACH_MS).min((P_REACH_SHARE_OF_RR * w.before) as usize);
    // Not into the T wave of the beat before.
    let earliest = (w.beat as f64 - T_SHARE_OF_RR * w.before).max(1.0) as usize;
    let from = qrs.on.saturating_sub(reach).max(earliest);
    let to = qrs.on.saturating_sub(w.samples(P_GAP_MS));
    if to < from + w.samples(P_ROOM_MS) {
        return None;
    }
    let side = w.samples(P_SIDE_MS);
    let prominence = |i: usize, sign: f32| {
        let lowest = |a: usize, b: usize| smooth[a..b].iter().map(|v| sign * v).fold(f32::INFINITY, f32::min);
        let left = sign * smooth[i] - lowest(i.saturating_sub(side), i + 1);
        let right = sign * smooth[i] - lowest(i, (i + side).min(qrs.on).max(i + 1));
        left.min(right)
    };
    let (peak, sign, height) = (from..to)
        .filter(|i| *i > 0)
        .filter_map(|i| {
            let (a, b, c) = (smooth[i - 1], smooth[i], smooth[i + 1]);
            let sign = if b >= a && b > c {
                1.0
            } else if b <= a && b < c {
                -1.0
            } else {
                return None;
            };
            // An upright P is the rule; an inverted one has to be clearer.
            let height = prominence(i, sign) * if sign > 0.0 { 1.0 } else { INVERTED_P_SHARE };
            Some((i, sign, height))
        })
        .max_by(|a, b| a.2.total_cmp(&b.2))?;
    if height < LEAST_P_MV.max(NOISE_FACTOR * w.noise_mv) {
        return None;
    }
    let (on, off) = feet(w, qrs, peak, sign, prominence(peak, sign))?;
    let least = LEAST_P_MV.max(2.0 * NOISE_FACTOR * w.noise_mv).max(P_LIMB_SHARE * height);
    // The first limb of a sinus P wave of two phases is upright: the right atrium, in front, goes first.
    let on = limb_before(w, on, sign, least).filter(|_| sign < 0.0).unwrap_or(on);
    Some(PWave { on, peak, off })
}

/// Where the wave at `peak` begins and ends: most of the way down to the level before the QRS complex, or to the
/// valleys beside it where these are nearer.
fn feet(w: &Window, qrs: Limits, peak: usize, sign: f32, prominence: f32) -> Option<(usize, usize)> {
    let smooth = &w.smooth_mv;
    let side = w.samples(P_SIDE_MS);
    let top = sign * smooth[peak];
    let height = top - sign * level_before(w, qrs);
    // A deflection of the other sign beside the wave makes a valley that is deeper than the wave is high.
    let fall = if height > P_LEVEL_SHARE * prominence { height.min(prominence) } else { prominence };
    let foot = |i: &usize| sign * smooth[*i] <= top - P_FALL_SHARE * fall;
    let on = (peak.saturating_sub(side)..peak).rev().find(foot)?;
    let off = (peak + 1..qrs.on.min(peak + side)).find(foot)?;
    Some((on, off))
}

/// Begin of a limb of the other sign right before a wave that begins at `on`: a P wave of two phases, as V1 sees it.
/// It stands out by `least` from what lies before it.
fn limb_before(w: &Window, on: usize, sign: f32, least: f32) -> Option<usize> {
    let value = |i: usize| -sign * w.smooth_mv[i];
    let from = on.saturating_sub(w.samples(P_LIMB_MS)).max(1);
    let peak = (from..on).max_by(|a, b| value(*a).total_cmp(&value(*b)))?;
    let first = peak.saturating_sub(w.samples(P_SIDE_MS));
    let lowest = (first..peak).map(value).fold(f32::INFINITY, f32::min);
    let rise = value(peak) - lowest;
    // Not a slope that comes from further away.
    if peak == from || rise < least {
        return None;
    }
    (first..peak).rev().find(|i| value(*i) <= value(peak) - P_FALL_SHARE * rise)
}
