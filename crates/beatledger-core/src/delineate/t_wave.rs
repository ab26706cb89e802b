//! The T wave: its peak, and its end.

use std::ops::Range;

use super::calibration::{
    FIRST_WAVE_SHARE, LEAST_P_MV, MERGED_SHARE, NEXT_P_EARLIEST_MS, NEXT_P_LATEST_MS, NOISE_FACTOR,
    SMOOTH_MS, T_BEFORE_BEAT_S, T_LEAST_REACH_S, T_LIMB_MS, T_LONGEST_RR_S, T_PEAK_AFTER_MS, T_ROOM_MS,
    T_SHARE_OF_RR, T_SLOPE_MS, T_TANGENT_MS, WAVE_AFTER_ROOM_MS,
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
    if height(peak) < w.least_t_mv.max(NOISE_FACTOR * w.noise_mv) {
        return None;
    }
    Some(TWave { peak, off: t_end(w, level, peak) })
}

/// Where T ends, or the valley before the next P wave where that comes first; `None` where too much of T is left in that
/// valley. Beyond the steepest place of the far limb, the end is where the trapezium between that place and a level place
/// after T has the largest area (Zhang et al. 2006, from memory): on the mean it lies nearer to what a
/// cardiologist marks in the QT Database than a tangent does (`cargo test -p beatledger-tests --test traps qt -- --nocapture`).
fn t_end(w: &Window, level: f32, peak: usize) -> Option<usize> {
    let smooth = &w.smooth_mv;
    let (last, over) = far_limb(w, level, peak);
    let height = smooth[peak] - level;
    let sign = height.signum();
    let rest = over.map_or(0.0, |low| sign * (smooth[low] - level));
    if rest > MERGED_SHARE * height.abs() {
        return None;
    }
    let steepest = steepest(w, sign, peak, last)?.0;
    let area = |i: usize| sign * (smooth[steepest] - smooth[i]) * (2 * last - i - steepest) as f32;
    (steepest..last).max_by(|a, b| area(*a).total_cmp(&area(*b)))
}

/// Where the steepest tangent of the far limb of T meets `level` (Lepeschkin and Surawicz 1952, there for U): a second
/// opinion, which differs much where a limb is no simple one.
pub(super) fn tangent_end(w: &Window, level: f32, peak: usize) -> Option<usize> {
    let (last, _) = far_limb(w, level, peak);
    let sign = (w.smooth_mv[peak] - level).signum();
    let (steepest, slope) = steepest(w, sign, peak, last)?;
    let to_level = (sign * (w.smooth_mv[steepest] - level) / slope).max(0.0) as usize;
    Some((steepest + to_level.min(w.samples(T_TANGENT_MS))).min(last))
}

/// How far the far limb of a wave that peaks at `peak` may reach, and the valley before the next P wave, where one ends it.
fn far_limb(w: &Window, level: f32, peak: usize) -> (usize, Option<usize>) {
    let last = (peak + w.samples(T_LIMB_MS))
        .min(w.smooth_mv.len() - 2)
        .min(w.beat + (w.after - T_BEFORE_BEAT_S * w.rate_hz).max(1.0) as usize);
    let over = valley(w, level, w.smooth_mv[peak] - level, peak..last);
    (over.unwrap_or(last), over)
}

/// The steepest fall between `peak` and `last`, and its slope, which is above 0, mV a sample.
fn steepest(w: &Window, sign: f32, peak: usize, last: usize) -> Option<(usize, f32)> {
    let smooth = &w.smooth_mv;
    let k = w.samples(T_SLOPE_MS).max(1);
    let fall = |i: usize| sign * (smooth[i - k] - smooth[(i + k).min(smooth.len() - 1)]) / (2 * k) as f32;
    let at = (peak + 1..last).max_by(|a, b| fall(*a).total_cmp(&fall(*b)))?;
    Some((at, fall(at))).filter(|(_, slope)| *slope > 0.0)
}

/// Height of the largest wave between the end of T and where the next P wave may begin, mV: how far the tracing leaves the
/// chord between the two.
pub(super) fn wave_after(w: &Window, off: usize) -> f32 {
    let smooth = &w.smooth_mv;
    let next_p = w.beat as f64 + w.after - w.samples(NEXT_P_EARLIEST_MS) as f64;
    let end = (next_p.max(0.0) as usize).min(smooth.len() - w.samples(SMOOTH_MS) - 1);
    if end < off + w.samples(WAVE_AFTER_ROOM_MS) {
        return 0.0;
    }
    let step = (smooth[end] - smooth[off]) / (end - off) as f32;
    let chord = |i: usize| smooth[off] + step * (i - off) as f32;
    (off..end).map(|i| (smooth[i] - chord(i)).abs()).fold(0.0, f32::max)
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
