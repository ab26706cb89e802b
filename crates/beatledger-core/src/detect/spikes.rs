//! Spikes that no heart makes: the touch of a cable, a discharge.
//!
//! A QRS complex lasts 60 ms and more (common practice); of a spike all but a little stands within a few milliseconds of its
//! summit, and no complex follows it. Candidates are asked before the beats are chosen for good, so that a spike takes no true
//! beat's place.

use rayon::prelude::*;

use super::calibration::spikes::{
    EARLIEST_COMPLEX_S, FEWEST_BEATS, LARGEST_COMPLEX, LARGEST_REST, LATEST_COMPLEX_S, LEAST_HEIGHT,
    NARROW_S, NARROWER_THAN_USUAL, SAMPLED, SHARP, SUMMIT_S, USUAL_AT_MOST, WIDE_S,
};
use super::calibration::work::MIN_BEATS_PER_THREAD;
use crate::condition::raw::read_bridged;
use crate::model::{Quality, Recording, Span};
use crate::statistics::{quantile, upper_median};

/// What a complex looks like on one lead.
#[derive(Clone, Copy)]
struct Look {
    /// Height, ADC units.
    height: f32,
    /// Share of it that stands close to the summit.
    sharp: f32,
}

/// Positions in `middles` (samples, rising) of what is no beat but a spike.
pub(super) fn spikes(recording: &Recording, quality: &Quality, middles: &[i64]) -> Vec<usize> {
    if middles.len() < FEWEST_BEATS {
        return Vec::new();
    }
    let stride = middles.len().div_ceil(SAMPLED);
    let leads: Vec<(usize, Look)> = (0..recording.leads.len())
        .filter_map(|lead| Some((lead, usual(recording, quality, lead, middles, stride)?)))
        .collect();
    if leads.is_empty() {
        return Vec::new();
    }
    (0..middles.len())
        .into_par_iter()
        .with_min_len(MIN_BEATS_PER_THREAD)
        .filter(|i| is_spike(recording, quality, &leads, middles[*i]))
        .collect()
}

/// The usual complex of a lead; `None` where few beats show one, or where it is as sharp as a spike itself.
fn usual(
    recording: &Recording,
    quality: &Quality,
    lead: usize,
    middles: &[i64],
    stride: usize,
) -> Option<Look> {
    let some = middles.iter().step_by(stride).filter(|m| is_readable(recording, quality, lead, **m));
    let looks: Vec<Look> =
        some.filter_map(|m| Around::read(recording, lead, *m)).filter_map(|around| around.look()).collect();
    let middle = |of: fn(&Look) -> f32| quantile(looks.iter().map(of), 0.5);
    let usual = Look { height: middle(|l| l.height)?, sharp: middle(|l| l.sharp)? };
    (looks.len() >= FEWEST_BEATS && usual.sharp <= USUAL_AT_MOST).then_some(usual)
}

/// True when every lead that shows something shows a spike.
fn is_spike(recording: &Recording, quality: &Quality, leads: &[(usize, Look)], middle: i64) -> bool {
    let mut shown = 0;
    for (lead, usual) in leads {
        if !is_readable(recording, quality, *lead, middle) {
            continue;
        }
        let Some(around) = Around::read(recording, *lead, middle) else { return false };
        let Some(look) = around.look() else { return false };
        if look.height < LEAST_HEIGHT * usual.height {
            continue;
        }
        shown += 1;
        if look.sharp < SHARP.max(NARROWER_THAN_USUAL * usual.sharp)
            || around.rest() > (LARGEST_COMPLEX * usual.height).max(LARGEST_REST * look.height)
        {
            return false;
        }
    }
    shown > 0
}

fn is_readable(recording: &Recording, quality: &Quality, lead: usize, middle: i64) -> bool {
    let second = recording.rate.seconds_from_samples(middle) as usize;
    quality.leads.get(lead).and_then(|l| l.kind.get(second)).is_none_or(|k| k.is_readable())
}

/// The samples around a candidate on one lead, in ADC units, and its summit among them.
struct Around {
    raw: Vec<f32>,
    summit: usize,
    /// Close to the summit is so many samples.
    narrow: usize,
    /// The height is looked for so many samples to either side.
    wide: usize,
    /// A complex begins so many samples before the summit at most, and ends so many after it.
    complex: (usize, usize),
}

impl Around {
    /// Reads what stands around `middle`; `None` where samples are missing.
    fn read(recording: &Recording, lead: usize, middle: i64) -> Option<Self> {
        let samples = |s: f64| recording.rate.samples_from_seconds(s).max(1);
        let (near, wide) = (samples(SUMMIT_S), samples(WIDE_S));
        let (early, late) = (samples(EARLIEST_COMPLEX_S), samples(LATEST_COMPLEX_S));
        let (before, after) = (near + early.max(wide), near + late.max(wide));
        let read = read_bridged(recording, lead, Span::new(middle - before, middle + after + 1), 1);
        if !read.gaps.is_empty() {
            return None;
        }
        let raw: Vec<f32> = read.raw.iter().map(|v| *v as f32).collect();
        let level = upper_median(&mut raw.clone())?;
        let off = |i: &usize| (raw[*i] - level).abs();
        let summit =
            ((before - near) as usize..=(before + near) as usize).max_by(|a, b| off(a).total_cmp(&off(b)))?;
        let narrow = ((NARROW_S * recording.rate.hz()) as usize).max(1);
        Some(Self { raw, summit, narrow, wide: wide as usize, complex: (early as usize, late as usize) })
    }

    /// What the complex looks like; `None` where nothing stands there.
    fn look(&self) -> Option<Look> {
        let around = |side: usize| bend(&self.raw[self.summit - side..=self.summit + side]);
        let height = around(self.wide);
        (height > 0.0).then(|| Look { height, sharp: around(self.narrow) / height })
    }

    /// What is left of the complex, and of one that follows, when the summit is cut out.
    fn rest(&self) -> f32 {
        let (early, late) = self.complex;
        let mut rest = self.raw[self.summit - early..=self.summit + late].to_vec();
        let (from, to) = (early - self.narrow, early + self.narrow);
        let (first, slope) = (rest[from], (rest[to] - rest[from]) / (to - from) as f32);
        rest[from..to].iter_mut().enumerate().for_each(|(k, v)| *v = first + slope * k as f32);
        bend(&rest)
    }
}

/// Range of values, less what a slope from the first to the last would give.
fn bend(raw: &[f32]) -> f32 {
    let (first, last) = (raw[0], raw[raw.len() - 1]);
    let slope = (last - first) / (raw.len() - 1).max(1) as f32;
    let level = raw.iter().enumerate().map(|(i, v)| v - first - slope * i as f32);
    let (low, high) = level.fold((f32::INFINITY, f32::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
    high - low
}
