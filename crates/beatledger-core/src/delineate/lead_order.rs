//! Which lead shows P and T best.
//!
//! The lead with the cleanest signal may see P and T from the side, as V1 often does. Among leads of about the same
//! quality the one is taken on which both stand out most from its noise, told from beats spread over the recording.

use super::calibration::{BEATS_LOOKED_AT, LEAST_QUALITY_SHARE_OF_DAY, RESOLUTION_MV};
use super::window::Window;
use super::{level, p_wave, qrs, t_wave};
use crate::detect::lead_order;
use crate::model::{Quality, Recording};

/// Leads, the one that shows P and T best first.
pub(super) fn by_waves(recording: &Recording, quality: &Quality, samples: &[i64]) -> Vec<usize> {
    let order = lead_order(quality, recording.leads.len());
    if order.len() < 2 || samples.len() < 3 {
        return order;
    }
    let score =
        |l: &usize| quality.leads.get(*l).map_or(0.0, |q| q.score.iter().map(|s| f64::from(*s)).sum::<f64>());
    let best = order.first().map_or(0.0, score);
    let (mut good, rest): (Vec<usize>, Vec<usize>) =
        order.into_iter().partition(|l| score(l) >= LEAST_QUALITY_SHARE_OF_DAY * best);
    let clarity: Vec<f32> = (0..recording.leads.len())
        .map(|l| if good.contains(&l) { clarity(recording, quality, samples, l) } else { 0.0 })
        .collect();
    good.sort_by(|a, b| clarity[*b].total_cmp(&clarity[*a]));
    good.extend(rest);
    good
}

/// How far P and T together stand out of the noise on a lead: the product of their median heights over the square of
/// the median noise.
fn clarity(recording: &Recording, quality: &Quality, samples: &[i64], lead: usize) -> f32 {
    let mut window = Window::default();
    let (mut p, mut t, mut noise) = (Vec::new(), Vec::new(), Vec::new());
    let step = (samples.len() / BEATS_LOOKED_AT).max(1);
    for i in (1..samples.len() - 1).step_by(step) {
        let second = recording.rate.seconds_from_samples(samples[i]).max(0.0) as usize;
        let kind = quality.leads.get(lead).and_then(|q| q.kind.get(second));
        // Where the lead cannot be read another one is taken.
        if kind.is_some_and(|k| !k.is_readable()) {
            continue;
        }
        window.read(recording, &[lead], samples[i], Some(samples[i - 1]), Some(samples[i + 1]));
        let Some(limits) = qrs::limits(&window) else { continue };
        let level = level::level_before(&window, limits);
        let height = |peak: Option<usize>| peak.map_or(0.0, |at| (window.smooth_mv[at] - level).abs());
        p.push(height(p_wave::p_wave(&window, limits).map(|p| p.peak)));
        t.push(height(t_wave::t_wave(&window, limits).map(|t| t.peak)));
        noise.push(window.noise_mv);
    }
    let (p, t, noise) =
        (median(&mut p) + RESOLUTION_MV, median(&mut t) + RESOLUTION_MV, median(&mut noise) + RESOLUTION_MV);
    p * t / (noise * noise)
}

fn median(values: &mut [f32]) -> f32 {
    let middle = values.len() / 2;
    if values.is_empty() { 0.0 } else { *values.select_nth_unstable_by(middle, f32::total_cmp).1 }
}
