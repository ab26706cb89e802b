//! The peaks of the common envelope of a block, with what is known of each.

use super::block::Block;
use super::candidates::{Candidate, Candidates};
use crate::detect::calibration::envelope::{
    MIN_BEND_WEIGHT, MIN_HEIGHT, PEAK_HALF_WIDTH_S, SHAPE_HALF_WIDTH_S,
};
use crate::detect::calibration::work::MIN_DIVISOR;

/// The largest value of a stored shape.
const SHAPE_FULL_SCALE: f32 = i8::MAX as f32;

impl Block<'_> {
    /// The candidates of the wanted seconds, with their marks and shapes.
    pub fn candidates(&self) -> Candidates {
        let (first, count) = self.wanted_seconds;
        let wanted =
            |by_lead: &[Vec<f32>]| by_lead.iter().map(|c| c[first..first + count].to_vec()).collect();
        let mut out = Candidates {
            clearness: wanted(&self.lead_clearness),
            size: wanted(&self.lead_size),
            activity: wanted(&self.lead_activity),
            ..Candidates::default()
        };
        let half = self.band.steps(PEAK_HALF_WIDTH_S);
        let mut values = Vec::new();
        for s in first..first + count {
            for i in self.starts[s].max(1)..self.starts[s + 1] {
                let step = self.first + i as i64;
                if self.is_peak(i) && self.wanted.contains(step) && self.is_highest(i, half) {
                    out.places.push(self.candidate(i, s));
                    out.marks.push(self.marks(i, s));
                    self.push_shape(i, s, &mut values, &mut out.shapes);
                }
            }
        }
        out
    }

    /// Whether position `i`, which is not the first one, is a peak that is high enough.
    fn is_peak(&self, i: usize) -> bool {
        let height = self.common[i];
        height >= MIN_HEIGHT
            && self.common[i - 1] < height
            && self.common.get(i + 1).is_none_or(|v| *v <= height)
    }

    /// Whether position `i` is the highest within `half` steps to either side; of equal ones the first counts.
    fn is_highest(&self, i: usize, half: usize) -> bool {
        let before = &self.common[i.saturating_sub(half)..i];
        let after = &self.common[i + 1..(i + 1 + half).min(self.common.len())];
        before.iter().all(|v| *v < self.common[i]) && after.iter().all(|v| *v <= self.common[i])
    }

    /// The candidate at position `i` of second `s`.
    fn candidate(&self, i: usize, s: usize) -> Candidate {
        let bend_weight: f32 = self.weights.iter().skip(1).step_by(2).map(|c| c[s]).sum();
        Candidate {
            step: self.first + i as i64,
            height: self.common[i],
            background: self.background[s],
            sharpness: self.common_bends[i] / bend_weight.max(MIN_BEND_WEIGHT),
            clearness: self.clearness[s],
        }
    }

    /// Adds the shape at a step: the banded leads side by side, the largest value at full scale.
    fn push_shape(&self, at: usize, second: usize, values: &mut Vec<f32>, shapes: &mut Vec<i8>) {
        let half = self.band.steps(SHAPE_HALF_WIDTH_S);
        values.clear();
        for (lead, gains) in self.leads.iter().zip(&self.gains) {
            let (from, to) = (at.saturating_sub(half), (at + half + 1).min(lead.len()));
            values.resize(values.len() + half - (at - from), 0.0);
            values.extend(lead[from..to].iter().map(|v| *v as f32 * gains[second]));
            values.resize(values.len() + at + half + 1 - to, 0.0);
        }
        let largest = values.iter().fold(MIN_DIVISOR, |m, v| if v.abs() > m { v.abs() } else { m });
        shapes.extend(values.iter().map(|v| (v / largest * SHAPE_FULL_SCALE) as i32 as i8));
    }
}
