//! The T wave: its peak, and its end where the tangent of its far limb meets the level before the QRS complex.

use std::ops::Range;

use super::calibration::{
    FIRST_WAVE_SHARE, LEAST_P_MV, LEAST_T_MV, MERGED_SHARE, NEXT_P_EARLIEST_MS, NEXT_P_LATEST_MS,
    NOISE_FACTOR, T_BEFORE_BEAT_S, T_LEAST_REACH_S, T_LIMB_MS, T_LONGEST_RR_S, T_PEAK_AFTER_MS, T_ROOM_MS,
    T_SHARE_OF_RR, T_SLOPE_MS, T_TANGENT_MS,
};
use super::level::level_before;
use super::qrs::Limits;
use super::window::Window;

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
    let from = qrs.off + w.samples(T_PEAK_AFTER_MS);
    let rr = w.after.min(T_LONGEST_RR_S * w.rate_hz);
    let before_p = w.after - w.samples(NEXT_P_LATEST_MS) as f64;
    let to_beat =
        w.beat + (T_SHARE_OF_RR * rr).max(T_LEAST_REACH_S * w.rate_hz).min(before_p).max(0.0) as usize;
    let to = to_beat.min(smooth.len().saturating_sub(2));
    if to < from + w.samples(T_ROOM_MS) {
        return None;
    }
    let level = level_before(w, qrs);
    let height = |i: usize| (smooth[i] - level).abs();
    // A turning point, not a slope that runs out of the stretch.
    let is_turn = |i: &usize| height(*i) >= height(i - 1) && height(*i) >= height(i + 1);
    let highest =
        |inside: Range<usize>| inside.filter(is_turn).max_by(|a, b| height(*a).total_cmp(&height(*b)));
    let peak = highest(from + 1..to - 1)?;
    // A P wave that rides on T may be the higher of the two: the first of two waves of about one size is T.
    let before =
        valley(w, level, smooth[peak] - level, from + 1..peak).and_then(|low| highest(from + 1..low));
    let peak = before.filter(|first| height(*first) >= FIRST_WAVE_SHARE * height(peak)).unwrap_or(peak);
    if height(peak) < LEAST_T_MV.max(NOISE_FACTOR * w.noise_mv) {
        return None;
    }
    Some(TWave { peak, off: t_end(w, level, peak) })
}

/// Where the steepest tangent of the far limb of T meets `level`, or the valley before the next P wave where that comes
/// first (Lepeschkin and Surawicz 1952, there for U); `None` where too much of T is left in that valley.
fn t_end(w: &Window, level: f32, peak: usize) -> Option<usize> {
    let smooth = &w.smooth_mv;
    let last = (peak + w.samples(T_LIMB_MS))
        .min(smooth.len() - 2)
        .min(w.beat + (w.after - T_BEFORE_BEAT_S * w.rate_hz).max(1.0) as usize);
    let height = smooth[peak] - level;
    let sign = height.signum();
    let over = valley(w, level, height, peak..last);
    let rest = over.map_or(0.0, |low| sign * (smooth[low] - level));
    if rest > MERGED_SHARE * height.abs() {
        return None;
    }
    let k = w.samples(T_SLOPE_MS).max(1);
    let fall = |i: usize| sign * (smooth[i - k] - smooth[(i + k).min(smooth.len() - 1)]) / (2 * k) as f32;
    let limb = peak + 1..over.unwrap_or(last);
    let steepest = limb.max_by(|a, b| fall(*a).total_cmp(&fall(*b)))?;
    let slope = fall(steepest);
    if slope <= 0.0 {
        return None;
    }
    let to_level = sign * (smooth[steepest] - level) / slope;
    let off = steepest + (to_level.max(0.0) as usize).min(w.samples(T_TANGENT_MS));
    Some(over.map_or(off, |low| off.min(low)))
}

/// The lowest place of `inside` before a rise of the sign of `height` that may be the next P wave; `None` without one.
fn valley(w: &Window, level: f32, height: f32, inside: Range<usize>) -> Option<usize> {
    let value = |i: usize| height.signum() * (w.smooth_mv[i] - level);
    let rise = LEAST_P_MV.max(NOISE_FACTOR * w.noise_mv);
    let earliest = w.beat as f64 + w.after - w.samples(NEXT_P_EARLIEST_MS) as f64;
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
