//! AV block in which every second P wave is conducted, from the averaged cycle.
//!
//! The cycles of a window are averaged from before one beat to before the next. Where a wave of the shape and height of the
//! P wave stands half a cycle after it, past the T wave, there are two P waves to a beat (common practice). What hides in
//! QRS or T is not told.

use std::ops::Range;

use rayon::prelude::*;

use super::calibration::{
    AFTER_T_S, BEFORE_S, CYCLE_S, FEWEST_CYCLES, HEIGHT_RATIO, LEAST_ALIKE, LEAST_S, P_SHARE, P_SIDE_S,
    PLACE_SHARE, REGULAR, REGULAR_SHARE, WINDOW_S,
};
use crate::model::{FoundBeat, Quality, Recording, Span};
use crate::statistics;

/// Stretches with two P waves to a beat, sorted and disjoint.
pub(super) fn two_to_one(recording: &Recording, quality: &Quality, beats: &[FoundBeat]) -> Vec<Span> {
    let window = recording.rate.samples_from_seconds(WINDOW_S).max(1);
    let windows: Vec<Span> = (0..recording.samples / window)
        .into_par_iter()
        .map(|w| Span::new(w * window, (w + 1) * window))
        .filter(|span| has_two(recording, quality, beats, *span))
        .collect();
    let mut out = Span::merged(windows, 0);
    out.retain(|s| recording.rate.seconds_from_samples(s.len()) >= LEAST_S);
    out
}

/// True when the averaged cycle of a window shows two P waves on most leads.
fn has_two(recording: &Recording, quality: &Quality, beats: &[FoundBeat], span: Span) -> bool {
    let at = |sample: i64| beats.partition_point(|b| b.sample < sample);
    let inside = at(span.start)..at(span.end);
    let Some((cycle, starts)) = cycles(recording, beats, inside.clone()) else { return false };
    let peaks = |of: &dyn Fn(&FoundBeat) -> Option<i16>| -> Vec<f64> {
        beats[inside.clone()].iter().filter_map(of).map(f64::from).collect()
    };
    let mut p_peaks = peaks(&|b| b.waves.p_peak);
    if (p_peaks.len() as f64) < P_SHARE * inside.len() as f64 {
        return false;
    }
    let (Some(p), Some(t)) =
        (statistics::median(&mut p_peaks), statistics::median(&mut peaks(&|b| b.waves.t_peak)))
    else {
        return false;
    };
    let second = |sample: i64| recording.rate.seconds_from_samples(sample) as usize;
    let seconds = second(span.start)..=second(span.end - 1);
    let readable: Vec<usize> =
        (0..recording.leads.len()).filter(|lead| quality.is_readable(*lead, seconds.clone())).collect();
    let shows = |lead: &&usize| {
        let average = average(recording, **lead, &starts, cycle);
        is_repeated(recording.rate.hz(), &average, cycle, (p, t))
    };
    // On a single lead of several a U wave may look like a P wave.
    2 * readable.iter().filter(shows).count() > readable.len()
}

/// Usual length of the cycles of a window and the beats that begin one of about this length; `None` where they differ, are
/// too few, or may not hold two P waves.
fn cycles(recording: &Recording, beats: &[FoundBeat], inside: Range<usize>) -> Option<(i64, Vec<i64>)> {
    let length = |i: usize| (beats[i + 1].sample - beats[i].sample) as f64;
    let all: Vec<usize> = inside.filter(|i| i + 1 < beats.len()).collect();
    let usual = statistics::median(&mut all.iter().map(|i| length(*i)).collect::<Vec<f64>>())?;
    let is_normal = |i: usize| beats[i].class.is_supraventricular();
    let is_usual =
        |i: &usize| (length(*i) - usual).abs() <= REGULAR * usual && is_normal(*i) && is_normal(*i + 1);
    let starts: Vec<i64> = all.iter().filter(|i| is_usual(i)).map(|i| beats[*i].sample).collect();
    let seconds = usual / recording.rate.hz();
    let is_told = (CYCLE_S.0..=CYCLE_S.1).contains(&seconds)
        && starts.len() >= FEWEST_CYCLES
        && starts.len() as f64 >= REGULAR_SHARE * all.len() as f64;
    is_told.then_some((usual.round() as i64, starts))
}

/// Mean of the tracing from before each start to before the next one, mV.
fn average(recording: &Recording, lead: usize, starts: &[i64], cycle: i64) -> Vec<f64> {
    let before = recording.rate.samples_from_seconds(BEFORE_S);
    let mut sum = vec![0.0; cycle.max(1) as usize];
    let mut mv = Vec::new();
    for start in starts {
        recording.leads[lead].read_mv(Span::new(start - before, start - before + cycle), &mut mv);
        let level = mv.first().copied().unwrap_or(0.0);
        sum.iter_mut().zip(&mv).for_each(|(to, v)| *to += f64::from(v - level));
    }
    sum.iter_mut().for_each(|v| *v /= starts.len().max(1) as f64);
    sum
}

/// True when a wave like the P wave, whose peak lies `p` from the beat, stands half a cycle after it and past T.
fn is_repeated(hz: f64, average: &[f64], cycle: i64, (p, t): (f64, f64)) -> bool {
    let samples = |seconds: f64| (seconds * hz).round() as i64;
    let (origin, side) = (samples(BEFORE_S), samples(P_SIDE_S).max(1));
    let first = origin + p.round() as i64;
    let Some(wave) = bump(average, first, side) else { return false };
    let middle = first + cycle / 2;
    let reach = (PLACE_SHARE * cycle as f64).round() as i64;
    let after_t = origin + t.round() as i64 + samples(AFTER_T_S);
    let candidates = (middle - reach..=middle + reach).filter(|at| at - side >= after_t);
    candidates.filter_map(|at| bump(average, at, side)).any(|other| {
        let dot: f64 = wave.iter().zip(&other).map(|(a, b)| a * b).sum();
        let [own, its] = [&wave, &other].map(|w| w.iter().map(|v| v * v).sum::<f64>().sqrt());
        let ratio = its / own.max(f64::MIN_POSITIVE);
        dot >= LEAST_ALIKE * own * its && (HEIGHT_RATIO.0..=HEIGHT_RATIO.1).contains(&ratio)
    })
}

/// A stretch around `at` less the line between its ends; `None` where it leaves the cycle or does not rise in its middle.
fn bump(average: &[f64], at: i64, side: i64) -> Option<Vec<f64>> {
    let values = average.get(usize::try_from(at - side).ok()?..usize::try_from(at + side + 1).ok()?)?;
    let (from, to) = (values[0], values[values.len() - 1]);
    let step = (to - from) / (values.len() - 1) as f64;
    let out: Vec<f64> = values.iter().enumerate().map(|(i, v)| v - from - step * i as f64).collect();
    let middle = out[side as usize].abs();
    let highest = out.iter().fold(0.0f64, |m, v| m.max(v.abs()));
    (middle >= highest / 2.0 && highest > 0.0).then_some(out)
}
