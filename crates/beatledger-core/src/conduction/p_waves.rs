//! P waves between the beats of a window: places that look like the averaged P wave of its beats.
//!
//! What every beat brings along, QRS, T and U, is averaged and taken out first, so that a U wave hardly passes for one. What lies
//! in QRS or T is not looked at: T changes from beat to beat, and what is left of it looks like a P wave.

use super::calibration::{
    AFTER_T_END_S, AROUND_S, CYCLE_BEFORE_S, CYCLE_ENDS_BEFORE_S, CYCLE_S_LEAST, CYCLE_S_MOST, FEWEST_P,
    HIDDEN_BEFORE_S, LEAST_P_MV, LONG_INTERVAL, P_AGREE, P_ALIKE, P_APART_S, P_SIDE_S, P_SIZE, PR_S,
    SHORT_SHARE, SHORTEST_SHARE, SLOW_S, T_OVER_S, VALUES_HZ,
};
use super::tracing::Tracing;
use crate::model::{FoundBeat, Quality, Recording, SecondQuality, Span};
use crate::statistics;

/// The P waves of a window.
pub(super) struct PWaves {
    /// Samples of their peaks, rising.
    pub places: Vec<i64>,
    /// Samples a second.
    pub hz: f64,
    tracing: Tracing,
    hidden: Vec<bool>,
    /// Seconds of the recording in which a lead that is looked at is good.
    clear: Vec<bool>,
    first_second: usize,
}

impl PWaves {
    /// Looks for them where a long interval or a slow rate asks for it; `None` where nothing asks, or no P wave shows before
    /// the beats.
    pub fn of(recording: &Recording, quality: &Quality, beats: &[FoundBeat], span: Span) -> Option<Self> {
        let rate = recording.rate;
        let whole = span.widened(rate.samples_from_seconds(AROUND_S), recording.whole());
        let first = beats.partition_point(|b| b.sample < whole.start);
        let inside = &beats[first..beats.partition_point(|b| b.sample < whole.end)];
        if !asks(inside, rate.hz()) {
            return None;
        }
        let second = |sample: i64| rate.seconds_from_samples(sample).max(0.0) as usize;
        let seconds = second(whole.start)..=second(whole.end - 1);
        let leads: Vec<usize> =
            (0..recording.leads.len()).filter(|lead| quality.is_readable(*lead, seconds.clone())).collect();
        let mut tracing = Tracing::read(recording, &leads, whole, VALUES_HZ);
        if leads.is_empty() || tracing.len() == 0 {
            return None;
        }
        take_out_cycles(&mut tracing, inside, rate.hz());
        let shape = averaged_p(&tracing, inside)?;
        let hidden = hidden(&tracing, inside, rate.hz());
        let is_good = |lead: &usize, s: usize| {
            quality.leads.get(*lead).and_then(|q| q.kind.get(s)).is_none_or(|k| *k == SecondQuality::Good)
        };
        let clear = (second(whole.start)..=second(whole.end - 1))
            .map(|s| leads.iter().any(|lead| is_good(lead, s)))
            .collect();
        let places = places(&tracing, &hidden, &shape);
        Some(Self { places, hz: rate.hz(), tracing, hidden, clear, first_second: second(whole.start) })
    }

    /// The P waves between two samples.
    pub fn between(&self, from: i64, to: i64) -> &[i64] {
        let at = |sample: i64| self.places.partition_point(|p| *p < sample);
        &self.places[at(from)..at(to.max(from))]
    }

    /// True where a P wave could not be seen.
    pub fn is_hidden(&self, sample: i64) -> bool {
        let at = usize::try_from(self.tracing.at(sample)).ok();
        at.and_then(|at| self.hidden.get(at)).is_none_or(|hidden| *hidden)
    }

    /// True where every second between two samples is good on a lead.
    pub fn is_clear(&self, from: i64, to: i64) -> bool {
        let second = |sample: i64| ((sample as f64 / self.hz) as usize).saturating_sub(self.first_second);
        (second(from)..=second(to)).all(|s| self.clear.get(s).is_none_or(|clear| *clear))
    }

    /// The P wave that belongs to a beat: the last one that can.
    pub fn conducted(&self, beat: i64) -> Option<i64> {
        let back = |seconds: f64| (seconds * self.hz).round() as i64;
        self.between(beat - back(PR_S.1), beat - back(PR_S.0) + 1).last().copied()
    }
}

/// True where an interval is long or the rate slow.
fn asks(beats: &[FoundBeat], hz: f64) -> bool {
    // An interval beside a ventricular beat is long for it.
    let sinus =
        beats.windows(2).filter(|w| w[0].class.is_supraventricular() && w[1].class.is_supraventricular());
    let rr: Vec<f64> = sinus.map(|w| (w[1].sample - w[0].sample) as f64 / hz).collect();
    if rr.len() < FEWEST_P {
        return false;
    }
    let quartile = statistics::quantile(rr.iter().copied(), SHORT_SHARE).unwrap_or(f64::INFINITY);
    let median = statistics::quantile(rr.iter().copied(), 0.5).unwrap_or(0.0);
    median >= SLOW_S || rr.iter().any(|r| *r >= LONG_INTERVAL * quartile)
}

/// Takes the averaged QRS-T out of every beat; a ventricular one is flattened.
fn take_out_cycles(tracing: &mut Tracing, beats: &[FoundBeat], hz: f64) {
    let rr = beats.windows(2).map(|w| (w[1].sample - w[0].sample) as f64 / hz);
    let short = statistics::quantile(rr, SHORTEST_SHARE).unwrap_or(CYCLE_S_MOST);
    let before = tracing.values(CYCLE_BEFORE_S);
    let length = tracing.values((short - CYCLE_ENDS_BEFORE_S).clamp(CYCLE_S_LEAST, CYCLE_S_MOST)) + before;
    let starts: Vec<(i64, bool)> =
        beats.iter().map(|b| (tracing.at(b.sample) - before, b.class.is_supraventricular())).collect();
    let n = tracing.len() as i64;
    let fits = |start: i64| start >= 0 && start + length < n;
    for lead in &mut tracing.mv {
        let level = |lead: &[f32], start: i64| (lead[start as usize] + lead[start as usize + 1]) / 2.0;
        let mut mean = vec![0.0f32; length as usize];
        let of_atria: Vec<i64> = starts.iter().filter(|s| s.1 && fits(s.0)).map(|s| s.0).collect();
        for start in &of_atria {
            let zero = level(lead, *start);
            let part = &lead[*start as usize..];
            mean.iter_mut().zip(part).for_each(|(m, v)| *m += (v - zero) / of_atria.len() as f32);
        }
        // Its end fades out, so that no step is left.
        let fade = (length / 6).max(1) as usize;
        for k in 0..fade.min(mean.len()) {
            let at = mean.len() - 1 - k;
            mean[at] *= k as f32 / fade as f32;
        }
        for (start, is_supraventricular) in starts.iter().filter(|s| fits(s.0)) {
            let from = *start as usize;
            if *is_supraventricular {
                lead[from..].iter_mut().zip(&mean).for_each(|(v, m)| *v -= m);
            } else {
                let (a, b) = (lead[from], lead[from + length as usize]);
                for (k, v) in lead[from..from + length as usize].iter_mut().enumerate() {
                    *v = a + (b - a) * k as f32 / length as f32;
                }
            }
        }
    }
}

/// The values around a place less their mean and slope, lead after lead; empty where it leaves the tracing.
fn around(tracing: &Tracing, at: i64, side: i64, out: &mut Vec<f32>) {
    out.clear();
    if at < side || at + side >= tracing.len() as i64 {
        return;
    }
    let middle = side as f32;
    let square: f32 = (0..=2 * side).map(|k| (k as f32 - middle).powi(2)).sum();
    for lead in &tracing.mv {
        let part = &lead[(at - side) as usize..=(at + side) as usize];
        let mean = part.iter().sum::<f32>() / part.len() as f32;
        let slope = part.iter().enumerate().map(|(k, v)| (k as f32 - middle) * v).sum::<f32>() / square;
        out.extend(part.iter().enumerate().map(|(k, v)| v - mean - slope * (k as f32 - middle)));
    }
}

/// Mean P wave of the beats that have one at a usual place; `None` where too few do, or they do not agree.
fn averaged_p(tracing: &Tracing, beats: &[FoundBeat]) -> Option<Vec<f32>> {
    let side = tracing.values(P_SIDE_S).max(2);
    let (mut sum, mut energy, mut count) = (Vec::new(), 0.0f32, 0usize);
    let mut one = Vec::new();
    for beat in beats.iter().filter(|b| b.class.is_supraventricular()) {
        let Some(peak) = beat.waves.p_peak else { continue };
        around(tracing, tracing.at(beat.sample + i64::from(peak)), side, &mut one);
        if one.is_empty() {
            continue;
        }
        sum.resize(one.len(), 0.0);
        sum.iter_mut().zip(&one).for_each(|(s, v): (&mut f32, &f32)| *s += v);
        energy += one.iter().map(|v| v * v).sum::<f32>();
        count += 1;
    }
    if count < FEWEST_P || energy <= 0.0 {
        return None;
    }
    let of_sum: f32 = sum.iter().map(|v| v * v).sum();
    let agree = (of_sum - energy) / (energy * (count as f32 - 1.0));
    sum.iter_mut().for_each(|v| *v /= count as f32);
    let (low, high) = sum.iter().fold((0.0f32, 0.0f32), |(l, h), v| (l.min(*v), h.max(*v)));
    (agree >= P_AGREE && high - low >= LEAST_P_MV).then_some(sum)
}

/// One flag a value: true from before a complex to the end of its T wave, where a P wave may hide.
fn hidden(tracing: &Tracing, beats: &[FoundBeat], hz: f64) -> Vec<bool> {
    let mut ends: Vec<f64> =
        beats.iter().filter_map(|b| b.waves.t_off).map(|off| f64::from(off) / hz).collect();
    let t_over = statistics::median(&mut ends).unwrap_or(T_OVER_S) + AFTER_T_END_S;
    let (before, after) = (tracing.values(HIDDEN_BEFORE_S), tracing.values(t_over));
    let mut hidden = vec![false; tracing.len()];
    for beat in beats {
        let at = tracing.at(beat.sample);
        let (from, to) = ((at - before).max(0) as usize, (at + after).max(0) as usize);
        hidden[from.min(tracing.len())..to.min(tracing.len())].fill(true);
    }
    hidden
}

/// Where the tracing looks like `shape`, outside what is hidden.
fn places(tracing: &Tracing, hidden: &[bool], shape: &[f32]) -> Vec<i64> {
    let side = tracing.values(P_SIDE_S).max(2);
    let energy: f32 = shape.iter().map(|v| v * v).sum();
    let mut one = Vec::new();
    let mut scores = vec![0.0f32; tracing.len()];
    for (at, score) in scores.iter_mut().enumerate().filter(|(at, _)| !hidden[*at]) {
        around(tracing, at as i64, side, &mut one);
        let dot: f32 = one.iter().zip(shape).map(|(a, b)| a * b).sum();
        let own: f32 = one.iter().map(|v| v * v).sum();
        let (alike, size) = (dot / (own * energy).sqrt().max(f32::MIN_POSITIVE), dot / energy);
        if alike >= P_ALIKE && (P_SIZE.0..=P_SIZE.1).contains(&size) {
            *score = alike * size.min(1.0);
        }
    }
    let apart = tracing.values(P_APART_S).max(1) as usize;
    let mut by_score: Vec<usize> = (0..scores.len()).filter(|at| scores[*at] > 0.0).collect();
    by_score.sort_by(|a, b| scores[*b].total_cmp(&scores[*a]).then(a.cmp(b)));
    let mut taken: Vec<usize> = Vec::new();
    for at in by_score {
        if taken.iter().all(|other| other.abs_diff(at) >= apart) {
            taken.push(at);
        }
    }
    taken.sort_unstable();
    taken.into_iter().map(|at| tracing.sample(at)).collect()
}
