//! Atrial flutter: between T and the next complex the tracing is waves of one rate, and the intervals are whole numbers of them.
//!
//! With two waves to a beat T covers what lies between the complexes, and nothing is told here.

use std::f64::consts::TAU;
use std::ops::Range;

use rayon::prelude::*;

use super::calibration::{
    BEFORE_QRS_S, COARSE, COARSE_HARMONICS, EXPLAINED, FEWEST_LONG, FINE, FLUTTER_BPM, FLUTTER_EVERY,
    FLUTTER_S, FLUTTER_VALUES_HZ, HARMONICS, LEAST_FLUTTER_MV, LEAST_FLUTTER_S, LEAST_WAVES, NOTHING,
    T_OVER_S, WHOLE_WAVES,
};
use super::tracing::Tracing;
use crate::model::{FoundBeat, Quality, Recording, SECONDS_PER_MINUTE, Span};

/// Stretches of flutter, sorted and disjoint.
pub(super) fn flutter(recording: &Recording, quality: &Quality, beats: &[FoundBeat]) -> Vec<Span> {
    let length = recording.rate.samples_from_seconds(FLUTTER_S).max(1);
    let windows = (recording.samples / length).max(0) as usize;
    let span = |w: usize| Span::new(w as i64 * length, (w as i64 + 1) * length);
    let shows = |w: &usize| is_flutter(recording, quality, beats, span(*w));
    let some: Vec<usize> = (0..windows.div_ceil(FLUTTER_EVERY))
        .into_par_iter()
        .map(|k| k * FLUTTER_EVERY)
        .filter(shows)
        .collect();
    let mut near: Vec<usize> = some
        .iter()
        .flat_map(|w| w.saturating_sub(FLUTTER_EVERY - 1)..(w + FLUTTER_EVERY).min(windows))
        .filter(|w| w % FLUTTER_EVERY != 0)
        .collect();
    near.sort_unstable();
    near.dedup();
    let mut all: Vec<usize> = near.into_par_iter().filter(shows).collect();
    all.extend(some);
    all.sort_unstable();
    all.dedup();
    let mut out = Span::merged(all.into_iter().map(span).collect(), 2 * length);
    out.retain(|s| recording.rate.seconds_from_samples(s.len()) >= LEAST_FLUTTER_S);
    out
}

fn is_flutter(recording: &Recording, quality: &Quality, beats: &[FoundBeat], span: Span) -> bool {
    let rate = recording.rate;
    let first = beats.partition_point(|b| b.sample < span.start);
    let inside: Vec<i64> =
        beats[first..beats.partition_point(|b| b.sample < span.end)].iter().map(|b| b.sample).collect();
    let between: Vec<Span> = inside
        .windows(2)
        .map(|w| {
            let t_over = T_OVER_S * rate.seconds_from_samples(w[1] - w[0]).max(0.0).sqrt();
            Span::new(
                w[0] + rate.samples_from_seconds(t_over),
                w[1] - rate.samples_from_seconds(BEFORE_QRS_S),
            )
        })
        .filter(|s| !s.is_empty())
        .collect();
    // The fastest waves that are looked for need the least room.
    let has_room =
        |s: &&Span| rate.seconds_from_samples(s.len()) * FLUTTER_BPM.1 / SECONDS_PER_MINUTE >= LEAST_WAVES;
    if between.iter().filter(has_room).count() < FEWEST_LONG {
        return false;
    }
    let second = |sample: i64| rate.seconds_from_samples(sample).max(0.0) as usize;
    let seconds = second(span.start)..=second(span.end - 1);
    let leads: Vec<usize> =
        (0..recording.leads.len()).filter(|lead| quality.is_readable(*lead, seconds.clone())).collect();
    let tracing = Tracing::read(recording, &leads, span, FLUTTER_VALUES_HZ);
    let places: Vec<Range<usize>> = between
        .iter()
        .map(|s| {
            let at = |sample: i64| tracing.at(sample).clamp(0, tracing.len() as i64) as usize;
            at(s.start)..at(s.end)
        })
        .filter(|r| r.len() >= 4)
        .collect();
    tracing.mv.iter().any(|lead| {
        let parts: Vec<Part> = places.iter().map(|place| Part::of(lead, place)).collect();
        let values = || parts.iter().flat_map(|p| &p.values);
        let power = values().map(|v| v * v).sum::<f64>() / values().count().max(1) as f64;
        if power.sqrt() < LEAST_FLUTTER_MV {
            return false;
        }
        let (low, high) = (FLUTTER_BPM.0 / SECONDS_PER_MINUTE, FLUTTER_BPM.1 / SECONDS_PER_MINUTE);
        let step = COARSE / FLUTTER_S;
        let coarse = best_rate(&parts, tracing.hz, (low, high), step, COARSE_HARMONICS);
        let best = coarse.filter(|(share, _)| *share >= EXPLAINED / 2.0).and_then(|(_, hz)| {
            best_rate(&parts, tracing.hz, (hz - step, hz + step), FINE / FLUTTER_S, HARMONICS)
        });
        // A single P wave passes for a wave; in the longer parts it stands alone.
        best.is_some_and(|(_, hz)| {
            let is_long = |p: &&Part| p.values.len() as f64 * hz >= LEAST_WAVES * tracing.hz;
            let long: Vec<&Part> = parts.iter().filter(is_long).collect();
            long.len() >= FEWEST_LONG
                && explained(&long, hz / tracing.hz, HARMONICS) >= EXPLAINED
                && in_whole_waves(&inside, rate.hz() / hz)
        })
    })
}

/// A stretch of a lead less its mean and slope.
struct Part {
    /// Place of its middle in the window.
    middle: f64,
    values: Vec<f64>,
}

impl Part {
    fn of(lead: &[f32], place: &Range<usize>) -> Self {
        let values: Vec<f64> = lead[place.clone()].iter().map(|v| f64::from(*v)).collect();
        let mut part = Self { middle: (place.start + place.end - 1) as f64 / 2.0, values };
        let mean = part.values.iter().sum::<f64>() / part.values.len() as f64;
        let slope = part.steps().zip(&part.values).map(|(k, v)| k * v).sum::<f64>() / part.square();
        let line: Vec<f64> = part.steps().map(|k| mean + slope * k).collect();
        part.values.iter_mut().zip(line).for_each(|(v, l)| *v -= l);
        part
    }

    /// Places from the middle.
    fn steps(&self) -> impl Iterator<Item = f64> + use<> {
        let half = (self.values.len() as f64 - 1.0) / 2.0;
        (0..self.values.len()).map(move |k| k as f64 - half)
    }

    /// Sum of the squares of the steps.
    fn square(&self) -> f64 {
        self.steps().map(|k| k * k).sum::<f64>().max(f64::MIN_POSITIVE)
    }
}

/// The rate of the waves that explain most of the parts, and the share that they do, every `step` Hz of a range.
fn best_rate(
    parts: &[Part],
    hz: f64,
    (low, high): (f64, f64),
    step: f64,
    harmonics: usize,
) -> Option<(f64, f64)> {
    let count = ((high - low) / step).round() as usize + 1;
    let of = |k: usize| low + step * k as f64;
    let all: Vec<&Part> = parts.iter().collect();
    (0..count).map(|k| (explained(&all, of(k) / hz, harmonics), of(k))).max_by(|a, b| a.0.total_cmp(&b.0))
}

/// Share of the power that a wave of `cycles` a value and, with two harmonics, its double explain, beside a mean and a slope of
/// each part.
fn explained(parts: &[&Part], cycles: f64, harmonics: usize) -> f64 {
    let unknowns = 2 * harmonics.min(HARMONICS);
    let mut normal = [[0.0f64; 5]; 4];
    let mut power = 0.0;
    for part in parts {
        let (mut sums, mut slopes) = ([0.0f64; 4], [0.0f64; 4]);
        let turn = TAU * cycles;
        let mut at = (turn * (part.middle - (part.values.len() as f64 - 1.0) / 2.0)).sin_cos();
        let step = turn.sin_cos();
        for (k, value) in part.steps().zip(&part.values) {
            let (sin, cos) = at;
            let waves = [cos, sin, cos * cos - sin * sin, 2.0 * sin * cos];
            for i in 0..unknowns {
                for j in 0..unknowns {
                    normal[i][j] += waves[i] * waves[j];
                }
                normal[i][4] += waves[i] * value;
                sums[i] += waves[i];
                slopes[i] += k * waves[i];
            }
            power += value * value;
            at = (sin * step.1 + cos * step.0, cos * step.1 - sin * step.0);
        }
        // What a mean and a slope explain of the waves was taken out of the values.
        let (n, square) = (part.values.len() as f64, part.square());
        for i in 0..unknowns {
            for j in 0..unknowns {
                normal[i][j] -= sums[i] * sums[j] / n + slopes[i] * slopes[j] / square;
            }
        }
    }
    let right = normal.map(|row| row[4]);
    let solved = solve(normal);
    let taken: f64 = solved.iter().zip(&right).map(|(a, b)| a * b).sum();
    if power > 0.0 { taken / power } else { 0.0 }
}

/// Solves four equations by Gauss and Jordan; an unknown that nothing tells is 0.
fn solve(mut m: [[f64; 5]; 4]) -> [f64; 4] {
    for i in 0..4 {
        let pivot = (i..4).max_by(|a, b| m[*a][i].abs().total_cmp(&m[*b][i].abs())).unwrap_or(i);
        m.swap(i, pivot);
        if m[i][i].abs() < NOTHING {
            continue;
        }
        let row = m[i];
        for (_, other) in m.iter_mut().enumerate().filter(|(k, _)| *k != i) {
            let factor = other[i] / row[i];
            other.iter_mut().zip(&row).for_each(|(a, b)| *a -= factor * b);
        }
    }
    std::array::from_fn(|i| if m[i][i].abs() < NOTHING { 0.0 } else { m[i][4] / m[i][i] })
}

/// True where three of four intervals are whole numbers of waves that last `wave` samples.
fn in_whole_waves(beats: &[i64], wave: f64) -> bool {
    let is_whole = |w: &&[i64]| {
        let times = (w[1] - w[0]) as f64 / wave;
        (times - times.round()).abs() <= WHOLE_WAVES
    };
    4 * beats.windows(2).filter(is_whole).count() >= 3 * beats.len().saturating_sub(1)
}
