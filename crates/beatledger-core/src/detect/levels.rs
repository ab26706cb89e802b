//! How large beats and the rest are on one lead, second by second.

use crate::condition::band::largest;
use crate::statistics::{rank_at, ranked_by_bits};

/// Seconds to either side that the level of a second is taken from.
const WINDOW_S: usize = 8;
/// A window for one largest value, s: it holds a beat from 40 bpm on.
const PEAK_S: f64 = 1.5;
/// Share of the windows whose largest value lies below the level of beats: below one half, so that the
/// smaller of two kinds of beats sets the level.
const BEAT_QUANTILE: f64 = 0.4;

/// Levels of one lead within a block, a value a second, in steps of the band.
#[derive(Clone, Debug, Default)]
pub(super) struct Levels {
    /// Usual height of the envelope at a beat.
    pub beat: Vec<f32>,
    /// Usual height of the envelope between beats.
    pub rest: Vec<f32>,
}

/// Measures the levels of `size` (an envelope), whose second `s` starts at step `starts[s]`; seconds that are
/// not `usable` do not count.
pub(super) fn levels(size: &[f32], starts: &[usize], usable: &[bool], rate_hz: f64) -> Levels {
    let seconds = starts.len().saturating_sub(1);
    let around = ((PEAK_S - 1.0) / 2.0 * rate_hz) as usize;
    let mut peaks = Vec::with_capacity(seconds);
    let mut middles = Vec::with_capacity(seconds);
    for s in 0..seconds {
        let wide = starts[s].saturating_sub(around)..(starts[s + 1] + around).min(size.len());
        peaks.push(largest(&size[wide]));
        middles.push(middle(&size[starts[s]..starts[s + 1]]));
    }
    let around = |s: usize, values: &[f32], share: f64| {
        let window = s.saturating_sub(WINDOW_S)..(s + WINDOW_S + 1).min(seconds);
        // Numbers that are not negative are in the order of their bits, which are quicker to sort.
        let (mut kept, mut n) = ([0u32; 2 * WINDOW_S + 1], 0);
        for i in window.filter(|i| usable[*i]) {
            kept[n] = values[i].to_bits();
            n += 1;
        }
        ranked_by_bits(&mut kept[..n], rank_at(n, share)).unwrap_or(0.0)
    };
    // Levels change slowly: every other second is enough.
    let every_other = |values: &[f32], share: f64| {
        let mut out: Vec<f32> = Vec::with_capacity(seconds);
        for s in 0..seconds {
            out.push(if s % 2 == 1 { out[s - 1] } else { around(s, values, share) });
        }
        out
    };
    Levels { beat: every_other(&peaks, BEAT_QUANTILE), rest: every_other(&middles, 0.5) }
}

impl Levels {
    /// How clearly beats stand out in second `s`, 0 (not at all) to 1.
    pub fn clearness(&self, s: usize) -> f32 {
        let (beat, rest) = (self.beat[s], self.rest[s]);
        if beat <= 0.0 { 0.0 } else { (1.0 - 2.0 * rest / beat).clamp(0.0, 1.0) }
    }
}

/// Between the fifth and the sixth of the means of ten parts: about the median, at a tenth of its cost.
fn middle(size: &[f32]) -> f32 {
    if size.len() < 10 {
        return if size.is_empty() { 0.0 } else { size.iter().sum::<f32>() / size.len() as f32 };
    }
    let part = size.len() / 10;
    let mut means = [0.0f32; 10];
    // All ten at a time: one sum does not wait for another.
    for k in 0..part {
        means.iter_mut().enumerate().for_each(|(tenth, sum)| *sum += size[tenth * part + k]);
    }
    means.iter_mut().for_each(|sum| *sum /= part as f32);
    means.sort_unstable_by(f32::total_cmp);
    0.5 * (means[4] + means[5])
}
