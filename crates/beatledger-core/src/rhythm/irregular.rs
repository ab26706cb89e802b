//! Atrial fibrillation from irregular RR intervals and the absence of P waves.
//!
//! The base is published. Irregularity is judged by how badly the past foretells the next interval (nonlinear
//! forecasting by analogues, Sugihara and May 1990, Nature 344:734), the same question that sample entropy asks;
//! and the share is corrected by the logarithm of the mean RR, as in the coefficient of sample entropy (Lake and
//! Moorman 2011, Am J Physiol Heart Circ Physiol 300:H319). Both citations are from memory. An interval is
//! *unforeseen* when it differs from the one before it, and from the one that followed the most similar pair of
//! intervals in the recent past. Sinus arrhythmia, bigeminy, trigeminy and any other pattern that repeats are
//! foreseen; fibrillation is not.
//!
//! Ectopy gate: intervals that touch V or F are left out, and so are those that touch S, except where P waves
//! were looked for and are absent (there an S label only says 'early', which any beat of fibrillation may be).
//! P waves: the fainter they are, the less irregularity it takes; no fibrillation where normal beats show clear
//! ones. At short cycles the T wave before lies where P is looked for, and P says less.
//! Rule for holes: unreadable time of up to `af_join_s` does not end an episode when fibrillation lies on both
//! sides; longer holes do. The minimum duration is measured over readable time; a tracing too short to hold it
//! must be in fibrillation as a whole (ESC 2020, second hand: the entire tracing, or 30 s or longer).

use std::ops::Range;

use super::calibration::{
    AF_CERTAINTY, AF_CERTAINTY_ECTOPIC, AF_CERTAINTY_PACED, AF_FEWEST_INTERVALS, AF_FEWEST_P, AF_MEMORY,
    AF_MOST_ECTOPIC, AF_MOST_PACED, AF_P_HALF, AF_P_HEARD_MS, AF_P_NEUTRAL, AF_P_WORTH, AF_RATE_LIMITS_S,
    AF_RATE_SLOPE, AF_TOLERANCE, AF_WHOLE_SHARE, AF_WINDOW,
};
use super::columns::Columns;
use super::event::event_over;
use crate::model::{BeatClass, Certainty, Event, EventKind, MS_PER_SECOND, Span};

/// The intervals that are judged, one column a fact, cut into pieces at long holes.
#[derive(Default)]
struct Series {
    /// Beat that ends each interval.
    ends: Vec<u32>,
    /// Length, ms.
    rr_ms: Vec<f32>,
    /// First interval of each piece.
    pieces: Vec<usize>,
}

/// Finds atrial fibrillation, sorted by start.
pub fn fibrillation(columns: &Columns<'_>) -> Vec<Event> {
    let p_clear = local_p(columns);
    let series = series(columns, &p_clear);
    let mut events = Vec::new();
    for (k, start) in series.pieces.iter().enumerate() {
        let end = series.pieces.get(k + 1).copied().unwrap_or(series.ends.len());
        if end - start >= AF_FEWEST_INTERVALS {
            judge(columns, &p_clear, &series.ends[*start..end], &series.rr_ms[*start..end], &mut events);
        }
    }
    events
}

/// Mean clearness of the P waves of the normal beats around each beat; NaN where too few were looked for.
fn local_p(columns: &Columns<'_>) -> Vec<f32> {
    let n = columns.len();
    let mut sums = Vec::with_capacity(n + 1);
    let (mut sum, mut seen) = (0.0f64, 0u32);
    sums.push((sum, seen));
    for i in 0..n {
        if columns.classes[i] == BeatClass::N && columns.p_before[i].is_finite() {
            sum += f64::from(columns.p_before[i]);
            seen += 1;
        }
        sums.push((sum, seen));
    }
    let local = |i: usize| {
        let (from, to) = (sums[i.saturating_sub(AF_WINDOW / 2)], sums[(i + AF_WINDOW / 2).min(n)]);
        let seen = (to.1 - from.1) as f32;
        if seen < AF_FEWEST_P { f32::NAN } else { (to.0 - from.0) as f32 / seen }
    };
    (0..n).map(local).collect()
}

/// Chooses the intervals that are judged.
fn series(columns: &Columns<'_>, p_clear: &[f32]) -> Series {
    let settings = columns.reading.settings;
    let join_samples = columns.reading.recording.rate.samples_from_seconds(settings.af_join_s);
    let p_limit = settings.af_p_clear as f32;
    let mut series = Series::default();
    series.ends.reserve(columns.len());
    series.rr_ms.reserve(columns.len());
    series.pieces.push(0);
    let excused = |i: usize| columns.classes[i] != BeatClass::S || p_clear[i] < p_limit;
    for i in 1..columns.len() {
        if !columns.joined(i) {
            let hole = Span::new(columns.samples[i - 1], columns.samples[i]);
            let is_wide = hole.covered_by(columns.reading.unreadable) > join_samples;
            if is_wide || columns.reading.ventricular_waves().iter().any(|w| w.touches(hole)) {
                series.pieces.push(series.ends.len());
            }
        } else if !columns.is_ventricular(i - 1) && !columns.is_ventricular(i) && excused(i - 1) && excused(i)
        {
            series.ends.push(i as u32);
            series.rr_ms.push(columns.rr_ms[i]);
        }
    }
    series
}

/// Judges one piece.
fn judge(columns: &Columns<'_>, p_clear: &[f32], ends: &[u32], rr_ms: &[f32], events: &mut Vec<Event>) {
    let settings = columns.reading.settings;
    let (enter, leave) = (settings.af_enter_share as f32, settings.af_leave_share as f32);
    let mean_ms = local_mean(rr_ms);
    let unforeseen = unforeseen(rr_ms, &mean_ms);
    let share = local_mean(&unforeseen);
    let limit = |i: usize, share: f32| {
        share
            + AF_RATE_SLOPE
                * (mean_ms[i] / MS_PER_SECOND as f32).clamp(AF_RATE_LIMITS_S.0, AF_RATE_LIMITS_S.1).ln()
            + p_worth(p_clear[ends[i] as usize], mean_ms[i])
    };
    let has_p = |i: usize| p_clear[ends[i] as usize] * heard(mean_ms[i]) >= settings.af_p_clear as f32;
    let mut start = None;
    let mut floor = 0;
    for i in 0..=ends.len() {
        let inside = i < ends.len() && !has_p(i);
        match start {
            None if inside && share[i] > limit(i, enter) => start = Some(i),
            Some(from) if !(inside && share[i] > limit(i, leave)) => {
                start = None;
                let (from, to) = refine(&unforeseen, floor, from, i, limit(from, (enter + leave) / 2.0));
                if to > from {
                    floor = to;
                    accept(columns, ends, from, to, events);
                }
            }
            _ => {}
        }
    }
}

/// Share of unforeseen intervals that P waves as clear as `p` ask for above the usual; below 0 where they are faint.
fn p_worth(p: f32, mean_ms: f32) -> f32 {
    if p.is_nan() {
        return 0.0;
    }
    let said = |p: f32| p / (p + AF_P_HALF);
    AF_P_WORTH * (said(p) - said(AF_P_NEUTRAL)) * heard(mean_ms)
}

/// How far P waves are heard at this mean RR, 0 to 1.
fn heard(mean_ms: f32) -> f32 {
    let (from, to) = AF_P_HEARD_MS;
    ((mean_ms - from) / (to - from)).clamp(0.0, 1.0)
}

/// Mean over the window around each value, shorter at the ends.
fn local_mean(values: &[f32]) -> Vec<f32> {
    let n = values.len();
    let half = AF_WINDOW / 2;
    let mut sum: f64 = values.iter().take(half).map(|v| f64::from(*v)).sum();
    let mut count = half.min(n);
    let mut out = Vec::with_capacity(n);
    for i in 0..n {
        if i + half < n {
            sum += f64::from(values[i + half]);
            count += 1;
        }
        if i > half {
            sum -= f64::from(values[i - half - 1]);
            count -= 1;
        }
        out.push((sum / count as f64) as f32);
    }
    out
}

/// 1 for each interval that the past does not foretell, else 0.
fn unforeseen(rr_ms: &[f32], mean_ms: &[f32]) -> Vec<f32> {
    let mut out = vec![0.0; rr_ms.len()];
    for i in 1..rr_ms.len() {
        let tolerance = AF_TOLERANCE * mean_ms[i];
        if (rr_ms[i] - rr_ms[i - 1]).abs() > tolerance && (forecast(rr_ms, i) - rr_ms[i]).abs() > tolerance {
            out[i] = 1.0;
        }
    }
    // Nothing foretells the first: it counts as the second does.
    if let [first, second, ..] = &mut out[..] {
        *first = *second;
    }
    out
}

/// The interval that followed the pair most similar to the two before `i`; the latest of equally similar ones.
fn forecast(rr_ms: &[f32], i: usize) -> f32 {
    if i < 3 {
        return rr_ms[i - 1];
    }
    let (last, before) = (rr_ms[i - 1], rr_ms[i - 2]);
    let from = i.saturating_sub(AF_MEMORY).max(2);
    let mut best = (f32::INFINITY, last);
    for j in (from..i).rev() {
        let distance = (rr_ms[j - 1] - last).abs().max((rr_ms[j - 2] - before).abs());
        if distance < best.0 {
            best = (distance, rr_ms[j]);
        }
    }
    best.1
}

/// Moves both ends of `from..to` to where the balance of unforeseen intervals against `share` turns, at most
/// half a window away and not before `floor`.
fn refine(unforeseen: &[f32], floor: usize, from: usize, to: usize, share: f32) -> (usize, usize) {
    let half = AF_WINDOW / 2;
    let start = turn(unforeseen, from.saturating_sub(half).max(floor), (from + half).min(to), |u| u - share);
    let end = turn(unforeseen, to.saturating_sub(half).max(start), (to + half).min(unforeseen.len()), |u| {
        share - u
    });
    (start, end)
}

/// The place in `low..=high` before which the sum of `gain` is lowest; the last of equally low ones.
fn turn(unforeseen: &[f32], low: usize, high: usize, gain: impl Fn(f32) -> f32) -> usize {
    let (mut sum, mut best) = (0.0, (0.0, low));
    for i in low..high {
        sum += gain(unforeseen[i]);
        if sum <= best.0 {
            best = (sum, i + 1);
        }
    }
    best.1
}

/// Keeps the intervals `from..to` as an episode when they last long enough.
fn accept(columns: &Columns<'_>, ends: &[u32], from: usize, to: usize, events: &mut Vec<Event>) {
    let (first, last) = (ends[from] as usize - 1, ends[to - 1] as usize);
    if lasts(columns, first, last) {
        let mut event = event_over(columns, EventKind::AtrialFibrillation, first..last + 1);
        event.critical = true;
        event.certainty = certainty(columns, first..last + 1);
        events.push(event);
    } else if to - from >= AF_FEWEST_INTERVALS {
        events.push(event_over(columns, EventKind::IrregularShort, first..last + 1));
    }
}

/// Paced beats and much ectopy make a rhythm irregular too: what is called fibrillation among them may be none. On MIT-BIH
/// Arrhythmia and CPSC 2021 all episodes with hardly a paced beat were true, and one of six with more.
fn certainty(columns: &Columns<'_>, beats: Range<usize>) -> Certainty {
    let share_of = |is: &dyn Fn(usize) -> bool| {
        beats.clone().filter(|i| is(*i)).count() as f32 / beats.len().max(1) as f32
    };
    let paced = share_of(&|i| columns.classes[i] == BeatClass::Q);
    let ectopic = share_of(&|i| columns.is_ventricular(i));
    if paced > AF_MOST_PACED {
        Certainty::of(AF_CERTAINTY_PACED, || "many of its beats are paced or cannot be classified".to_owned())
    } else if ectopic > AF_MOST_ECTOPIC {
        Certainty::of(AF_CERTAINTY_ECTOPIC, || "much of its irregularity is ventricular ectopy".to_owned())
    } else {
        Certainty::of(AF_CERTAINTY, String::new)
    }
}

/// True when the readable time between beats `first` and `last` reaches the minimum, or fills a tracing that is
/// too short for it.
fn lasts(columns: &Columns<'_>, first: usize, last: usize) -> bool {
    let readable_s = |first: usize, last: usize| {
        columns.reading.readable_s(Span::new(columns.samples[first], columns.samples[last]))
    };
    let tracing_s = readable_s(0, columns.len() - 1);
    readable_s(first, last) >= columns.reading.settings.af_min_s.min(AF_WHOLE_SHARE * tracing_s)
}

#[cfg(test)]
mod tests;
