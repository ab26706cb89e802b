//! Paced beats, by the spike that begins them.
//!
//! A pacing pulse lasts 0.1 to 2 ms (ANSI/AAMI EC38:2007); a recorder leaves of it a deflection of one or two
//! samples, sharper than anything that the heart makes. The beat that it starts is slow and wide and lies
//! behind the spike. A beat has a spike where the sharpest bend around it is much sharper than any other, and
//! where most of its slope comes after the spike, a good part of it late. The sharp R wave of a narrow beat
//! has its slope around it, and a beat of bundle branch block has no bend that stands alone.
//!
//! One beat may look so by chance: a shape is paced when most of its members have a spike, and only where a
//! whole shape is paced are single beats with a spike taken for paced. On MIT-BIH Arrhythmia records with a
//! pacemaker the main shapes have 0.94 to 1.00, on all others no shape of 20 members or more has more than
//! 0.37.

use rayon::prelude::*;

use super::calibration::{
    BEND_MS, LATE_FROM_MS, LATE_SLOPE, LEAST_PACED_MEMBERS, LEAST_SPIKE_HZ, LEAST_SPIKE_MV, OWN_BEND_MS,
    OWN_BEND_SAMPLES, PACED_CONFIDENCE, PACED_SHARE, SHARP, SHARP_MS, SLOPE_BEFORE, SLOPE_FROM_MS,
    SLOPE_TO_MS, SMOOTH_MS, SPIKE_FROM_MS, SPIKE_OWN_SLOPE_MS, SPIKE_REACH_MS, SPIKE_SAMPLED, SPIKE_TO_MS,
};
use crate::classify::calibration::MS_PER_S;
use crate::classify::labels::Labels;
use crate::model::{BeatClass, Recording, Span};

/// Makes the beats that a pacemaker started Q, the class of EC57 for them.
pub fn mark(recording: &Recording, samples: &[i64], labels: &mut Labels) {
    if recording.rate.hz() < LEAST_SPIKE_HZ {
        return;
    }
    let mut members: Vec<Vec<usize>> = Vec::new();
    for (i, shape) in labels.shapes.iter().enumerate() {
        members.resize_with(members.len().max(*shape as usize + 1), Vec::new);
        members[*shape as usize].push(i);
    }
    members.retain(|m| m.len() >= LEAST_PACED_MEMBERS);
    let share = |beats: &[usize]| {
        let with = beats.par_iter().filter(|i| has_spike(recording, samples[**i])).count();
        with as f32 / beats.len() as f32
    };
    members.retain(|m| {
        let every: Vec<usize> = m.iter().copied().step_by(m.len().div_ceil(SPIKE_SAMPLED)).collect();
        share(&every) >= PACED_SHARE
    });
    if members.is_empty() {
        return;
    }
    let single = (0..samples.len()).into_par_iter().map(|i| has_spike(recording, samples[i]));
    let mut paced: Vec<bool> = single.collect();
    members.into_iter().flatten().for_each(|i| paced[i] = true);
    for i in (0..samples.len()).filter(|i| paced[*i]) {
        labels.classes[i] = BeatClass::Q;
        labels.confidences[i] = PACED_CONFIDENCE;
        labels.evidence[i].paced = true;
    }
}

/// True when some lead shows a spike that begins the beat at `sample`.
fn has_spike(recording: &Recording, sample: i64) -> bool {
    let hz = recording.rate.hz();
    let before = recording.rate.samples_from_ms(SPIKE_REACH_MS - SPIKE_FROM_MS);
    let after = recording.rate.samples_from_ms(SPIKE_REACH_MS + SPIKE_TO_MS);
    let mut mv = Vec::new();
    recording.leads.iter().any(|lead| {
        lead.read_mv(Span::new(sample - before, sample + after + 1), &mut mv);
        mv.iter().all(|v| v.is_finite()) && is_spiked(&mv, before as usize, hz)
    })
}

/// True when the sharpest bend of `mv` around `at` is a spike that begins a slow beat.
fn is_spiked(mv: &[f32], at: usize, hz: f64) -> bool {
    let samples = |ms: f64| (ms * hz / MS_PER_S).round() as i64;
    let lag = samples(BEND_MS).max(1) as usize;
    let bend = |i: usize| (mv[i - lag] - 2.0 * mv[i] + mv[i + lag]).abs();
    let (from, to) = (at as i64 + samples(SPIKE_FROM_MS), at as i64 + samples(SPIKE_TO_MS));
    let (from, to) = (from.max(lag as i64) as usize, to.min((mv.len() - lag) as i64).max(0) as usize);
    let Some(spike) = (from..to).max_by(|a, b| bend(*a).total_cmp(&bend(*b))) else { return false };
    let own = samples(OWN_BEND_MS).max(OWN_BEND_SAMPLES) as usize;
    let other = (from..to).filter(|i| i.abs_diff(spike) > own).map(bend).fold(0.0, f32::max);
    if bend(spike) < LEAST_SPIKE_MV || bend(spike) < sharp(lag as f64 * MS_PER_S / hz) * other {
        return false;
    }
    let slopes = slopes(mv, samples(SMOOTH_MS).max(1) as usize);
    let slope = |from_ms: f64, to_ms: f64| -> f32 {
        let place = |ms: f64| (spike as i64 + samples(ms)).clamp(0, slopes.len() as i64) as usize;
        slopes[place(from_ms)..place(to_ms)].iter().sum()
    };
    let (before, around, after) = (
        slope(SLOPE_FROM_MS, -SPIKE_OWN_SLOPE_MS),
        slope(-SPIKE_OWN_SLOPE_MS, SPIKE_OWN_SLOPE_MS),
        slope(SPIKE_OWN_SLOPE_MS, SLOPE_TO_MS),
    );
    slope(LATE_FROM_MS, SLOPE_TO_MS) > LATE_SLOPE * (before + around + after) && before < SLOPE_BEFORE * after
}

/// How many times as sharp as any other the bend of a spike is, taken over `bend_ms`.
fn sharp(bend_ms: f64) -> f32 {
    SHARP * (bend_ms / SHARP_MS).max(1.0).powi(2) as f32
}

/// Absolute differences of neighbours after a moving mean of `width` taken twice; as long as `mv`.
fn slopes(mv: &[f32], width: usize) -> Vec<f32> {
    let mean = |x: &[f32]| -> Vec<f32> {
        let half = width / 2;
        (0..x.len())
            .map(|i| {
                let near = &x[i.saturating_sub(half)..(i + width - half).min(x.len())];
                near.iter().sum::<f32>() / near.len() as f32
            })
            .collect()
    };
    let smooth = mean(&mean(mv));
    std::iter::once(0.0).chain(smooth.windows(2).map(|w| (w[1] - w[0]).abs())).collect()
}

#[cfg(test)]
mod tests {
    use beatledger_testkit::Random;

    use super::*;
    use crate::model::testing::drawn;
    use crate::model::{Evidence, Rate};

    const HZ: u32 = 360;

    fn bell(ms: f64, sigma_ms: f64) -> f64 {
        (-0.5 * (ms / sigma_ms).powi(2)).exp()
    }

    /// A narrow beat, a wide one, and what the input filter of a recorder leaves of a spike, `ms` from its
    /// middle.
    fn narrow(ms: f64) -> f64 {
        bell(ms, 9.0) - 0.2 * bell(ms - 25.0, 9.0) + 0.25 * bell(ms - 250.0, 45.0)
    }
    fn wide(ms: f64) -> f64 {
        0.9 * bell(ms - 40.0, 26.0) - 0.5 * bell(ms - 120.0, 30.0)
    }
    fn spike(ms: f64) -> f64 {
        0.8 * (1.0 - ms.abs() / 4.0).max(0.0)
    }

    /// Forty beats a second apart; classes after marking.
    fn marked(rate_hz: u32, shape: impl Fn(usize, f64) -> f64) -> Vec<BeatClass> {
        let samples: Vec<i64> = (1..=40).map(|k| k * i64::from(rate_hz)).collect();
        let mut random = Random::new(1);
        let mv: Vec<f64> = (0..42 * rate_hz as usize)
            .map(|i| {
                let ms = i as f64 * 1000.0 / f64::from(rate_hz);
                let beat = (ms / 1000.0).round().clamp(1.0, 40.0);
                shape(beat as usize, ms - 1000.0 * beat) + 0.01 * (random.share() - 0.5)
            })
            .collect();
        let recording = drawn(rate_hz, &mv);
        assert_eq!(recording.rate, Rate::whole_hz(rate_hz));
        let mut labels = Labels {
            classes: vec![BeatClass::N; 40],
            confidences: vec![0.9; 40],
            evidence: vec![Evidence::default(); 40],
            shapes: vec![0; 40],
        };
        mark(&recording, &samples, &mut labels);
        labels.classes
    }

    #[test]
    fn wide_beats_behind_a_spike_are_paced_at_any_usual_rate() {
        for rate_hz in [250, HZ, 500, 1000] {
            let classes = marked(rate_hz, |_, ms| wide(ms) + spike(ms + 30.0));
            assert!(classes.iter().all(|c| *c == BeatClass::Q), "{rate_hz} Hz");
        }
    }

    #[test]
    fn narrow_beats_wide_beats_and_a_spike_in_one_beat_are_not() {
        assert!(marked(HZ, |_, ms| narrow(ms)).iter().all(|c| *c == BeatClass::N), "narrow");
        assert!(marked(HZ, |_, ms| wide(ms)).iter().all(|c| *c == BeatClass::N), "bundle branch block");
        let once = marked(HZ, |beat, ms| wide(ms) + if beat == 7 { spike(ms + 30.0) } else { 0.0 });
        assert!(once.iter().all(|c| *c == BeatClass::N), "a spike by chance");
    }

    #[test]
    fn a_recorder_too_slow_to_keep_a_spike_marks_nothing() {
        assert!(marked(128, |_, ms| wide(ms) + spike(ms + 30.0)).iter().all(|c| *c == BeatClass::N));
    }
}
