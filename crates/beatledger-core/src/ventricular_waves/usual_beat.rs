//! The quick part of the usual QRS complex of a lead: what motion under a beat leaves as it is.

use super::calibration::{
    FEWEST_USUAL, HEIGHT_OF_USUAL, LIKE_USUAL, MOST_LIKE_USUAL, QUICK_HALF_S, QUICK_SLOW_S, SHIFT_S,
    USUAL_SAMPLED,
};
use crate::model::{Recording, Span};

/// The usual QRS complex of a lead.
#[derive(Clone, Debug)]
pub(super) struct UsualBeat {
    lead: usize,
    quick: Vec<f32>,
}

impl UsualBeat {
    /// That of a lead with these beats; `None` where they are too few.
    pub fn of(recording: &Recording, lead: usize, beats: &[i64]) -> Option<Self> {
        let stride = beats.len().div_ceil(USUAL_SAMPLED).max(1);
        let quicks: Vec<Vec<f32>> =
            beats.iter().step_by(stride).filter_map(|at| quick(recording, lead, *at)).collect();
        if quicks.len() < FEWEST_USUAL {
            return None;
        }
        let length = quicks[0].len();
        let at = |i: usize| crate::statistics::quantile(quicks.iter().map(|q| q[i]), 0.5).unwrap_or(0.0);
        Some(Self { lead, quick: (0..length).map(at).collect() })
    }

    /// True when most of `beats` have it.
    pub fn is_of_most(&self, recording: &Recording, beats: &[i64]) -> bool {
        let like = beats.iter().filter(|at| self.is_of(recording, **at)).count();
        like as f32 >= MOST_LIKE_USUAL * beats.len() as f32
    }

    fn is_of(&self, recording: &Recording, at: i64) -> bool {
        let product = |a: &[f32], b: &[f32]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f32>();
        // Motion moves the main deflection a little.
        let reach = recording.rate.samples_from_seconds(SHIFT_S);
        (-reach..=reach).filter_map(|shift| quick(recording, self.lead, at + shift)).any(|quick| {
            let (own, usual) = (product(&quick, &quick), product(&self.quick, &self.quick));
            let like = product(&quick, &self.quick) / (own * usual).sqrt().max(f32::MIN_POSITIVE);
            like > LIKE_USUAL && HEIGHT_OF_USUAL.contains(&(own / usual).sqrt())
        })
    }
}

/// The quick part of the tracing around `at`; `None` where samples are missing.
fn quick(recording: &Recording, lead: usize, at: i64) -> Option<Vec<f32>> {
    let [half, slow] = [QUICK_HALF_S, QUICK_SLOW_S].map(|s| recording.rate.samples_from_seconds(s).max(1));
    let mut mv = Vec::new();
    recording.leads.get(lead)?.read_mv(Span::new(at - half - slow, at + half + slow + 1), &mut mv);
    if mv.iter().any(|v| !v.is_finite()) {
        return None;
    }
    let slow = slow as usize;
    let mean = |i: usize| mv[i..=i + 2 * slow].iter().sum::<f32>() / (2 * slow + 1) as f32;
    Some((0..mv.len() - 2 * slow).map(|i| mv[i + slow] - mean(i)).collect())
}
