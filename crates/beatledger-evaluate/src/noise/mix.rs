//! Clean records with recorded noise at set ratios.
//!
//! As the MIT-BIH Noise Stress Test Database is made (Moody, Muldrow and Mark 1984, and the manual page of
//! the mixing tool as restated in Goldberger 2000): five clean minutes, then two minutes of noise and two
//! without in turn. Signal power is (QRS peak to peak)² / 8, the peak to peak a mean over the first 300
//! normal beats within 50 ms of each; noise power the square of the mean RMS of the first 300 seconds, each
//! about its own mean; both means leave out the upper and lower 5 %. Each lead has its own gain. The noise is
//! taken from the same time of its record, and the level is carried over, so that no step marks its edges.

use std::sync::Arc;

use anyhow::ensure;
use beatledger_core::model::{BeatClass, Lead, Rate, Recording, Span};
use beatledger_score::Annotations;
use rayon::prelude::*;

const CLEAN_S: f64 = 300.0;
const TURN_S: f64 = 120.0;
const BEATS: usize = 300;
const AROUND_MS: f64 = 50.0;
const NOISE_S: usize = 300;

/// The stretches with noise.
pub fn noisy_spans(rate: Rate, samples: i64) -> Vec<Span> {
    let at = |seconds: f64| rate.samples_from_seconds(seconds);
    let starts = (0..).map(|i| CLEAN_S + 2.0 * TURN_S * f64::from(i));
    let turn = |s: f64| Span::new(at(s), at(s + TURN_S).min(samples));
    starts.map(turn).take_while(|s| s.start < samples).collect()
}

/// The recording with noise at a ratio.
///
/// # Errors
/// When the rates differ, the noise is shorter than 300 s, or signal or noise has no power.
pub fn mix(
    clean: &Recording,
    reference: &Annotations,
    noise: &Recording,
    level_db: f64,
) -> anyhow::Result<Recording> {
    ensure!(
        clean.rate == noise.rate && !noise.leads.is_empty(),
        "{} has {} samples a second, the noise {}: the same rate is expected",
        clean.name,
        clean.rate.hz(),
        noise.rate.hz()
    );
    let noisy = noisy_spans(clean.rate, clean.samples);
    let mut mixed = clean.clone();
    mixed.leads = (0..clean.leads.len())
        .into_par_iter()
        .map(|i| {
            let noise = &noise.leads[i % noise.leads.len()];
            lead(&clean.leads[i], clean, reference, noise, level_db, &noisy)
        })
        .collect::<anyhow::Result<_>>()?;
    Ok(mixed)
}

fn lead(
    clean: &Lead,
    recording: &Recording,
    reference: &Annotations,
    noise: &Lead,
    level_db: f64,
    noisy: &[Span],
) -> anyhow::Result<Lead> {
    let rate = recording.rate;
    let mut noise_mv = Vec::new();
    noise.read_mv(Span::new(0, noise.samples.len() as i64), &mut noise_mv);
    let signal = signal_power(clean, rate, reference).unwrap_or_default();
    let power = noise_power(&noise_mv, rate).unwrap_or_default();
    ensure!(signal > 0.0 && power > 0.0, "{}: no power in the signal or in the noise", recording.name);
    let gain = (signal / (power * 10f64.powf(level_db / 10.0))).sqrt();
    let mut samples = vec![0i32; clean.samples.len()];
    clean.samples.read(0, &mut samples);
    let (mut held, mut stretch) = (0.0, 0);
    for (at, sample) in samples.iter_mut().enumerate() {
        while noisy.get(stretch).is_some_and(|s| s.end <= at as i64) {
            stretch += 1;
        }
        let value = |at: usize| f64::from(noise_mv[at % noise_mv.len()]);
        if at > 0 && noisy.get(stretch).is_some_and(|s| s.contains(at as i64)) {
            held += gain * (value(at) - value(at - 1));
        }
        *sample = sample.saturating_add((held * clean.adc_per_mv).round() as i32);
    }
    Ok(Lead { samples: Arc::new(samples), missing: None, rails: None, ..clean.clone() })
}

fn signal_power(lead: &Lead, rate: Rate, reference: &Annotations) -> Option<f64> {
    let around = rate.samples_from_ms(AROUND_MS);
    let normal = reference.beats.iter().filter(|b| b.1 == BeatClass::N).take(BEATS);
    let mut mv = Vec::new();
    let heights = normal.map(|(at, _)| {
        lead.read_mv(Span::new(at - around, at + around + 1), &mut mv);
        let (low, high) = mv.iter().fold((f32::MAX, f32::MIN), |(l, h), v| (l.min(*v), h.max(*v)));
        f64::from(high - low)
    });
    Some(trimmed_mean(heights.filter(|h| h.is_finite()).collect())?.powi(2) / 8.0)
}

fn noise_power(mv: &[f32], rate: Rate) -> Option<f64> {
    let second = rate.samples_from_seconds(1.0).max(1) as usize;
    let rms = |part: &[f32]| {
        let mean = part.iter().map(|v| f64::from(*v)).sum::<f64>() / part.len() as f64;
        let square = part.iter().map(|v| (f64::from(*v) - mean).powi(2)).sum::<f64>();
        (square / part.len() as f64).sqrt()
    };
    let parts: Vec<f64> = mv.chunks_exact(second).take(NOISE_S).map(rms).collect();
    (parts.len() == NOISE_S).then(|| trimmed_mean(parts)).flatten().map(|r| r.powi(2))
}

/// Mean without the upper and lower 5 %.
fn trimmed_mean(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let cut = values.len() / 20;
    let kept = values.get(cut..values.len() - cut).filter(|k| !k.is_empty())?;
    Some(kept.iter().sum::<f64>() / kept.len() as f64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use beatledger_core::model::{BeatClass::N, Unit};

    #[test]
    fn noise_comes_from_minute_5_on_for_two_minutes_in_four() {
        let rate = Rate::whole_hz(10);
        let spans = noisy_spans(rate, 10 * 600);
        assert_eq!(spans, [Span::new(3000, 4200), Span::new(5400, 6000)]);
    }

    /// Square pulses of 1 mV: S = 1 / 8 mV². A square wave of 0.5 mV: N = 0.25 mV². At 0 dB the gain is
    /// sqrt(0.5), worked by hand from the definition.
    #[test]
    fn the_gain_follows_from_the_definition_of_the_ratio() {
        let rate = Rate::whole_hz(100);
        let made = |value: &dyn Fn(usize) -> i32| Lead {
            name: "a".into(),
            unit: Unit::Millivolt,
            adc_per_mv: 1000.0,
            adc_zero: 0.0,
            missing: None,
            rails: None,
            prefilter: String::new(),
            samples: Arc::new((0..42_000).map(value).collect::<Vec<i32>>()),
        };
        let recording = |lead: Lead| Recording {
            rate,
            samples: 42_000,
            leads: vec![lead],
            ..crate::recording::empty_recording()
        };
        let clean = recording(made(&|i| if i % 100 == 50 { 1000 } else { 0 }));
        let noise = recording(made(&|i| if i % 2 == 0 { 500 } else { -500 }));
        let reference = Annotations::of_beats((0..400).map(|i| (i * 100 + 50, N)).collect());
        let mixed = mix(&clean, &reference, &noise, 0.0).unwrap();
        let mut mv = Vec::new();
        mixed.leads[0].read_mv(Span::new(29_996, 30_006), &mut mv);
        let step = 0.5f32.sqrt();
        assert!(mv[..4].iter().all(|v| *v == 0.0), "five clean minutes: {mv:?}");
        assert!(mv[4..].windows(2).all(|w| ((w[1] - w[0]).abs() - step).abs() < 2e-3), "{mv:?}");
        assert!(mix(&clean, &reference, &recording(made(&|_| 7)), 0.0).is_err(), "no noise in it");
    }
}
