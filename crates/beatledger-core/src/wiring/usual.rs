//! The usual beat of each minute on each lead.

use std::ops::Range;

use rayon::prelude::*;

use super::calibration::{BEFORE_S, FEWEST_BEATS, FOLLOWED_BY, LEVEL, MINUTE_S, POINTS, SAMPLED, STEP_S};
use crate::condition::raw::read_bridged;
use crate::model::{Recording, Span};
use crate::statistics::upper_median;

/// A beat in points, from the level before its QRS complex, in millivolts.
pub(super) type Shape = Vec<f32>;

/// The points of the QRS complex.
pub(super) const QRS: Range<usize> = 9..18;
/// The points of ST and T.
pub(super) const AFTER: Range<usize> = 18..POINTS;

/// The usual beats of a recording.
pub(super) struct UsualBeats<'a> {
    beats: &'a [i64],
    /// Beats of each minute, as positions.
    parts: Vec<Range<usize>>,
    /// By minute and lead.
    shapes: Vec<Vec<Option<Shape>>>,
    length: i64,
}

impl<'a> UsualBeats<'a> {
    pub fn of(recording: &Recording, beats: &'a [i64]) -> Self {
        let length = recording.rate.samples_from_seconds(MINUTE_S).max(1);
        let part = |minute: i64| {
            beats.partition_point(|b| *b < minute * length)
                ..beats.partition_point(|b| *b < (minute + 1) * length)
        };
        let parts: Vec<Range<usize>> = (0..(recording.samples + length - 1) / length).map(part).collect();
        let of_part = |part: &Range<usize>| {
            (0..recording.leads.len()).map(|lead| usual(recording, lead, &beats[part.clone()])).collect()
        };
        Self { beats, shapes: parts.par_iter().map(of_part).collect(), parts, length }
    }

    pub fn minutes(&self) -> usize {
        self.parts.len()
    }

    pub fn at(&self, minute: usize, lead: usize) -> Option<&Shape> {
        self.shapes.get(minute)?.get(lead)?.as_ref()
    }

    /// Beats of a minute and of the one before it.
    pub fn beats_around(&self, minute: usize) -> impl Iterator<Item = i64> + '_ {
        let from = self.parts[minute.saturating_sub(1)].start;
        self.beats[from..self.parts[minute].end].iter().copied()
    }

    /// A beat and those that follow it.
    pub fn beats_after(&self, beat: i64) -> &[i64] {
        let from = self.beats.partition_point(|b| *b < beat);
        &self.beats[from..(from + FOLLOWED_BY).min(self.beats.len())]
    }

    pub fn start_of(&self, minute: usize) -> i64 {
        minute as i64 * self.length
    }
}

/// The median shape of some of `beats`.
fn usual(recording: &Recording, lead: usize, beats: &[i64]) -> Option<Shape> {
    let stride = beats.len().div_ceil(SAMPLED).max(1);
    let some: Vec<Shape> =
        beats.iter().step_by(stride).filter_map(|beat| single(recording, lead, *beat)).collect();
    if some.len() < FEWEST_BEATS {
        return None;
    }
    let at = |i: usize| {
        let mut values: Vec<f32> = some.iter().map(|shape| shape[i]).collect();
        upper_median(&mut values)
    };
    (0..POINTS).map(at).collect()
}

/// The shape of one beat; `None` where samples are missing.
pub(super) fn single(recording: &Recording, lead: usize, beat: i64) -> Option<Shape> {
    let step = recording.rate.samples_from_seconds(STEP_S).max(1);
    let start = beat - recording.rate.samples_from_seconds(BEFORE_S);
    let read = read_bridged(recording, lead, Span::new(start, start + POINTS as i64 * step), 1);
    if !read.gaps.is_empty() {
        return None;
    }
    let scale = 1.0 / (recording.leads[lead].adc_per_mv * step as f64);
    let mean = |chunk: &[i32]| (chunk.iter().map(|v| i64::from(*v)).sum::<i64>() as f64 * scale) as f32;
    let mut shape: Shape = read.raw.chunks_exact(step as usize).map(mean).collect();
    let level = shape[LEVEL].iter().sum::<f32>() / LEVEL.len() as f32;
    shape.iter_mut().for_each(|v| *v -= level);
    Some(shape)
}

/// Correlation of two shapes about the level before QRS.
pub(super) fn alike(a: &Shape, b: &Shape) -> f32 {
    alike_in(a, b)
}

/// The same of parts of two shapes.
pub(super) fn alike_in(a: &[f32], b: &[f32]) -> f32 {
    let product = |a: &[f32], b: &[f32]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f32>();
    product(a, b) / (product(a, a) * product(b, b)).sqrt().max(f32::MIN_POSITIVE)
}

/// Root mean square of a shape.
pub(super) fn height(shape: &Shape) -> f32 {
    (shape.iter().map(|v| v * v).sum::<f32>() / shape.len() as f32).sqrt()
}
