//! One stretch of all leads in the band, with their common envelope.

use super::activity::{baseline_activity, peak_to_peak};
use super::common_envelope::Weights;
use super::peak_levels::PeakLevels;
use crate::condition::band::{Band, bends, envelope};
use crate::condition::calibration::{ENVELOPE_S, STEPS_PER_MV};
use crate::condition::seconds::sample_of_second;
use crate::detect::calibration::envelope::{BEND_S, MARGIN_S};
use crate::model::{LeadQuality, Quality, Recording, Span};

/// One stretch of all leads in the band.
///
/// A lead has two channels, one after the other: the band, and its second differences.
pub struct Block<'a> {
    pub band: &'a Band,
    /// Step at which the values start.
    pub first: i64,
    /// Steps whose candidates are wanted.
    pub wanted: Span,
    /// Position of the first wanted second, and how many are wanted.
    pub wanted_seconds: (usize, usize),
    /// Start of each second, in steps from `first`, and one more.
    pub starts: Vec<usize>,
    /// Banded values of each lead.
    pub leads: Vec<Vec<i32>>,
    /// Raw samples of each lead over the same stretch.
    pub raw: Vec<Vec<i32>>,
    /// Quality score of each lead and second, 0 to 1.
    pub quality_scores: Vec<Vec<f32>>,
    /// Envelope of the band of each lead.
    pub envelopes: Vec<Vec<f32>>,
    /// Steps of the band per raw unit, by lead.
    pub scales: Vec<f32>,
    /// What brings the usual beat to 1, by channel and second.
    pub gains: Vec<Vec<f32>>,
    /// Weight in the common envelope, by channel and second; together 1.
    pub weights: Vec<Vec<f32>>,
    /// The common envelope, in usual beats.
    pub common: Vec<f32>,
    /// The part of `common` that the second differences make up.
    pub common_bends: Vec<f32>,
    /// Usual height between beats, in usual beats, by second.
    pub background: Vec<f32>,
    /// How clearly beats stand out on the best channel, by second.
    pub clearness: Vec<f32>,
    /// How clearly beats stand out, 0 to 1, by lead and second.
    pub lead_clearness: Vec<Vec<f32>>,
    /// Peak to peak of the raw samples, by lead and second.
    pub lead_size: Vec<Vec<f32>>,
    /// Activity of the baseline between beats, by lead and second.
    pub lead_activity: Vec<Vec<f32>>,
}

impl<'a> Block<'a> {
    /// Reads the seconds `wanted` (the first, and how many) of `seconds`, and some to either side.
    pub fn read(
        recording: &Recording,
        quality: &Quality,
        band: &'a Band,
        wanted: (i64, i64),
        seconds: i64,
    ) -> Self {
        let (second, count) = wanted;
        let step_of = |s: i64| sample_of_second(recording, s).div_euclid(band.step);
        let (from_s, to_s) = ((second - MARGIN_S).max(0), (second + count + MARGIN_S).min(seconds));
        let end = (step_of(to_s)).min(band.len(recording));
        let first = step_of(from_s);
        let starts: Vec<usize> = (from_s..=to_s).map(|s| (step_of(s).min(end) - first) as usize).collect();
        let stretch = Stretch { from_s, to_s, steps: Span::new(first, end), starts };
        let mut signals = Signals::default();
        for lead in 0..recording.leads.len() {
            signals.push(recording, quality.leads.get(lead), band, lead, &stretch);
        }
        let starts = stretch.starts;
        let Signals { leads, raw, size, activity, scores, envelopes, levels } = signals;
        let weights = Weights::new(&levels, &scores, starts.len().saturating_sub(1));
        let (common, common_bends) = weights.blend(&envelopes, &starts, leads.first().map_or(0, Vec::len));
        Self {
            band,
            first,
            wanted: Span::new(step_of(second), step_of((second + count).min(seconds)).min(end)),
            wanted_seconds: ((second - from_s) as usize, ((second + count).min(seconds) - second) as usize),
            lead_clearness: lead_clearness(&levels, starts.len().saturating_sub(1)),
            starts,
            leads,
            raw,
            quality_scores: scores,
            envelopes: envelopes.into_iter().step_by(2).collect(),
            scales: recording.leads.iter().map(|l| (STEPS_PER_MV / l.adc_per_mv) as f32).collect(),
            gains: weights.gains,
            weights: weights.weights,
            common,
            common_bends,
            background: weights.background,
            clearness: weights.clearness,
            lead_size: size,
            lead_activity: activity,
        }
    }
}

/// Clearness of each lead by second: that of its clearer channel.
fn lead_clearness(levels: &[PeakLevels], seconds: usize) -> Vec<Vec<f32>> {
    let clearer = |pair: &[PeakLevels], s: usize| pair[0].clearness(s).max(pair[1].clearness(s));
    levels.chunks_exact(2).map(|pair| (0..seconds).map(|s| clearer(pair, s)).collect()).collect()
}

/// The seconds that a block reads.
struct Stretch {
    from_s: i64,
    to_s: i64,
    /// Steps of the band.
    steps: Span,
    /// Start of each second, in steps from the first one, and one more.
    starts: Vec<usize>,
}

/// What is read of each lead before the leads are combined.
#[derive(Default)]
struct Signals {
    leads: Vec<Vec<i32>>,
    raw: Vec<Vec<i32>>,
    size: Vec<Vec<f32>>,
    activity: Vec<Vec<f32>>,
    scores: Vec<Vec<f32>>,
    /// By channel.
    envelopes: Vec<Vec<f32>>,
    /// By channel.
    levels: Vec<PeakLevels>,
}

impl Signals {
    /// Reads the next lead.
    fn push(
        &mut self,
        recording: &Recording,
        quality: Option<&LeadQuality>,
        band: &Band,
        lead: usize,
        stretch: &Stretch,
    ) {
        let banded = band.read(recording, lead, stretch.steps);
        let (values, raw) = (banded.values, banded.raw.raw);
        let (starts, step) = (&stretch.starts, band.step as usize);
        let second = |w: &[usize]| &raw[w[0] * step..w[1] * step];
        self.size.push(starts.windows(2).map(|w| peak_to_peak(second(w))).collect());
        self.activity.push(starts.windows(2).map(|w| baseline_activity(second(w), recording.rate)).collect());
        let seconds = stretch.from_s..stretch.to_s;
        let score = |s: i64| {
            let known = quality.and_then(|q| q.score.get(s as usize));
            known.map_or(1.0, |v| f32::from(*v) / f32::from(u8::MAX))
        };
        let is_usable = |s: i64| quality.and_then(|q| q.kind.get(s as usize)).is_none_or(|k| k.is_readable());
        let usable: Vec<bool> = seconds.clone().map(is_usable).collect();
        let width = band.steps(ENVELOPE_S) | 1;
        for envelope in [envelope(&values, width), envelope(&bends(&values, band.steps(BEND_S)), width)] {
            self.levels.push(PeakLevels::measure(&envelope, starts, &usable, band.rate_hz));
            self.envelopes.push(envelope);
        }
        self.scores.push(seconds.map(score).collect());
        self.leads.push(values);
        self.raw.push(raw);
    }
}
