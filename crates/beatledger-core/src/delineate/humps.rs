//! P and T waves and the ST level on the best lead.

use super::qrs::Limits;
use super::window::{Window, mean};

/// A P wave is at least this high, mV.
const LEAST_P_MV: f32 = 0.025;
/// A T wave is at least this high, mV.
const LEAST_T_MV: f32 = 0.04;
/// A hump stands out of the noise by this factor.
const NOISE_FACTOR: f32 = 3.0;

/// A P wave does not reach further from its peak than this, ms.
const P_SIDE_MS: f64 = 90.0;
/// The first limb of a P wave of two phases peaks at most this long before the second begins, ms.
const LIMB_MS: f64 = 50.0;
/// The first limb is at least this share of the second.
const LIMB_SHARE: f32 = 0.4;
/// The next P wave begins this long before its beat at the latest, ms: a PR of 120 ms, of which 40 to the R peak
/// (shortest normal PR, common practice).
const SHORTEST_P_MS: f64 = 160.0;
/// The next P wave begins this long before its beat at the earliest, ms: as far as P is looked for.
const LONGEST_P_MS: f64 = 310.0;
/// The first of two humps is T, and the second P, when it is at least this share of the second.
const FIRST_SHARE: f32 = 0.5;
/// Where more of T than this share is left when the next P wave begins, its end is not told. The far limb of T is about
/// half a cosine of 110 ms, of which the last fifth lies 30 ms before its end: the tolerance of the CSE working party
/// (from memory).
const MERGED_SHARE: f32 = 0.2;

/// A hump: indices into the window.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Hump {
    /// Where it begins.
    pub on: usize,
    /// Its peak.
    pub peak: usize,
    /// Where it ends.
    pub off: usize,
}

/// Level before the QRS complex, mV: the mean over the 20 ms that end 6 ms before it.
pub(super) fn level_before(w: &Window, qrs: Limits) -> f32 {
    let gap = w.samples(6.0);
    let end = qrs.on.saturating_sub(gap);
    mean(&w.best_mv, end.saturating_sub(w.samples(20.0).max(1)), end)
}

/// ST level against the level before the QRS complex, mV, 80 ms after its end, 60 ms from 120 bpm on.
pub(super) fn st_mv(w: &Window, qrs: Limits) -> Option<f32> {
    let is_fast = w.before <= 0.5 * w.rate_hz;
    let at = qrs.off + w.samples(if is_fast { 60.0 } else { 80.0 });
    let half = w.samples(8.0);
    let fits = at + half < w.best_mv.len() && (at - w.beat) as f64 + half as f64 <= 0.8 * w.after;
    fits.then(|| mean(&w.best_mv, at - half, at + half + 1) - level_before(w, qrs))
}

/// The T wave.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct TWave {
    /// Its peak.
    pub peak: usize,
    /// Its end; `None` where the next P wave begins before T is over.
    pub off: Option<usize>,
}

/// The T wave: peak and end; its begin is not measured.
pub(super) fn t_wave(w: &Window, qrs: Limits) -> Option<TWave> {
    let smooth = &w.smooth_mv;
    let from = qrs.off + w.samples(50.0);
    let rr = w.after.min(1.1 * w.rate_hz);
    let before_p = w.after - w.samples(SHORTEST_P_MS) as f64;
    let to_beat = w.beat + (0.62 * rr).max(0.3 * w.rate_hz).min(before_p).max(0.0) as usize;
    let to = to_beat.min(smooth.len().saturating_sub(2));
    if to < from + w.samples(60.0) {
        return None;
    }
    let level = level_before(w, qrs);
    let height = |i: usize| (smooth[i] - level).abs();
    // A turning point, not a slope that runs out of the stretch.
    let is_turn = |i: &usize| height(*i) >= height(i - 1) && height(*i) >= height(i + 1);
    let highest = |inside: std::ops::Range<usize>| {
        inside.filter(is_turn).max_by(|a, b| height(*a).total_cmp(&height(*b)))
    };
    let peak = highest(from + 1..to - 1)?;
    // A P wave that rides on T may be the higher of the two: the first of two humps of about one size is T.
    let before =
        valley(w, level, smooth[peak] - level, from + 1..peak).and_then(|low| highest(from + 1..low));
    let peak = before.filter(|first| height(*first) >= FIRST_SHARE * height(peak)).unwrap_or(peak);
    if height(peak) < LEAST_T_MV.max(NOISE_FACTOR * w.noise_mv) {
        return None;
    }
    Some(TWave { peak, off: t_end(w, level, peak) })
}

/// Where the steepest tangent of the far limb of T meets `level`, or the valley before the next P wave where that comes
/// first (Lepeschkin and Surawicz 1952, there for U); `None` where too much of T is left in that valley.
fn t_end(w: &Window, level: f32, peak: usize) -> Option<usize> {
    let smooth = &w.smooth_mv;
    let last = (peak + w.samples(180.0))
        .min(smooth.len() - 2)
        .min(w.beat + (w.after - 0.06 * w.rate_hz).max(1.0) as usize);
    let height = smooth[peak] - level;
    let sign = height.signum();
    let over = valley(w, level, height, peak..last);
    let rest = over.map_or(0.0, |low| sign * (smooth[low] - level));
    if rest > MERGED_SHARE * height.abs() {
        return None;
    }
    let k = w.samples(8.0).max(1);
    let fall = |i: usize| sign * (smooth[i - k] - smooth[(i + k).min(smooth.len() - 1)]) / (2 * k) as f32;
    let limb = peak + 1..over.unwrap_or(last);
    let steepest = limb.max_by(|a, b| fall(*a).total_cmp(&fall(*b)))?;
    let slope = fall(steepest);
    if slope <= 0.0 {
        return None;
    }
    let to_level = sign * (smooth[steepest] - level) / slope;
    let off = steepest + (to_level.max(0.0) as usize).min(w.samples(160.0));
    Some(over.map_or(off, |low| off.min(low)))
}

/// The lowest place of `inside` before a rise of the sign of `height` that may be the next P wave; `None` without one.
fn valley(w: &Window, level: f32, height: f32, inside: std::ops::Range<usize>) -> Option<usize> {
    let value = |i: usize| height.signum() * (w.smooth_mv[i] - level);
    let rise = LEAST_P_MV.max(NOISE_FACTOR * w.noise_mv);
    let earliest = w.beat as f64 + w.after - w.samples(LONGEST_P_MS) as f64;
    let mut low = inside.start;
    for i in inside {
        if value(i) < value(low) {
            low = i;
        }
        if i as f64 >= earliest && value(i) >= value(low) + rise {
            return Some(low);
        }
    }
    None
}

/// The P wave, when one stands out before the QRS complex.
pub(super) fn p_wave(w: &Window, qrs: Limits) -> Option<Hump> {
    let smooth = &w.smooth_mv;
    let reach = w.samples(260.0).min((0.45 * w.before) as usize);
    // Not into the T wave of the beat before.
    let earliest = (w.beat as f64 - 0.62 * w.before).max(1.0) as usize;
    let from = qrs.on.saturating_sub(reach).max(earliest);
    let to = qrs.on.saturating_sub(w.samples(16.0));
    if to < from + w.samples(40.0) {
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
            let height = prominence(i, sign) * if sign > 0.0 { 1.0 } else { 0.7 };
            Some((i, sign, height))
        })
        .max_by(|a, b| a.2.total_cmp(&b.2))?;
    if height < LEAST_P_MV.max(NOISE_FACTOR * w.noise_mv) {
        return None;
    }
    let (on, off) = feet(w, qrs, peak, sign, prominence(peak, sign))?;
    let least = LEAST_P_MV.max(2.0 * NOISE_FACTOR * w.noise_mv).max(LIMB_SHARE * height);
    // The first limb of a sinus P wave of two phases is upright: the right atrium, in front, goes first.
    let on = limb_before(w, on, sign, least).filter(|_| sign < 0.0).unwrap_or(on);
    Some(Hump { on, peak, off })
}

/// Where the hump at `peak` begins and ends: 85 % of the way down to the level before the QRS complex, or to the
/// valleys beside it where these are nearer.
fn feet(w: &Window, qrs: Limits, peak: usize, sign: f32, prominence: f32) -> Option<(usize, usize)> {
    let smooth = &w.smooth_mv;
    let side = w.samples(P_SIDE_MS);
    let top = sign * smooth[peak];
    let height = top - sign * level_before(w, qrs);
    // A deflection of the other sign beside the hump makes a valley of it that is deeper than the hump is high.
    let fall = if height > 0.4 * prominence { height.min(prominence) } else { prominence };
    let foot = |i: &usize| sign * smooth[*i] <= top - 0.85 * fall;
    let on = (peak.saturating_sub(side)..peak).rev().find(foot)?;
    let off = (peak + 1..qrs.on.min(peak + side)).find(foot)?;
    Some((on, off))
}

/// Begin of a limb of the other sign right before a hump that begins at `on`: a P wave of two phases, as V1 sees it.
/// It stands out by `least` from what lies before it.
fn limb_before(w: &Window, on: usize, sign: f32, least: f32) -> Option<usize> {
    let value = |i: usize| -sign * w.smooth_mv[i];
    let from = on.saturating_sub(w.samples(LIMB_MS)).max(1);
    let peak = (from..on).max_by(|a, b| value(*a).total_cmp(&value(*b)))?;
    let first = peak.saturating_sub(w.samples(P_SIDE_MS));
    let lowest = (first..peak).map(value).fold(f32::INFINITY, f32::min);
    let rise = value(peak) - lowest;
    // Not a slope that comes from further away.
    if peak == from || rise < least {
        return None;
    }
    (first..peak).rev().find(|i| value(*i) <= value(peak) - 0.85 * rise)
}
