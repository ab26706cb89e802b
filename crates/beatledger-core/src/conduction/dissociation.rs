//! Complete AV block: P waves at a steady rate, slower complexes at a steady rate, and no relation between the two.

use std::f64::consts::TAU;

use super::calibration::{
    ESCAPE_S, ESCAPE_STEADY, FEWEST_ESCAPES, GRID_RATIO, ON_GRID, ON_TIME, PR_SPREAD, SEEN_P, SHORT_STEP,
};
use super::p_waves::PWaves;
use crate::model::{Conducted, Conduction, FoundBeat, Span};
use crate::statistics;

/// The window as a finding, where it is one.
pub(super) fn complete(p: &PWaves, beats: &[FoundBeat], span: Span) -> Option<Conducted> {
    let first = beats.partition_point(|b| b.sample < span.start);
    let inside = &beats[first..beats.partition_point(|b| b.sample < span.end)];
    if inside.len() < FEWEST_ESCAPES {
        return None;
    }
    let mut rr: Vec<f64> = inside.windows(2).map(|w| (w[1].sample - w[0].sample) as f64).collect();
    let interval = statistics::median(&mut rr)?;
    let steady = rr.iter().filter(|r| (**r - interval).abs() <= ESCAPE_STEADY * interval).count();
    let places = p.between(span.start, span.end);
    let is_slow = interval >= ESCAPE_S * p.hz && 2 * steady >= rr.len();
    if !is_slow || (places.len() as f64) < SEEN_P * inside.len() as f64 {
        return None;
    }
    let cycle = cycle(places, interval)?;
    let is_spread = spread(p, inside, cycle) <= PR_SPREAD;
    (interval >= GRID_RATIO * cycle && is_spread).then(|| {
        let count = (span.len() as f64 / cycle).round() as u32;
        Conducted { span, finding: Conduction::Complete, count }
    })
}

/// The P-P interval on whose multiples most distances of neighbouring P waves lie; P waves inside QRS-T are not seen.
fn cycle(places: &[i64], interval: f64) -> Option<f64> {
    let steps: Vec<f64> = places.windows(2).map(|w| (w[1] - w[0]) as f64).collect();
    let mut near: Vec<f64> = {
        let shortest = statistics::quantile(steps.iter().copied(), SHORT_STEP)?;
        steps.iter().copied().filter(|s| (*s / shortest - 1.0).abs() <= ON_TIME).collect()
    };
    let cycle = statistics::median(&mut near)?;
    let is_multiple = |s: &&f64| {
        let times = (**s / cycle).round().max(1.0);
        (**s / cycle - times).abs() <= ON_TIME * times.min(2.0)
    };
    let fits = steps.iter().filter(is_multiple).count() as f64 >= ON_GRID * steps.len() as f64;
    (fits && cycle < interval).then_some(cycle)
}

/// How far the times from the last P wave to the complexes point one way round the P-P interval: 1 all, 0 none.
fn spread(p: &PWaves, beats: &[FoundBeat], cycle: f64) -> f64 {
    let phases: Vec<f64> = beats
        .iter()
        .filter_map(|b| {
            let before = p.between(b.sample - (2.0 * cycle) as i64, b.sample);
            Some(TAU * (b.sample - *before.last()?) as f64 / cycle)
        })
        .collect();
    let n = phases.len().max(1) as f64;
    let (x, y) = phases.iter().fold((0.0, 0.0), |(x, y), phase| (x + phase.cos(), y + phase.sin()));
    (x * x + y * y).sqrt() / n
}
