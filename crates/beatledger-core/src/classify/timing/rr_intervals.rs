//! RR intervals, and where there are none: across unreadable time and gaps.

use crate::model::{Quality, Recording, Span};

/// RR interval before each beat, ms; NaN for the first and across unreadable time or a gap.
pub fn rr_ms(recording: &Recording, quality: &Quality, samples: &[i64]) -> Vec<f32> {
    let mut holes = quality.unreadable.clone();
    let mut at = 0;
    for segment in &recording.segments {
        holes.push(Span::new(at, segment.start));
        at = segment.end;
    }
    let holes = Span::merged(holes, 0);
    let mut hole = 0;
    let mut rr = vec![f32::NAN; samples.len()];
    for i in 1..samples.len() {
        let between = Span::new(samples[i - 1], samples[i]);
        while hole < holes.len() && holes[hole].end <= between.start {
            hole += 1;
        }
        if holes.get(hole).is_none_or(|h| !h.touches(between)) {
            rr[i] = recording.rate.ms_from_samples(between.len()) as f32;
        }
    }
    rr
}
