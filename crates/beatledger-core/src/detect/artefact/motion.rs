//! How much larger each second is than the usual one: motion of the leads.

use crate::detect::calibration::motion::{LEAST_QUANTILE, MAX_GROWTH, MIN_SIZE_ADC, REACH_S};
use crate::detect::envelope::Candidates;
use crate::statistics::quantile;

/// Number of seconds over which growth is averaged.
const SECONDS: f32 = (2 * REACH_S + 1) as f32;

/// How many times larger each second is than the usual second, on the lead where it is least so.
pub fn growth(all: &Candidates, seconds: usize) -> Vec<f32> {
    let usual = |size: &Vec<f32>| quantile(size.iter().copied().filter(|v| *v > 0.0), 0.5).unwrap_or(0.0);
    let usual: Vec<f32> = all.size.iter().map(usual).collect();
    let ratio = |l: usize, s: usize| all.size[l].get(s).map_or(1.0, |v| v / usual[l].max(MIN_SIZE_ADC));
    (0..seconds).map(|s| (0..usual.len()).map(|l| ratio(l, s)).fold(MAX_GROWTH, f32::min)).collect()
}

/// Mean and least growth around second `s`; beyond the ends of the recording growth counts as none.
pub fn growth_around(growth: &[f32], s: usize) -> (f32, f32) {
    let near = &growth[s.saturating_sub(REACH_S)..(s + REACH_S + 1).min(growth.len())];
    let least = quantile(near.iter().copied(), LEAST_QUANTILE).unwrap_or(0.0);
    (near.iter().sum::<f32>() / SECONDS, least)
}
