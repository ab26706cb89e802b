//! Averaged beats: the mean waveform of the normal beats of each five minutes, and its limits. Single beats are not
//! paired with their QT (common practice): noise that hides the end of T in one beat is gone in the mean of hundreds.

use std::ops::Range;

use rayon::prelude::*;

use super::agreement::end_of_t;
use super::calibration::{FARTHEST_NEIGHBOUR_S, FEWEST_AVERAGED};
use super::lead_order;
use super::limits::limits_of;
use super::window::Window;
use crate::condition::raw::read_bridged;
use crate::model::{Averaged, BeatClass, Evidence, QtDoubt, Quality, Recording, SecondQuality, Span, Waves};
use crate::settings::Settings;

/// Beats with what was found of them, one entry a beat.
pub struct Labelled<'a> {
    /// Their samples, rising.
    pub samples: &'a [i64],
    /// Their classes.
    pub classes: &'a [BeatClass],
    /// Their wave limits.
    pub waves: &'a [Waves],
    /// Why they have their classes.
    pub evidence: &'a [Evidence],
}

/// The averaged beat of each five minutes that has one, and for every beat whether it took part in one.
pub fn averages(
    recording: &Recording,
    quality: &Quality,
    settings: &Settings,
    beats: &Labelled<'_>,
) -> (Vec<Averaged>, Vec<bool>) {
    let order = lead_order::by_waves(recording, quality, beats.samples);
    let length = recording.rate.samples_from_seconds(Averaged::WINDOW_S).max(1);
    let mut parts: Vec<(i64, Range<usize>)> = Vec::new();
    for (i, sample) in beats.samples.iter().enumerate() {
        match parts.last_mut() {
            Some((window, part)) if *window == sample.div_euclid(length) => part.end = i + 1,
            _ => parts.push((sample.div_euclid(length), i..i + 1)),
        }
    }
    let of_window = |(window, part): &(i64, Range<usize>)| {
        let fit: Vec<usize> = part.clone().filter(|i| takes_part(recording, settings, beats, *i)).collect();
        let (waves, doubt, taken) = average(recording, quality, &order, beats, &fit)?;
        let window = u32::try_from(*window).ok()?;
        Some((Averaged { window, beats: taken.len() as u32, waves, doubt }, taken))
    };
    let found: Vec<(Averaged, Vec<usize>)> = parts.par_iter().filter_map(of_window).collect();
    let mut in_average = vec![false; beats.samples.len()];
    found.iter().flat_map(|(_, taken)| taken).for_each(|i| in_average[*i] = true);
    (found.into_iter().map(|(averaged, _)| averaged).collect(), in_average)
}

/// True for a narrow N beat of fair signal between N beats that are near.
fn takes_part(recording: &Recording, settings: &Settings, beats: &Labelled<'_>, i: usize) -> bool {
    let is_n = |i: usize| beats.classes.get(i) == Some(&BeatClass::N);
    if i == 0
        || !(is_n(i - 1) && is_n(i) && is_n(i + 1))
        || f64::from(beats.evidence[i].quality) < settings.qt_min_quality
    {
        return false;
    }
    let rate = recording.rate;
    let apart = rate.samples_from_seconds(FARTHEST_NEIGHBOUR_S);
    let [before, at, after] = [i - 1, i, i + 1].map(|i| beats.samples[i]);
    let is_narrow = |width: i64| width > 0 && rate.ms_from_samples(width) < settings.wide_qrs_ms;
    after - at <= apart && at - before <= apart && beats.waves[i].qrs_samples().is_some_and(is_narrow)
}

/// Limits of the mean of `fit`, why its end of T is not believed, and the beats that took part: those in seconds of good signal on the lead that shows P
/// and T best; the other leads help to tell QRS.
fn average(
    recording: &Recording,
    quality: &Quality,
    order: &[usize],
    beats: &Labelled<'_>,
    fit: &[usize],
) -> Option<(Waves, Option<QtDoubt>, Vec<usize>)> {
    let on_lead = |lead: usize| -> Vec<usize> {
        let kinds = quality.leads.get(lead).map_or(&[][..], |q| &q.kind);
        let second = |i: usize| recording.rate.seconds_from_samples(beats.samples[i]).max(0.0) as usize;
        let is_good = |i: &usize| kinds.get(second(*i)).is_none_or(|k| *k == SecondQuality::Good);
        fit.iter().copied().filter(is_good).collect()
    };
    let mut leads: Vec<(usize, Vec<usize>)> = order.iter().map(|lead| (*lead, on_lead(*lead))).collect();
    // The first in order that has half of the beats, else the one with most.
    let most = leads.iter().map(|(_, taken)| taken.len()).max().unwrap_or(0);
    let best = leads.iter().position(|(_, taken)| taken.len() * 2 >= fit.len() || taken.len() == most)?;
    leads.retain(|(lead, taken)| *lead == order[best] || taken.len() >= FEWEST_AVERAGED);
    let best = leads.iter().position(|(lead, _)| *lead == order[best])?;
    leads[..=best].rotate_right(1);
    let taken =
        leads.first().map(|(_, taken)| taken.clone()).filter(|taken| taken.len() >= FEWEST_AVERAGED)?;
    let means: Vec<Vec<f32>> =
        leads.iter().map(|(lead, taken)| mean_mv(recording, *lead, beats.samples, taken)).collect();
    let n = taken.len() as f64;
    let mean_of = |gap: &dyn Fn(usize) -> i64| taken.iter().map(|i| gap(*i) as f64).sum::<f64>() / n;
    let before = mean_of(&|i| beats.samples[i] - beats.samples[i - 1]);
    let after = mean_of(&|i| beats.samples[i + 1] - beats.samples[i]);
    let mut window = Window::default();
    window.take(recording.rate, &means, before, after);
    let mut waves = limits_of(&window);
    let (t_off, doubt) = end_of_t(recording.rate, &means, before, after);
    waves.t_off = t_off;
    Some((waves, doubt, taken))
}

/// Mean waveform of the beats `taken` on a lead, each against its own value at the beat, mV.
fn mean_mv(recording: &Recording, lead: usize, samples: &[i64], taken: &[usize]) -> Vec<f32> {
    let (behind, ahead) = Window::reach(recording.rate);
    let (Some(first), Some(last)) = (taken.first(), taken.last()) else { return Vec::new() };
    let span = Span::new(samples[*first] - behind, samples[*last] + ahead);
    let raw = read_bridged(recording, lead, span, behind + ahead).raw;
    let mut sums = vec![0i64; (behind + ahead) as usize];
    for i in taken {
        let from = (samples[*i] - behind - span.start) as usize;
        let part = &raw[from..from + sums.len()];
        let zero = part[behind as usize];
        for (sum, value) in sums.iter_mut().zip(part) {
            *sum += i64::from(*value) - i64::from(zero);
        }
    }
    let scale = recording.leads.get(lead).map_or(1.0, |l| 1.0 / l.adc_per_mv) / taken.len() as f64;
    sums.into_iter().map(|sum| (sum as f64 * scale) as f32).collect()
}
