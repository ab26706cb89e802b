//! The beats of a day as columns, one a fact, so that a pass touches only what it needs.

use std::ops::Range;

use super::calibration::{MOTION_BESIDE_S, SURE_CONFIDENCE, WAVES_EDGE_S};
use crate::model::{BeatClass, Reading, SECONDS_PER_MINUTE, Span};

/// Beats as columns. All columns have the same length.
#[derive(Clone, Debug)]
pub struct Columns<'a> {
    /// Where they come from.
    pub reading: &'a Reading<'a>,
    /// Sample of each beat, rising.
    pub samples: Vec<i64>,
    /// Class in force of each beat.
    pub classes: Vec<BeatClass>,
    /// How clear a P wave stands before it, 0 to 1; NaN when it could not be looked for.
    pub p_before: Vec<f32>,
    /// Interval that ends at each beat, ms; NaN where there is none.
    pub rr_ms: &'a [f32],
}

impl<'a> Columns<'a> {
    /// Lays out the beats of `reading`.
    pub fn new(reading: &'a Reading<'a>) -> Self {
        let n = reading.beats.len();
        let mut columns = Self {
            reading,
            samples: Vec::with_capacity(n),
            classes: Vec::with_capacity(n),
            p_before: Vec::with_capacity(n),
            rr_ms: &reading.rr_ms,
        };
        for beat in reading.beats {
            columns.samples.push(beat.sample);
            columns.classes.push(beat.class);
            columns.p_before.push(beat.evidence.p_before.unwrap_or(f32::NAN));
        }
        columns
    }

    /// Number of beats.
    pub fn len(&self) -> usize {
        self.samples.len()
    }

    /// True when there is no beat.
    pub fn is_empty(&self) -> bool {
        self.samples.is_empty()
    }

    /// True when an interval ends at beat `i`: nothing unreadable lies between it and the beat before.
    pub fn joined(&self, i: usize) -> bool {
        self.rr_ms.get(i).is_some_and(|rr| rr.is_finite())
    }

    /// True when beat `i` is V or F.
    pub fn is_ventricular(&self, i: usize) -> bool {
        self.classes[i].is_ventricular()
    }

    /// True when beat `i` is an ectopic beat: S, V or F.
    pub fn is_ectopic(&self, i: usize) -> bool {
        self.classes[i] == BeatClass::S || self.is_ventricular(i)
    }

    /// True when the ventricular beats of `beats` are hardly surer than chance and lie beside unreadable time:
    /// motion that was not marked as such. They stay beats to be read; nothing is told of them.
    pub fn is_doubtful(&self, beats: Range<usize>) -> bool {
        let beside = self.reading.recording.rate.samples_from_seconds(MOTION_BESIDE_S);
        let around = Span::new(self.samples[beats.start] - beside, self.samples[beats.end - 1] + beside);
        if around.covered_by(self.reading.unreadable) == 0 {
            return false;
        }
        let ventricular = self.reading.beats[beats].iter().filter(|b| b.class.is_ventricular());
        let (sum, n) = ventricular.fold((0.0, 0u32), |(sum, n), b| (sum + b.confidence, n + 1));
        sum < SURE_CONFIDENCE * n as f32
    }

    /// True when `beats` lie wholly at the edge of ventricular flutter or fibrillation, of which they are a part: its
    /// limits are known to a few seconds.
    pub fn is_edge_of_waves(&self, beats: &Range<usize>) -> bool {
        let edge = self.reading.recording.rate.samples_from_seconds(WAVES_EDGE_S);
        let (first, last) = (self.samples[beats.start], self.samples[beats.end - 1]);
        // Where beats stand inside, a reader does not agree that they are waves, and the beats speak for themselves.
        let mut waves =
            self.reading.ventricular_waves().iter().filter(|w| self.reading.beats_in(**w).is_empty());
        waves.any(|w| {
            Span::new(w.start - edge, w.end + edge).covered_by(&[Span::new(first, last + 1)]) > last - first
        })
    }

    /// Rate of `intervals` intervals that last `samples` together, bpm. The product comes first, so that three
    /// beats at 600 ms give exactly 100.
    pub fn bpm_from_samples(&self, intervals: usize, samples: i64) -> f64 {
        let (per, seconds) = self.reading.recording.rate.parts();
        SECONDS_PER_MINUTE * intervals as f64 * f64::from(per) / (samples as f64 * f64::from(seconds))
    }

    /// 60000 / mean RR over the intervals between the beats of `range` that exist, bpm; `None` without any.
    pub fn mean_bpm(&self, range: Range<usize>) -> Option<f64> {
        let (mut intervals, mut samples) = (0, 0);
        for i in range.start + 1..range.end {
            if self.rr_ms[i].is_finite() {
                intervals += 1;
                samples += self.samples[i] - self.samples[i - 1];
            }
        }
        (samples > 0).then(|| self.bpm_from_samples(intervals, samples))
    }

    /// One flag a beat: whether it lies in one of `ranges`.
    pub fn marks(&self, ranges: impl Iterator<Item = Range<usize>>) -> Vec<bool> {
        let mut marks = vec![false; self.len()];
        for range in ranges {
            let end = range.end.min(marks.len());
            marks[range.start.min(end)..end].fill(true);
        }
        marks
    }

    /// Longest stretches of consecutive beats that all satisfy `member`, joined by readable intervals.
    pub fn chains<'s>(
        &'s self,
        member: impl Fn(usize) -> bool + 's,
    ) -> impl Iterator<Item = Range<usize>> + 's {
        let mut at = 0;
        std::iter::from_fn(move || {
            while at < self.len() && !member(at) {
                at += 1;
            }
            if at >= self.len() {
                return None;
            }
            let start = at;
            at += 1;
            while at < self.len() && member(at) && self.joined(at) {
                at += 1;
            }
            Some(start..at)
        })
    }
}
