//! T-wave alternans by the modified moving average (Nearing and Verrier 2002, J Appl Physiol 92:541; the update rule
//! is from memory): the beats of even and of odd number each have a running average of ST and T that follows by an
//! eighth of the difference, held to 32 uV and no less than 1 uV; alternans is the largest distance of the two.
//!
//! The same of beats taken two by two (AABB), in which alternans cancels, is the control: what scatter alone gives.
//!
//! Each beat is taken against a line from its own PQ level to that of the next, which takes slow wander away.

use std::ops::Range;

use super::beats::Beats;
use super::calibration::{
    FARTHEST_NEIGHBOUR_MS, FEWEST_BEATS, FIRST_POINT_MS, FOLLOW_SHARE, LARGEST_STEP_UV,
    LAST_POINT_SHARE_OF_RR, POINT_STEP_MS, POINTS, RESTART_S, SETTLED_BEATS, SMALLEST_STEP_UV,
};
use super::trace::Trace;
use crate::model::{AlternansFound, BeatClass};

/// Length of a window, s.
pub const WINDOW_S: f64 = 15.0;

/// ST and T of many beats, one after another.
#[derive(Debug, Default)]
pub(super) struct Shapes {
    points: Vec<f32>,
    /// Points of each beat that can be used; 0 for a beat that takes no part.
    usable: Vec<u8>,
}

impl Shapes {
    /// Adds the beats that follow.
    pub(super) fn append(&mut self, other: Shapes) {
        self.points.extend(other.points);
        self.usable.extend(other.usable);
    }
}

/// ST and T of the beats of `part`. Only N beats between N beats, less than two seconds apart, take part.
pub(super) fn shapes(beats: &Beats<'_>, trace: &Trace, part: &Range<usize>) -> Shapes {
    let mut out = Shapes { points: vec![0.0; part.len() * POINTS], usable: Vec::with_capacity(part.len()) };
    let offsets: [i64; POINTS] =
        std::array::from_fn(|k| trace.samples(FIRST_POINT_MS + POINT_STEP_MS * k as f64));
    let apart = trace.samples(FARTHEST_NEIGHBOUR_MS);
    for (i, points) in part.clone().zip(out.points.chunks_exact_mut(POINTS)) {
        out.usable.push(shape(beats, trace, i, (&offsets, apart), points).unwrap_or(0));
    }
    out
}

fn shape(
    beats: &Beats<'_>,
    trace: &Trace,
    i: usize,
    (offsets, apart): (&[i64; POINTS], i64),
    out: &mut [f32],
) -> Option<u8> {
    let is_n = |i: usize| beats.classes.get(i) == Some(&BeatClass::N);
    if i == 0 || !(is_n(i - 1) && is_n(i) && is_n(i + 1)) {
        return None;
    }
    let (at, next) = (beats.samples[i], beats.samples[i + 1]);
    let onset = |i: usize| beats.waves[i].qrs_on.map(|on| beats.samples[i] + i64::from(on));
    let (on, next_on) = (onset(i)?, onset(i + 1)?);
    if next - at > apart || next_on <= on {
        return None;
    }
    let (level, next_level) = (trace.before_qrs_uv(on)?, trace.before_qrs_uv(next_on)?);
    let slope = (next_level - level) / (next_on - on) as f64;
    let last = at + (LAST_POINT_SHARE_OF_RR * (next - at) as f64) as i64;
    let mut usable = 0;
    trace.all_around_uv(offsets.iter().map(|offset| at + offset), last, |uv| {
        let place = at + offsets[usable];
        out[usable] = (uv - level - slope * (place - on) as f64) as f32;
        usable += 1;
    });
    Some(usable as u8)
}

/// The step of an average towards a beat that lies `difference_uv` away, without limits.
fn unlimited_uv(difference_uv: f64) -> f64 {
    FOLLOW_SHARE * difference_uv
}

/// The step of an average towards a beat that lies `difference_uv` away.
fn step_uv(difference_uv: f64) -> f64 {
    let size =
        unlimited_uv(difference_uv).abs().clamp(SMALLEST_STEP_UV, LARGEST_STEP_UV).min(difference_uv.abs());
    size.copysign(difference_uv)
}

/// The two averages, and the window that is being filled.
struct Averages {
    uv: [[f64; POINTS]; 2],
    beats: [usize; 2],
    window: u32,
    in_window: u16,
    usable: usize,
    squares: f64,
    compared: u32,
}

impl Averages {
    fn new() -> Self {
        let uv = [[0.0; POINTS]; 2];
        Self { uv, beats: [0, 0], window: 0, in_window: 0, usable: POINTS, squares: 0.0, compared: 0 }
    }

    /// Takes a beat in.
    fn add(&mut self, odd: usize, shape: &[f32], usable: usize) {
        let is_first = self.beats[odd] == 0;
        for (average, value) in self.uv[odd].iter_mut().zip(shape) {
            let difference = f64::from(*value) - *average;
            *average += if is_first { difference } else { step_uv(difference) };
        }
        if !is_first {
            let before = &self.uv[odd];
            self.squares +=
                shape[..usable].iter().zip(before).map(|(v, a)| (f64::from(*v) - a).powi(2)).sum::<f64>();
            self.compared += usable as u32;
        }
        self.beats[odd] += 1;
        self.in_window += 1;
        self.usable = self.usable.min(usable);
    }

    /// Largest distance of the two averages, uV.
    fn apart_uv(&self) -> f32 {
        let apart = self.uv[0].iter().zip(&self.uv[1]).take(self.usable).map(|(a, b)| (a - b).abs());
        apart.fold(0.0, f64::max) as f32
    }

    /// Ends the window; `control` holds the same beats two by two.
    fn close(&mut self, control: &mut Self, out: &mut Vec<AlternansFound>) {
        let settled = self.beats.iter().all(|n| *n >= SETTLED_BEATS);
        if settled && self.in_window >= FEWEST_BEATS && self.compared > 0 {
            out.push(AlternansFound {
                window: self.window,
                uv: self.apart_uv(),
                control_uv: control.apart_uv(),
                scatter_uv: (self.squares / f64::from(self.compared)).sqrt() as f32,
                beats: self.in_window,
            });
        }
        for averages in [self, control] {
            (averages.in_window, averages.usable, averages.squares, averages.compared) = (0, POINTS, 0.0, 0);
        }
    }
}

/// Alternans at the end of every window that has enough beats.
pub(super) fn windows(beats: &Beats<'_>, shapes: &Shapes) -> Vec<AlternansFound> {
    let rate = beats.recording.rate;
    let (length, apart) = (rate.samples_from_seconds(WINDOW_S).max(1), rate.samples_from_seconds(RESTART_S));
    let mut out = Vec::new();
    let (mut averages, mut control) = (Averages::new(), Averages::new());
    let mut before = None;
    for (i, shape) in shapes.points.chunks_exact(POINTS).enumerate() {
        let usable = usize::from(shapes.usable[i]);
        if usable == 0 {
            continue;
        }
        let at = beats.samples[i];
        let window = at.div_euclid(length).clamp(0, i64::from(u32::MAX)) as u32;
        if window != averages.window {
            averages.close(&mut control, &mut out);
            averages.window = window;
        }
        if before.is_some_and(|before| at - before > apart) {
            (averages, control) = (Averages { window, ..Averages::new() }, Averages::new());
        }
        before = Some(at);
        averages.add(i % 2, shape, usable);
        control.add(i / 2 % 2, shape, usable);
    }
    averages.close(&mut control, &mut out);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked from the rule (Nearing and Verrier 2002): without limits an average follows a step of 100 uV to 12.5, 65.64,
    /// 88.19 and 98.61 uV after 1, 8, 16 and 32 beats. The floor of 1 uV ends it sooner.
    #[test]
    fn an_average_follows_a_step_by_an_eighth() {
        let follow = |step: fn(f64) -> f64| -> Vec<f64> {
            let mut average = 0.0;
            (0..40).map(|_| (average += step(100.0 - average), average).1).collect()
        };
        let (unlimited, limited) = (follow(unlimited_uv), follow(step_uv));
        for (beats, expected) in [(1, 12.5), (8, 65.64), (16, 88.19), (32, 98.61)] {
            assert!((unlimited[beats - 1] - expected).abs() < 0.005, "{beats} beats: {unlimited:?}");
            assert!(beats > 16 || limited[beats - 1] == unlimited[beats - 1]);
        }
        assert_eq!(limited[39], 100.0);
    }

    #[test]
    fn a_step_is_held_to_32_and_never_beyond_the_beat() {
        assert_eq!(
            [step_uv(1000.0), step_uv(-1000.0), step_uv(4.0), step_uv(-0.3)],
            [32.0, -32.0, 1.0, -0.3]
        );
        assert_eq!(step_uv(0.0), 0.0);
    }
}
