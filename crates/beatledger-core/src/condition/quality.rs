//! Quality of every lead and second from the samples alone, before any beat is known.
//!
//! A second of a lead is, in this order:
//! - missing, when half of its samples are;
//! - railed, when a fifth of its samples stand at the limits of the recorder;
//! - flat, when it stays below `flat_mv` peak to peak and lies in a stretch of such seconds that is no pause
//!   of the heart: one stuck at a value, or without the noise that the lead usually has between beats, for
//!   2 s, or any of 10 s and more. A pause of the heart keeps the usual noise of its electrode;
//! - unreadable, when it is far beyond the lead's usual size, or muscle noise is as large as its beats;
//! - noisy or good, by the ratio of noise to beats.
//!
//! Motion that imitates beats cannot be told here; that needs the beats, see [`crate::detect`].

use rayon::prelude::*;

use super::band::{Band, STEPS_PER_MV, envelope, largest, step_sums};
use crate::model::{LeadQuality, Progress, Quality, Recording, SecondQuality, Span};
use crate::settings::Settings;
use crate::statistics::quantile;

/// Seconds read at a time.
const BLOCK_S: i64 = 300;
/// A flat stretch without the usual noise is lost contact from this many seconds on.
const QUIET_FLAT_S: usize = 2;
/// A flat stretch is lost contact from this many seconds on, whatever its noise.
const LONG_FLAT_S: usize = 10;
/// A second this many times larger than the usual second is no ECG.
const HUGE_RATIO: f32 = 8.0;
/// Unreadable stretches closer than this are joined: beats between them cannot be judged.
const ISLAND_S: f64 = 2.0;

/// What one second of one lead measures.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Second {
    /// Share of samples missing.
    missing: f32,
    /// Share of samples at the limits of the recorder.
    railed: f32,
    /// Peak to peak, mV, of the samples as they are.
    size_mv: f32,
    /// Largest banded envelope, mV: that of a beat when there is one.
    beat_mv: f32,
    /// Mean of the samples as they are, mV.
    level_mv: f32,
    /// Roughness in the quiet parts of the second, mV: muscle and electrode noise.
    rough_mv: f32,
}

/// Quality of every lead and second, and unreadable time.
pub fn quality(recording: &Recording, settings: &Settings, progress: &Progress) -> Quality {
    let seconds = seconds_in(recording);
    let blocks = (seconds as i64 + BLOCK_S - 1) / BLOCK_S;
    let jobs: Vec<(usize, i64)> =
        (0..recording.leads.len()).flat_map(|l| (0..blocks).map(move |b| (l, b))).collect();
    let band = Band::new(recording.rate.hz());
    let done = std::sync::atomic::AtomicUsize::new(0);
    let measured: Vec<Vec<Second>> = jobs
        .par_iter()
        .map(|(lead, block)| {
            if progress.is_cancelled() {
                return vec![Second::default(); BLOCK_S as usize];
            }
            let out = measure_block(recording, &band, *lead, block * BLOCK_S);
            progress.set(1 + done.fetch_add(1, std::sync::atomic::Ordering::Relaxed), jobs.len());
            out
        })
        .collect();
    let blocks = blocks as usize;
    let leads = (0..recording.leads.len())
        .map(|l| {
            let parts = &measured[l * blocks..(l + 1) * blocks];
            judge(&parts.concat().into_iter().take(seconds).collect::<Vec<Second>>(), settings)
        })
        .collect();
    let mut quality = Quality { leads, unreadable: Vec::new() };
    quality.unreadable = unreadable_spans(recording, &quality.leads);
    quality
}

/// Number of seconds in the recording, a last partial one included.
pub(crate) fn seconds_in(recording: &Recording) -> usize {
    let (samples, seconds) = recording.rate.parts();
    ((recording.samples * i64::from(seconds)) as u64).div_ceil(u64::from(samples)) as usize
}

/// First sample of a second.
pub(crate) fn sample_of_second(recording: &Recording, second: i64) -> i64 {
    let (samples, seconds) = recording.rate.parts();
    (second * i64::from(samples)).div_euclid(i64::from(seconds))
}

fn measure_block(recording: &Recording, band: &Band, lead: usize, first_second: i64) -> Vec<Second> {
    let first = sample_of_second(recording, first_second).div_euclid(band.step);
    let last = sample_of_second(recording, first_second + BLOCK_S).div_euclid(band.step) + 1;
    let banded = band.read(recording, lead, Span::new(first, last));
    let size = envelope(&banded.values, band.steps(0.1) | 1);
    let rails = recording.leads[lead].rails;
    let mv_per_adc = (1.0 / recording.leads[lead].adc_per_mv.abs()) as f32;
    (0..BLOCK_S)
        .map(|s| {
            let start = sample_of_second(recording, first_second + s);
            let end = sample_of_second(recording, first_second + s + 1).min(recording.samples);
            if start >= end {
                return Second { missing: 1.0, ..Second::default() };
            }
            let here = Span::new(start - first * band.step, end - first * band.step);
            let raw = &banded.raw.raw[here.start as usize..here.end as usize];
            let steps = (here.start / band.step) as usize..(here.end / band.step) as usize;
            let (low, high) = raw.iter().fold((i32::MAX, i32::MIN), |(l, h), v| (l.min(*v), h.max(*v)));
            let at_rail = match rails {
                Some((l, h)) if low <= l || high >= h => raw.iter().filter(|v| **v <= l || **v >= h).count(),
                _ => 0,
            };
            let coarse: Vec<i64> = step_sums(raw, band.step as usize);
            let rest = &raw[coarse.len() * band.step as usize..];
            let sum = coarse.iter().sum::<i64>() + rest.iter().map(|v| i64::from(*v)).sum::<i64>();
            Second {
                missing: here.covered_by(&banded.raw.gaps) as f32 / here.len() as f32,
                railed: at_rail as f32 / raw.len() as f32,
                size_mv: (i64::from(high) - i64::from(low)) as f32 * mv_per_adc,
                level_mv: sum as f64 as f32 / raw.len() as f32 * mv_per_adc,
                beat_mv: largest(&size[steps]) / STEPS_PER_MV as f32,
                rough_mv: roughness(&coarse, band.step as usize) * mv_per_adc,
            }
        })
        .collect()
}

/// Roughness of the quiet parts: mean absolute second difference at the working rate (from sums of `step` samples) in
/// tenths of the second, the third smallest of the ten (QRS complexes fill fewer than seven).
fn roughness(coarse: &[i64], step: usize) -> f32 {
    let bent: Vec<f32> = coarse.windows(3).map(|w| (w[0] - 2 * w[1] + w[2]).unsigned_abs() as f32).collect();
    let part = bent.len() / 10;
    if part == 0 {
        return 0.0;
    }
    // A few more than ten when they are short.
    let mut tenths = [0.0f32; 19];
    let tenths = &mut tenths[..(bent.len() / part).min(19)];
    // All at a time: one sum does not wait for another.
    for k in 0..part {
        tenths.iter_mut().enumerate().for_each(|(tenth, sum)| *sum += bent[tenth * part + k]);
    }
    tenths.iter_mut().for_each(|sum| *sum /= part as f32);
    tenths.sort_by(f32::total_cmp);
    tenths[2] / step as f32
}

fn judge(seconds: &[Second], settings: &Settings) -> LeadQuality {
    let flat_mv = settings.flat_mv as f32;
    let alive = || seconds.iter().filter(|s| s.missing < 0.5 && s.railed < 0.2 && s.size_mv >= flat_mv);
    let usual_rough_mv = quantile(alive().map(|s| s.rough_mv), 0.5).unwrap_or(0.0);
    let usual_beat_mv = quantile(alive().map(|s| s.beat_mv), 0.5).unwrap_or(0.0).max(1e-4);
    let usual_size_mv = quantile(alive().map(|s| s.size_mv), 0.5).unwrap_or(0.0);
    let huge_mv = (HUGE_RATIO * usual_size_mv).max(3.0);
    let mut kind: Vec<SecondQuality> = Vec::with_capacity(seconds.len());
    let mut score = Vec::with_capacity(seconds.len());
    for s in seconds {
        // Muscle noise against beats; the second difference is about half as sensitive to beats as the band.
        let ratio = s.rough_mv / usual_beat_mv;
        kind.push(if s.missing >= 0.5 {
            SecondQuality::Missing
        } else if s.railed >= 0.2 {
            SecondQuality::Railed
        } else if s.size_mv > huge_mv || ratio > 1.5 {
            SecondQuality::Unreadable
        } else if ratio > 0.4 || s.size_mv > 0.5 * huge_mv {
            SecondQuality::Noisy
        } else {
            SecondQuality::Good
        });
        score.push((255.0 / (1.0 + (2.0 * ratio).powi(2))) as u8);
    }
    mark_flat(seconds, flat_mv, usual_rough_mv, &mut kind);
    mark_drifting(seconds, usual_beat_mv, usual_size_mv, &mut kind);
    for (score, kind) in score.iter_mut().zip(&kind).filter(|(_, k)| !k.is_readable()) {
        *score = if *kind == SecondQuality::Unreadable { (*score / 8).min(16) } else { 0 };
    }
    LeadQuality { kind, score }
}

fn mark_flat(seconds: &[Second], flat_mv: f32, usual_rough_mv: f32, kind: &mut [SecondQuality]) {
    let is_flat = |s: &Second| s.missing < 0.5 && s.railed < 0.2 && s.size_mv < flat_mv;
    let mut at = 0;
    while at < seconds.len() {
        let n = seconds[at..].iter().take_while(|s| is_flat(s)).count();
        if n > 0 {
            let quiet = seconds[at..at + n].iter().filter(|s| s.rough_mv <= 0.4 * usual_rough_mv).count();
            let lost = n >= LONG_FLAT_S || (n >= QUIET_FLAT_S && 2 * quiet > n) || n == seconds.len();
            if lost {
                kind[at..at + n].fill(SecondQuality::Flat);
            }
        }
        at += n.max(1);
    }
}

/// Lost contact that is not flat: seconds without a beat through which the level creeps or jumps by more than
/// half of the lead's usual size. A pause of the heart leaves the level where it was.
fn mark_drifting(seconds: &[Second], usual_beat_mv: f32, usual_size_mv: f32, kind: &mut [SecondQuality]) {
    let mut at = 0;
    while at < seconds.len() {
        let n = seconds[at..].iter().take_while(|s| s.beat_mv < 0.15 * usual_beat_mv).count();
        if n >= 2 {
            let levels = || seconds[at..at + n].iter().map(|s| s.level_mv);
            let moved = levels().fold(f32::MIN, f32::max) - levels().fold(f32::MAX, f32::min);
            if moved > 0.5 * usual_size_mv {
                for k in kind[at..at + n].iter_mut().filter(|k| k.is_readable()) {
                    *k = SecondQuality::Unreadable;
                }
            }
        }
        at += n.max(1);
    }
}

/// Stretches in which no lead is readable.
pub(crate) fn unreadable_spans(recording: &Recording, leads: &[LeadQuality]) -> Vec<Span> {
    let seconds = seconds_in(recording);
    let spans = (0..seconds)
        .filter(|s| !leads.iter().any(|l| l.kind.get(*s).is_some_and(|k| k.is_readable())))
        .map(|s| {
            let end = sample_of_second(recording, s as i64 + 1).min(recording.samples);
            Span::new(sample_of_second(recording, s as i64), end)
        })
        .collect();
    let island = recording.rate.samples_from_seconds(ISLAND_S);
    let brief = recording.rate.samples_from_seconds(1.5);
    let mut spans = Span::merged(spans, 0);
    spans.retain(|s| s.len() > brief || recording.samples <= brief);
    Span::merged(spans, island)
}
