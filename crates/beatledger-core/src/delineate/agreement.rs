//! Where the T wave of an averaged beat ends, told from all leads that show it, and whether that is believed.
//!
//! A QT is worth no more than the end of its T wave: a flat wave, a second wave after it, an ST segment that passes for it, leads
//! or methods that do not agree leave it open (common practice). The end is the mean over the leads.

use super::calibration::{
    LEADS_AGREE_MS, ONE_WAVE_LIMB_MS, SECOND_WAVE_SHARE, ST_AFTER_J_MS, ST_SHARE_OF_T, TANGENTS_AGREE_MS,
    TOLD_T_OF_QRS, TOLD_T_SHARE, WAYS_AGREE_MS,
};
use super::level::level_before;
use super::qrs;
use super::t_wave::{t_wave, tangent_end, wave_after};
use super::window::Window;
use crate::model::{QtDoubt, Rate};

/// What one lead says of the T wave.
struct OnLead {
    height_mv: f32,
    /// From the lowest to the highest place of the complex, mV.
    qrs_mv: f32,
    /// Its end by area and by tangent, ms after the beat; `None` where it merges with the next P wave.
    ends_ms: Option<(f64, f64)>,
    /// From its peak to its end, ms.
    limb_ms: f64,
    /// Height of the wave after it, mV.
    second_mv: f32,
    /// Height of the ST segment, mV; of the sign of T.
    st_mv: f32,
}

/// End of T, samples after the beat, and why it is not believed. `means` are the averaged beats of the leads, mV.
pub(super) fn end_of_t(
    rate: Rate,
    means: &[Vec<f32>],
    before: f64,
    after: f64,
) -> (Option<i16>, Option<QtDoubt>) {
    let mut window = Window::default();
    let mut turned = means.to_vec();
    let mut leads: Vec<OnLead> = Vec::new();
    for _ in 0..means.len() {
        window.take(rate, &turned, before, after);
        leads.extend(on_lead(&window));
        turned.rotate_left(1);
    }
    let highest = leads.iter().map(|l| l.height_mv).fold(0.0, f32::max);
    leads.retain(|l| l.height_mv >= TOLD_T_SHARE * highest);
    // A flat wave tells no end, and is still heard where it speaks against the others.
    let heard: Vec<f64> = leads.iter().filter_map(|l| l.ends_ms).map(|ends| ends.0).collect();
    leads.retain(|l| l.height_mv >= TOLD_T_OF_QRS * l.qrs_mv);
    if leads.is_empty() {
        return (None, Some(QtDoubt::FlatT));
    }
    let ends: Vec<(f64, f64)> = leads.iter().filter_map(|l| l.ends_ms).collect();
    let mean_ms = ends.iter().map(|e| e.0).sum::<f64>() / ends.len().max(1) as f64;
    let off = (!ends.is_empty()).then(|| (mean_ms * rate.hz() / crate::model::MS_PER_SECOND).round() as i16);
    (off, doubt(&leads, &ends, &heard))
}

fn doubt(leads: &[OnLead], ends: &[(f64, f64)], heard: &[f64]) -> Option<QtDoubt> {
    let apart = |of: &mut dyn Iterator<Item = f64>| {
        let (low, high) = of.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), x| (l.min(x), h.max(x)));
        high - low
    };
    let disagree = apart(&mut heard.iter().copied()) > LEADS_AGREE_MS
        || apart(&mut ends.iter().map(|e| e.1)) > TANGENTS_AGREE_MS;
    if ends.len() < leads.len() {
        Some(QtDoubt::MergesWithP)
    } else if leads.iter().any(has_second_wave) {
        Some(QtDoubt::TwoWaves)
    } else if leads.iter().any(|l| l.st_mv > ST_SHARE_OF_T * l.height_mv) {
        Some(QtDoubt::StPassesForT)
    } else if disagree {
        Some(QtDoubt::LeadsDisagree)
    } else if ends.iter().any(|e| (e.0 - e.1).abs() > WAYS_AGREE_MS) {
        Some(QtDoubt::WaysDisagree)
    } else {
        None
    }
}

/// True where a second wave or a tail follows T on a lead.
fn has_second_wave(lead: &OnLead) -> bool {
    lead.second_mv > SECOND_WAVE_SHARE * lead.height_mv || lead.limb_ms > ONE_WAVE_LIMB_MS
}

/// What the first lead of the window says; `None` where it shows no complex or no T wave.
fn on_lead(w: &Window) -> Option<OnLead> {
    let limits = qrs::limits(w)?;
    let t = t_wave(w, limits)?;
    let level = level_before(w, limits);
    let ms = |at: usize| crate::model::MS_PER_SECOND * (at as f64 - w.beat as f64) / w.rate_hz;
    let height = w.smooth_mv[t.peak] - level;
    let st = w.smooth_mv[(limits.off + w.samples(ST_AFTER_J_MS)).min(w.smooth_mv.len() - 1)] - level;
    let complex = &w.best_mv[limits.on..limits.off.max(limits.on + 1)];
    let (low, high) =
        complex.iter().fold((f32::INFINITY, f32::NEG_INFINITY), |(l, h), v| (l.min(*v), h.max(*v)));
    Some(OnLead {
        height_mv: height.abs(),
        qrs_mv: high - low,
        ends_ms: t.off.zip(tangent_end(w, level, t.peak)).map(|(off, tangent)| (ms(off), ms(tangent))),
        limb_ms: t.off.map_or(0.0, |off| ms(off) - ms(t.peak)),
        second_mv: t.off.map_or(0.0, |off| wave_after(w, off)),
        st_mv: height.signum() * st,
    })
}
