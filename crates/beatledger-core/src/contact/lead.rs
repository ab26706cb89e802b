//! One lead in one silence: its noise and the motion of its baseline against those of the tracing around.

use super::calibration::{
    AFTER_BEAT_S, BASELINE_S, BEFORE_BEAT_S, DRIFT_MV, EDGES, HEIGHT_SIDE_S, KNOT_BEFORE_S, LEAST_CLEARNESS,
    LEAST_HEIGHT, LEAST_MOTION, LEAST_NOISE, MIDDLE, MOST_MOTION, MOST_NOISE, MOTION_MV, MOTION_S,
    QRS_SIDE_S, RECORDER_NOISE_MV, SMOOTH_S, WINDOW_S,
};
use crate::model::{ContactDoubt, Span};
use crate::statistics;

/// Lengths in samples at the rate of the recording.
pub(super) struct Look {
    hz: f64,
}

impl Look {
    pub(super) fn new(hz: f64) -> Self {
        Self { hz }
    }

    fn samples(&self, seconds: f64) -> i64 {
        (seconds * self.hz).round() as i64
    }

    /// `Ok` when the lead was in contact between the beats at both ends of `silence`, why not, or `None` where it shows too
    /// little to be asked: `mv` is the tracing around, `beats` and `silence` count from its start.
    pub(super) fn lead(&self, mv: &[f32], beats: &[i64], silence: Span) -> Option<Result<(), ContactDoubt>> {
        if mv.iter().any(|v| v.is_nan()) {
            return None;
        }
        let noise = self.noise(mv);
        let clear = self.samples(QRS_SIDE_S);
        let inside = Span::new(
            silence.start + self.samples(AFTER_BEAT_S),
            (silence.end - self.samples(BEFORE_BEAT_S)).max(silence.start + self.samples(AFTER_BEAT_S)),
        );
        let is_around = |at: i64| !silence.contains(at) && beats.iter().all(|b| (at - b).abs() > clear);
        let around =
            statistics::quantile(self.windows(&noise, Span::new(0, mv.len() as i64), is_around), MIDDLE)?;
        let heights: Vec<(i64, f32)> = beats.iter().map(|b| (*b, self.height(mv, *b))).collect();
        let usual = statistics::quantile(heights.iter().map(|h| h.1), MIDDLE)?;
        if usual < LEAST_CLEARNESS * around.max(RECORDER_NOISE_MV) {
            return None;
        }
        let beside = heights.iter().filter(|(b, _)| *b == silence.start || *b == silence.end);
        if beside.map(|h| h.1).any(|h| h < LEAST_HEIGHT * usual) {
            return Some(Err(ContactDoubt::NoBeatBeside));
        }
        let Some(quiet) = statistics::quantile(self.windows(&noise, inside, |_| true), MIDDLE) else {
            return Some(Ok(()));
        };
        Some(self.verdict(mv, beats, (silence, inside), (quiet, around)))
    }

    fn verdict(
        &self,
        mv: &[f32],
        beats: &[i64],
        (silence, inside): (Span, Span),
        (quiet, around): (f32, f32),
    ) -> Result<(), ContactDoubt> {
        let floor = around.max(RECORDER_NOISE_MV);
        if quiet > MOST_NOISE * floor {
            return Err(ContactDoubt::Noise);
        }
        if quiet < LEAST_NOISE * around && around > RECORDER_NOISE_MV {
            return Err(ContactDoubt::Flat);
        }
        let baseline: Vec<f32> = self.baseline(mv, inside).collect();
        let moved = range(baseline.iter().copied());
        let at = |share| statistics::quantile(baseline.iter().copied(), share).unwrap_or(0.0);
        let rested = at(1.0 - EDGES) - at(EDGES);
        let usual = self.motion_around(mv, beats, silence, inside.len());
        if moved > DRIFT_MV && moved > MOST_MOTION * usual.1 {
            return Err(ContactDoubt::Drift);
        }
        if inside.len() >= self.samples(MOTION_S) && usual.0 > MOTION_MV && rested < LEAST_MOTION * usual.0 {
            return Err(ContactDoubt::Still);
        }
        Ok(())
    }

    /// What is left when a short running mean is taken away, without its sign.
    fn noise(&self, mv: &[f32]) -> Vec<f32> {
        let side = (self.samples(SMOOTH_S) / 2).max(1) as usize;
        let mut sums = Vec::with_capacity(mv.len() + 1);
        let mut sum = 0.0f64;
        sums.push(sum);
        for v in mv {
            sum += f64::from(*v);
            sums.push(sum);
        }
        let smooth = |i: usize| {
            let (from, to) = (i.saturating_sub(side), (i + side + 1).min(mv.len()));
            (sums[to] - sums[from]) / (to - from) as f64
        };
        mv.iter().enumerate().map(|(i, v)| (f64::from(*v) - smooth(i)).abs() as f32).collect()
    }

    /// Root mean square of the noise in each window of `span` in which every sample `may_count`.
    fn windows(&self, noise: &[f32], span: Span, may_count: impl Fn(i64) -> bool) -> Vec<f32> {
        let length = self.samples(WINDOW_S).max(2);
        let starts = (span.start..=span.end - length).step_by(length as usize);
        let counted = starts.filter(|at| may_count(*at) && may_count(at + length));
        counted
            .filter_map(|at| noise.get(at as usize..(at + length) as usize))
            .map(|w| (w.iter().map(|v| v * v).sum::<f32>() / w.len() as f32).sqrt())
            .collect()
    }

    /// Highest less lowest value beside a beat, mV.
    fn height(&self, mv: &[f32], beat: i64) -> f32 {
        let side = self.samples(HEIGHT_SIDE_S);
        let (from, to) = ((beat - side).max(0) as usize, ((beat + side).max(0) as usize).min(mv.len()));
        range(mv[from.min(to)..to].iter().copied())
    }

    /// The baseline of `span`: means over neighbouring stretches.
    fn baseline<'m>(&self, mv: &'m [f32], span: Span) -> impl Iterator<Item = f32> + use<'m> {
        let (from, to) = (span.start.max(0) as usize, (span.end.max(0) as usize).min(mv.len()));
        let chunks = mv[from.min(to)..to].chunks_exact(self.samples(BASELINE_S).max(1) as usize);
        chunks.map(|c| c.iter().sum::<f32>() / c.len() as f32)
    }

    /// How far the baseline moves around the silence within `length` samples, mV: usually, and at most.
    fn motion_around(&self, mv: &[f32], beats: &[i64], silence: Span, length: i64) -> (f32, f32) {
        let (half, before) = (self.samples(BASELINE_S) / 2, self.samples(KNOT_BEFORE_S));
        let knot = |beat: &i64| {
            let at = beat - before;
            let span = Span::new(at - half, at + half.max(1));
            let values = mv.get(span.start.max(0) as usize..span.end.max(0) as usize)?;
            (span.start >= 0).then(|| (*beat, values.iter().sum::<f32>() / values.len() as f32))
        };
        let knots: Vec<(i64, f32)> = beats.iter().filter_map(knot).collect();
        let motion = |i: usize| {
            let (start, _) = knots[i];
            let within = knots[i..].iter().take_while(|k| k.0 <= start + length);
            // Across the silence nothing is known.
            let crosses = start <= silence.start && start + length >= silence.end;
            (!crosses && within.clone().count() > 1).then(|| range(within.map(|k| k.1)))
        };
        let motions: Vec<f32> = (0..knots.len()).filter_map(motion).collect();
        let most = motions.iter().copied().fold(0.0, f32::max);
        (statistics::quantile(motions, MIDDLE).unwrap_or(0.0), most)
    }
}

fn range(values: impl Iterator<Item = f32>) -> f32 {
    let (low, high) = values.fold((f32::INFINITY, f32::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
    (high - low).max(0.0)
}
