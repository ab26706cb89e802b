//! How high beats and the background between them are on one channel, second by second.

use crate::condition::band::largest;
use crate::detect::calibration::peak_levels::{
    BACKGROUND_PARTS, BEAT_QUANTILE, PEAK_WINDOW_S, REACH_S, SILENCE_REACH_S, SILENCE_SHARE,
};
use crate::statistics::{rank_at, ranked_by_bits};

/// Levels of one channel within a block, a value a second, in steps of the band.
#[derive(Clone, Debug, Default)]
pub struct PeakLevels {
    /// Usual height of the envelope at a beat.
    pub beat: Vec<f32>,
    /// Usual height of the envelope between beats.
    pub background: Vec<f32>,
}

impl PeakLevels {
    /// Measures `envelope`, whose second `s` starts at step `starts[s]`; seconds that are not `usable` do not count.
    pub fn measure(envelope: &[f32], starts: &[usize], usable: &[bool], rate_hz: f64) -> Self {
        let seconds = starts.len().saturating_sub(1);
        let around = ((PEAK_WINDOW_S - 1.0) / 2.0 * rate_hz) as usize;
        let mut peaks = Vec::with_capacity(seconds);
        let mut backgrounds = Vec::with_capacity(seconds);
        for s in 0..seconds {
            let wide = starts[s].saturating_sub(around)..(starts[s + 1] + around).min(envelope.len());
            peaks.push(largest(&envelope[wide]));
            backgrounds.push(approximate_median(&envelope[starts[s]..starts[s + 1]]));
        }
        Self {
            beat: above_silence(&gliding_quantile(&peaks, usable, BEAT_QUANTILE)),
            background: gliding_quantile(&backgrounds, usable, 0.5),
        }
    }

    /// How clearly beats stand out in second `s`, 0 (not at all) to 1.
    pub fn clearness(&self, s: usize) -> f32 {
        let (beat, background) = (self.beat[s], self.background[s]);
        if beat <= 0.0 { 0.0 } else { (1.0 - 2.0 * background / beat).clamp(0.0, 1.0) }
    }
}

/// Levels of beats that fall no lower than a share of the highest one nearby: where no beat comes for long, noise is not
/// taken for beats, nor are the beats after it for noise.
fn above_silence(levels: &[f32]) -> Vec<f32> {
    let highest = |s: usize| {
        let near = &levels[s.saturating_sub(SILENCE_REACH_S)..(s + SILENCE_REACH_S + 1).min(levels.len())];
        near.iter().copied().fold(0.0, f32::max)
    };
    levels.iter().enumerate().map(|(s, level)| level.max(SILENCE_SHARE * highest(s))).collect()
}

/// The quantile of the usable seconds around each second.
/// Levels change slowly, so that every other second is measured and the next one repeats it.
fn gliding_quantile(values: &[f32], usable: &[bool], share: f64) -> Vec<f32> {
    let around = |s: usize| {
        let window = s.saturating_sub(REACH_S)..(s + REACH_S + 1).min(values.len());
        let (mut kept, mut n) = ([0u32; 2 * REACH_S + 1], 0);
        for i in window.filter(|i| usable[*i]) {
            kept[n] = values[i].to_bits();
            n += 1;
        }
        ranked_by_bits(&mut kept[..n], rank_at(n, share)).unwrap_or(0.0)
    };
    let mut out: Vec<f32> = Vec::with_capacity(values.len());
    for s in 0..values.len() {
        out.push(if s % 2 == 1 { out[s - 1] } else { around(s) });
    }
    out
}

/// The median of the means of equal parts: about the median of the values, at a tenth of its cost.
fn approximate_median(values: &[f32]) -> f32 {
    if values.len() < BACKGROUND_PARTS {
        return if values.is_empty() { 0.0 } else { values.iter().sum::<f32>() / values.len() as f32 };
    }
    let part = values.len() / BACKGROUND_PARTS;
    let mut means = [0.0f32; BACKGROUND_PARTS];
    // All parts are summed side by side, so that one sum does not wait for another.
    for k in 0..part {
        means.iter_mut().enumerate().for_each(|(at, sum)| *sum += values[at * part + k]);
    }
    means.iter_mut().for_each(|sum| *sum /= part as f32);
    means.sort_unstable_by(f32::total_cmp);
    0.5 * (means[BACKGROUND_PARTS / 2 - 1] + means[BACKGROUND_PARTS / 2])
}
