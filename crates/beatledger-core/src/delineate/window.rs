//! The samples around one beat on its leads, ready for measuring.

use super::calibration::{AFTER_S, ASSUMED_RR_S, BEFORE_S, LEAST_T_MV, SMOOTH_MS, SPEED_S};
use crate::condition::raw::read_bridged;
use crate::model::{MS_PER_SECOND, Rate, Recording, Span};

/// The samples around one beat. Indices count from the start of the window.
#[derive(Clone, Debug, Default)]
pub(super) struct Window {
    /// Samples per second.
    pub rate_hz: f64,
    /// Index of the beat.
    pub beat: usize,
    /// Interval to the beat before, samples.
    pub before: f64,
    /// Interval to the beat after, samples.
    pub after: f64,
    /// The best lead, mV, as it is.
    pub best_mv: Vec<f32>,
    /// The best lead, mV, smoothed.
    pub smooth_mv: Vec<f32>,
    /// Size of the noise on the best lead, mV.
    pub noise_mv: f32,
    /// A T wave is at least this high, mV; of an averaged beat noise alone decides.
    pub least_t_mv: f32,
    /// Speed of change of all leads together, mV per sample.
    pub speed: Vec<f32>,
    raw: Vec<f32>,
    smooth: Vec<f32>,
    scratch: Vec<f32>,
    bits: Vec<u32>,
}

/// The number of this rank among numbers that are not negative, from their bits: these are in the same order, and
/// quicker to sort. 0 of none.
fn nth(bits: &mut [u32], rank: usize) -> f32 {
    if bits.is_empty() { 0.0 } else { f32::from_bits(*bits.select_nth_unstable(rank).1) }
}

impl Window {
    /// Samples that `ms` last.
    pub fn samples(&self, ms: f64) -> usize {
        (ms / MS_PER_SECOND * self.rate_hz).round() as usize
    }

    /// Samples that a window holds before a beat, and from it on.
    pub fn reach(rate: Rate) -> (i64, i64) {
        (rate.samples_from_seconds(BEFORE_S), rate.samples_from_seconds(AFTER_S))
    }

    /// Takes a beat whose samples are known: `leads`, mV, best first, each as long as a window is.
    pub fn take(&mut self, rate: Rate, leads: &[Vec<f32>], before: f64, after: f64) {
        let (behind, ahead) = Self::reach(rate);
        self.begin(rate, (behind, ahead), before, after);
        self.least_t_mv = 0.0;
        for (place, lead) in leads.iter().enumerate() {
            self.raw.clear();
            self.raw.extend(lead);
            self.add_lead(place);
        }
        self.end((behind + ahead) as usize);
    }

    /// Reads the samples around `sample`; `leads` are best first.
    pub fn read(
        &mut self,
        recording: &Recording,
        leads: &[usize],
        sample: i64,
        before: Option<i64>,
        after: Option<i64>,
    ) {
        let rate = recording.rate;
        let assumed = ASSUMED_RR_S * rate.hz();
        let before = before.map_or(assumed, |b| (sample - b) as f64);
        let after = after.map_or(assumed, |a| (a - sample) as f64);
        let (behind, ahead) = Self::reach(rate);
        let span = Span::new(sample - behind, sample + ahead);
        self.begin(rate, (behind, ahead), before, after);
        self.least_t_mv = LEAST_T_MV;
        for (place, lead) in leads.iter().enumerate() {
            let Some(scale) = recording.leads.get(*lead).map(|l| (1.0 / l.adc_per_mv) as f32) else {
                continue;
            };
            let raw = read_bridged(recording, *lead, span, span.len()).raw;
            // Against the beat's own value, so that a large offset costs no digits.
            let zero = raw[self.beat];
            self.raw.clear();
            self.raw.extend(raw.iter().map(|v| (i64::from(*v) - i64::from(zero)) as f32 * scale));
            self.add_lead(place);
        }
        self.end(span.len() as usize);
    }

    fn begin(&mut self, rate: Rate, (behind, ahead): (i64, i64), before: f64, after: f64) {
        self.rate_hz = rate.hz();
        (self.before, self.after) = (before, after);
        self.beat = behind as usize;
        self.speed.clear();
        self.speed.resize((behind + ahead) as usize, 0.0);
        self.best_mv.clear();
    }

    /// Adds the lead that lies in `raw`; the first is the best.
    fn add_lead(&mut self, place: usize) {
        self.add_speed();
        if place == 0 {
            self.best_mv.extend(&self.raw);
        }
    }

    fn end(&mut self, samples: usize) {
        self.best_mv.resize(samples, 0.0);
        self.speed.iter_mut().for_each(|v| *v = v.sqrt());
        self.smooth_best();
        self.noise_mv = self.noise();
    }

    /// A low quantile of the difference between the best lead and its smooth course, every third sample.
    fn noise(&mut self) -> f32 {
        self.scratch.clear();
        let pairs = self.best_mv.iter().zip(&self.smooth_mv).step_by(3);
        self.scratch.extend(pairs.map(|(a, b)| (a - b).abs()));
        let at = self.scratch.len() * 2 / 5;
        self.bits.clear();
        self.bits.extend(self.scratch.iter().map(|v| v.to_bits()));
        nth(&mut self.bits, at)
    }

    fn add_speed(&mut self) {
        let half = ((SPEED_S * self.rate_hz).round() as usize).max(1);
        smoothed(&self.raw, half, &mut self.scratch);
        smoothed(&self.scratch, half, &mut self.smooth);
        let k = ((SPEED_S * self.rate_hz).round() as usize).max(1);
        let Some(n) = self.raw.len().checked_sub(2 * k) else { return };
        let (before, after) = (&self.smooth[..n], &self.smooth[2 * k..]);
        for (speed, (before, after)) in self.speed[k..k + n].iter_mut().zip(before.iter().zip(after)) {
            let change = (after - before) / (2 * k) as f32;
            *speed += change * change;
        }
    }

    /// The best lead under a moving average taken twice, mV.
    fn smooth_best(&mut self) {
        let half = (self.samples(SMOOTH_MS) / 2).max(1);
        smoothed(&self.best_mv, half, &mut self.scratch);
        smoothed(&self.scratch, half, &mut self.smooth_mv);
    }
}

/// Moving average over `half` values to either side; the outermost values are left as they are.
fn smoothed(x: &[f32], half: usize, out: &mut Vec<f32>) {
    out.clear();
    out.extend_from_slice(x);
    let width = 2 * half + 1;
    if x.len() < width {
        return;
    }
    let inner = &mut out[half..x.len() - half];
    let share = 1.0 / width as f32;
    match half {
        1 => return means::<3>(x, inner, share),
        2 => return means::<5>(x, inner, share),
        3 => return means::<7>(x, inner, share),
        _ => {}
    }
    let mut sum: f64 = x[..width].iter().map(|v| f64::from(*v)).sum();
    inner[0] = sum as f32 * share;
    for (to, (enters, leaves)) in inner[1..].iter_mut().zip(x[width..].iter().zip(x)) {
        sum += f64::from(enters - leaves);
        *to = sum as f32 * share;
    }
}

/// Means of `WIDTH` values each; a width that the compiler knows makes it work on several at a time.
fn means<const WIDTH: usize>(x: &[f32], out: &mut [f32], share: f32) {
    let n = out.len().min((x.len() + 1).saturating_sub(WIDTH));
    let terms: [&[f32]; WIDTH] = std::array::from_fn(|k| &x[k..k + n]);
    for (i, to) in out[..n].iter_mut().enumerate() {
        *to = terms.iter().map(|t| t[i]).sum::<f32>() * share;
    }
}

/// Mean of the values in a range, cut to what there is; 0 when nothing is.
pub(super) fn mean(x: &[f32], from: usize, to: usize) -> f32 {
    let part = &x[from.min(x.len())..to.min(x.len()).max(from.min(x.len()))];
    if part.is_empty() { 0.0 } else { part.iter().sum::<f32>() / part.len() as f32 }
}
