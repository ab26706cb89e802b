//! The tracing of a window with fewer values a second.

use crate::model::{Recording, Span};

/// Some leads over a stretch, mV, each value the mean of a few samples.
pub(super) struct Tracing {
    start: i64,
    step: i64,
    /// Values a second.
    pub hz: f64,
    /// Values of each lead.
    pub mv: Vec<Vec<f32>>,
}

impl Tracing {
    /// Reads `span` of `leads` with about `values_hz` values a second.
    pub fn read(recording: &Recording, leads: &[usize], span: Span, values_hz: f64) -> Self {
        let step = (recording.rate.hz() / values_hz).round().max(1.0) as i64;
        let mut raw = Vec::new();
        let mv = leads
            .iter()
            .map(|lead| {
                recording.leads[*lead].read_mv(span, &mut raw);
                let mean =
                    |part: &[f32]| part.iter().map(|v| if v.is_finite() { *v } else { 0.0 }).sum::<f32>();
                raw.chunks_exact(step as usize).map(|part| mean(part) / step as f32).collect()
            })
            .collect();
        Self { start: span.start, step, hz: recording.rate.hz() / step as f64, mv }
    }

    /// Number of values.
    pub fn len(&self) -> usize {
        self.mv.first().map_or(0, Vec::len)
    }

    /// Place of a sample, which may lie outside.
    pub fn at(&self, sample: i64) -> i64 {
        (sample - self.start).div_euclid(self.step)
    }

    /// Sample in the middle of a value.
    pub fn sample(&self, at: usize) -> i64 {
        self.start + at as i64 * self.step + self.step / 2
    }

    /// Values that `seconds` last.
    pub fn values(&self, seconds: f64) -> i64 {
        (seconds * self.hz).round() as i64
    }
}
