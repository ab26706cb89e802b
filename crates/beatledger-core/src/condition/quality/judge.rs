//! From what each second of a lead measures to its quality.

use super::measures::Measures;
use crate::condition::calibration::{
    DRIFT_S, DRIFT_SIZE, HUGE_RATIO, LONG_FLAT_S, MIN_HUGE_MV, MIN_USUAL_BEAT_MV, MISSING_FROM,
    NO_BEAT_HEIGHT, NOISY_NOISE, NOISY_SIZE, QUIET_FLAT_S, QUIET_NOISE, RAILED_FROM, SCORE_NOISE_WEIGHT,
    UNREADABLE_MAX_SCORE, UNREADABLE_NOISE, UNREADABLE_SCORE_DIVISOR,
};
use crate::model::{LeadQuality, SecondQuality};
use crate::settings::Settings;
use crate::statistics::quantile;

/// Quality of each second of a lead.
pub fn judge(seconds: &[Measures], settings: &Settings) -> LeadQuality {
    let usual = Usual::new(seconds, settings);
    let mut kind: Vec<SecondQuality> = seconds.iter().map(|s| usual.kind(s)).collect();
    let mut score: Vec<u8> = seconds.iter().map(|s| usual.score(s)).collect();
    mark_flat(seconds, &usual, &mut kind);
    mark_drifting(seconds, &usual, &mut kind);
    for (score, kind) in score.iter_mut().zip(&kind).filter(|(_, k)| !k.is_readable()) {
        let is_unreadable = *kind == SecondQuality::Unreadable;
        *score =
            if is_unreadable { (*score / UNREADABLE_SCORE_DIVISOR).min(UNREADABLE_MAX_SCORE) } else { 0 };
    }
    LeadQuality { kind, score }
}

/// What the seconds of a lead usually measure.
struct Usual {
    flat_mv: f32,
    rough_mv: f32,
    beat_mv: f32,
    size_mv: f32,
    /// A larger second is no ECG.
    huge_mv: f32,
}

impl Usual {
    fn new(seconds: &[Measures], settings: &Settings) -> Self {
        let flat_mv = settings.flat_mv as f32;
        let alive = || seconds.iter().filter(|s| is_there(s) && s.size_mv >= flat_mv);
        let median = |of: fn(&Measures) -> f32| quantile(alive().map(of), 0.5).unwrap_or(0.0);
        let size_mv = median(|s| s.size_mv);
        Self {
            flat_mv,
            rough_mv: median(|s| s.rough_mv),
            beat_mv: median(|s| s.beat_mv).max(MIN_USUAL_BEAT_MV),
            size_mv,
            huge_mv: (HUGE_RATIO * size_mv).max(MIN_HUGE_MV),
        }
    }

    /// Noise against beats.
    fn noise(&self, s: &Measures) -> f32 {
        s.rough_mv / self.beat_mv
    }

    fn kind(&self, s: &Measures) -> SecondQuality {
        let noise = self.noise(s);
        if s.missing >= MISSING_FROM {
            SecondQuality::Missing
        } else if s.railed >= RAILED_FROM {
            SecondQuality::Railed
        } else if s.size_mv > self.huge_mv || noise > UNREADABLE_NOISE {
            SecondQuality::Unreadable
        } else if noise > NOISY_NOISE || s.size_mv > NOISY_SIZE * self.huge_mv {
            SecondQuality::Noisy
        } else {
            SecondQuality::Good
        }
    }

    fn score(&self, s: &Measures) -> u8 {
        (f32::from(u8::MAX) / (1.0 + (SCORE_NOISE_WEIGHT * self.noise(s)).powi(2))) as u8
    }
}

/// Whether a second is neither missing nor railed.
fn is_there(s: &Measures) -> bool {
    s.missing < MISSING_FROM && s.railed < RAILED_FROM
}

/// Marks lost contact: flat stretches that are no pause of the heart.
fn mark_flat(seconds: &[Measures], usual: &Usual, kind: &mut [SecondQuality]) {
    let is_flat = |s: &Measures| is_there(s) && s.size_mv < usual.flat_mv;
    let is_quiet = |s: &&Measures| s.rough_mv <= QUIET_NOISE * usual.rough_mv;
    let mut at = 0;
    while at < seconds.len() {
        let n = seconds[at..].iter().take_while(|s| is_flat(s)).count();
        if n > 0 {
            let quiet = seconds[at..at + n].iter().filter(is_quiet).count();
            let lost = n >= LONG_FLAT_S || (n >= QUIET_FLAT_S && 2 * quiet > n) || n == seconds.len();
            if lost {
                kind[at..at + n].fill(SecondQuality::Flat);
            }
        }
        at += n.max(1);
    }
}

/// Marks lost contact that is not flat: seconds without a beat through which the level creeps or jumps.
/// A pause of the heart leaves the level where it was.
fn mark_drifting(seconds: &[Measures], usual: &Usual, kind: &mut [SecondQuality]) {
    let is_without_beat = |s: &Measures| s.beat_mv < NO_BEAT_HEIGHT * usual.beat_mv;
    let mut at = 0;
    while at < seconds.len() {
        let n = seconds[at..].iter().take_while(|s| is_without_beat(s)).count();
        if n >= DRIFT_S {
            let levels = || seconds[at..at + n].iter().map(|s| s.level_mv);
            let moved = levels().fold(f32::MIN, f32::max) - levels().fold(f32::MAX, f32::min);
            if moved > DRIFT_SIZE * usual.size_mv {
                for k in kind[at..at + n].iter_mut().filter(|k| k.is_readable()) {
                    *k = SecondQuality::Unreadable;
                }
            }
        }
        at += n.max(1);
    }
}
