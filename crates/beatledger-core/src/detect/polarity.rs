//! Polarity of the leads: whether a lead looks inverted, from its average beat.

use rayon::prelude::*;

use crate::condition::raw::read_bridged;
use crate::detect::calibration::polarity::{
    AFTER_S, BEATS, BEFORE_S, LEVEL_FROM_S, LEVEL_TO_S, MIN_BEATS, MIN_WAVE_MV, P_FROM_S, QRS_DOWN_RATIO,
    QRS_HALF_S, T_FROM_S, T_TO_S, WAVE_DOWN_RATIO,
};
use crate::model::{Lead, Recording, Span};

/// Per lead: true when QRS, P and T of the average beat all point down. An rS complex of a right precordial
/// lead has an upright P or T or a clear R wave and is left alone, and so are leads whose names say that they
/// look at the heart from behind or from the right.
pub fn looks_inverted(recording: &Recording, beats: &[i64]) -> Vec<bool> {
    let stride = beats.len().div_ceil(BEATS).max(1);
    let some: Vec<i64> = beats.iter().copied().step_by(stride).collect();
    (0..recording.leads.len())
        .into_par_iter()
        .map(|l| {
            some.len() >= MIN_BEATS
                && !points_down_by_nature(&recording.leads[l])
                && points_down(recording, l, &some)
        })
        .collect()
}

fn points_down_by_nature(lead: &Lead) -> bool {
    let name = lead.name.to_ascii_uppercase();
    name.contains("AVR") || name.contains("V1") || name.contains("MCL1")
}

fn points_down(recording: &Recording, lead: usize, beats: &[i64]) -> bool {
    let rate = recording.rate;
    let (before, after) = (rate.samples_from_seconds(BEFORE_S), rate.samples_from_seconds(AFTER_S));
    let mut sums = vec![0.0f64; (before + after) as usize];
    for beat in beats {
        let span = Span::new(beat - before, beat + after);
        let raw = read_bridged(recording, lead, span, span.len()).raw;
        let level = level_adc(&raw, rate.hz(), before);
        sums.iter_mut().zip(&raw).for_each(|(s, v)| *s += f64::from(*v) - level);
    }
    let scale = 1.0 / (beats.len() as f64 * recording.leads[lead].adc_per_mv);
    let mean_mv: Vec<f32> = sums.iter().map(|s| (s * scale) as f32).collect();
    let part = |from_s: f64, to_s: f64| {
        let at = |s: f64| ((before + rate.samples_from_seconds(s)).max(0) as usize).min(mean_mv.len());
        let values = &mean_mv[at(from_s)..at(to_s)];
        (values.iter().copied().fold(0.0, f32::max), -values.iter().copied().fold(0.0, f32::min))
    };
    let is_down = |(up, down): (f32, f32), factor: f32| down >= MIN_WAVE_MV && down > factor * up;
    is_down(part(-QRS_HALF_S, QRS_HALF_S), QRS_DOWN_RATIO)
        && is_down(part(P_FROM_S, -QRS_HALF_S), WAVE_DOWN_RATIO)
        && is_down(part(T_FROM_S, T_TO_S), WAVE_DOWN_RATIO)
}

/// Level just before the QRS complex, ADC units.
fn level_adc(raw: &[i32], rate_hz: f64, before: i64) -> f64 {
    let at = |s: f64| ((before as f64 + s * rate_hz).max(0.0) as usize).min(raw.len());
    let part = &raw[at(LEVEL_FROM_S)..at(LEVEL_TO_S)];
    part.iter().map(|v| f64::from(*v)).sum::<f64>() / part.len().max(1) as f64
}
