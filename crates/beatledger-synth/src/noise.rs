//! Noise of a block: wander with breathing, muscle, mains, the recorder's own, and leads without contact.

use crate::course::Course;
use crate::maths::{exponential, plateau, sine_of_turns};
use crate::plan::{LeadSet, Level, Lost};
use crate::random::{Purpose, Random};

/// Slow things are computed every so many samples a second and joined by straight lines.
const GRID_HZ: f64 = 15.0;
/// Frequencies of the baseline wander, Hz, with the share of each.
const WANDER: [(f64, f64); 6] =
    [(0.031, 1.0), (0.052, 0.8), (0.093, 0.6), (0.137, 0.5), (0.211, 0.4), (0.330, 0.3)];
/// Frequency of the mains hum, Hz.
const MAINS_HZ: f64 = 50.0;
/// Muscle noise of a lead in motion, mV rms.
const MOTION_MUSCLE_MV: f64 = 0.05;
/// An electrode that comes off throws the baseline, which falls back with this time constant, s.
const OFF_FALL_S: f64 = 0.25;

/// How noisy the whole recording is.
#[derive(Clone, Debug)]
pub(crate) struct Noise<'a> {
    pub(crate) seed: u64,
    pub(crate) rate_hz: f64,
    pub(crate) course: &'a Course,
    pub(crate) muscle: &'a [Level],
    pub(crate) wander: &'a [Level],
    pub(crate) mains: &'a [Level],
    pub(crate) lost: &'a [Lost],
    /// The recorder's own noise, mV rms.
    pub(crate) white_mv: f64,
    /// Wander at rest, mV.
    pub(crate) rest_mv: f64,
}

/// A stretch of one lead being made.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Place {
    pub(crate) block: u64,
    pub(crate) lead: usize,
    pub(crate) start: i64,
    pub(crate) len: usize,
}

fn level(levels: &[Level], at_s: f64) -> f64 {
    levels.iter().map(|l| l.mv * plateau(at_s, l.start_s, l.end_s, 2.0, 2.0)).fold(0.0, f64::max)
}

impl Noise<'_> {
    fn stream(&self, purpose: Purpose, place: &Place) -> Random {
        Random::new(self.seed, purpose, place.block * 64 + place.lead as u64)
    }

    fn seconds(&self, place: &Place) -> (f64, f64) {
        let start_s = place.start as f64 / self.rate_hz;
        (start_s, start_s + place.len as f64 / self.rate_hz)
    }

    /// Calls `value` on a coarse grid and gives each sample the value between.
    fn slowly(
        &self,
        place: &Place,
        out: &mut [f32],
        value: impl Fn(f64) -> f64,
        mut apply: impl FnMut(usize, &mut f32, f64),
    ) {
        let step = ((self.rate_hz / GRID_HZ).floor() as usize).max(1);
        let at_s = |i: usize| (place.start + i as i64) as f64 / self.rate_hz;
        let mut from = 0;
        let mut left = value(at_s(0));
        while from < out.len() {
            let right = value(at_s(from + step));
            let to = (from + step).min(out.len());
            for (k, sample) in out[from..to].iter_mut().enumerate() {
                apply(from + k, sample, left + (right - left) * (k as f64 / step as f64));
            }
            from += step;
            left = right;
        }
    }

    /// Adds everything that is no heart to a block.
    pub(crate) fn add(&self, place: &Place, out: &mut [f32]) {
        self.add_wander(place, out);
        self.add_muscle(place, out);
        self.add_mains(place, out);
        let mut random = self.stream(Purpose::White, place);
        let white_mv = self.white_mv as f32;
        for sample in out.iter_mut() {
            *sample += white_mv * random.bell();
        }
    }

    fn add_wander(&self, place: &Place, out: &mut [f32]) {
        let mut random = Random::new(self.seed, Purpose::Wander, place.lead as u64);
        let phases: [f64; WANDER.len()] = std::array::from_fn(|_| random.share());
        let near = self.near(self.wander, place);
        let value = |at_s: f64| {
            let waves: f64 =
                WANDER.iter().zip(phases).map(|((hz, share), p)| share * sine_of_turns(hz * at_s + p)).sum();
            let breath = sine_of_turns(self.course.breath_turns(at_s) + 0.1 * place.lead as f64);
            waves * (self.rest_mv + level(&near, at_s)) + breath * self.rest_mv * 0.6
        };
        self.slowly(place, out, value, |_, sample, v| *sample += v as f32);
    }

    fn add_muscle(&self, place: &Place, out: &mut [f32]) {
        let mut near = self.near(self.muscle, place);
        let (start_s, end_s) = self.seconds(place);
        let moves = |l: &&Lost| !l.off && l.leads >> place.lead & 1 == 1;
        near.extend(self.lost.iter().filter(moves).filter_map(|l| {
            let (a, b) = (l.start_s as f64, l.end_s as f64);
            (a < end_s && b > start_s).then_some(Level { start_s: a, end_s: b, mv: MOTION_MUSCLE_MV })
        }));
        if near.is_empty() {
            return;
        }
        let mut random = self.stream(Purpose::Muscle, place);
        // A difference over two samples and one over one: energy from 20 Hz up, as in muscle.
        let (mut before, mut last) = (random.bell(), random.bell());
        self.slowly(
            place,
            out,
            |at_s| level(&near, at_s),
            |_, sample, v| {
                let now = random.bell();
                *sample += v as f32 * 0.65 * (now - 0.3 * last - 0.7 * before);
                (before, last) = (last, now);
            },
        );
    }

    fn add_mains(&self, place: &Place, out: &mut [f32]) {
        let near = self.near(self.mains, place);
        if near.is_empty() {
            return;
        }
        let share = [1.0, 0.6, 1.3][place.lead % 3];
        self.slowly(
            place,
            out,
            |at_s| level(&near, at_s),
            |i, sample, v| {
                let turns = (place.start + i as i64) as f64 * MAINS_HZ / self.rate_hz;
                *sample += (v * share * sine_of_turns(turns)) as f32;
            },
        );
    }

    /// The levels that reach into a block.
    fn near(&self, levels: &[Level], place: &Place) -> Vec<Level> {
        let (start_s, end_s) = self.seconds(place);
        levels.iter().filter(|l| l.start_s < end_s && l.end_s > start_s).copied().collect()
    }

    /// Puts an open input in the place of the heart where the lead has no contact: nearly flat, drifting slowly.
    pub(crate) fn open_input(&self, place: &Place, out: &mut [f32]) {
        let bit: LeadSet = 1 << place.lead;
        let rate = self.rate_hz as i64;
        for (i, lost) in self.lost.iter().enumerate().filter(|(_, l)| l.off && l.leads & bit != 0) {
            let from = (lost.start_s * rate - place.start).clamp(0, out.len() as i64) as usize;
            let to = (lost.end_s * rate - place.start).clamp(0, out.len() as i64) as usize;
            if from >= to {
                continue;
            }
            let mut random = Random::new(self.seed, Purpose::Contact, (i as u64) << 8 | place.lead as u64);
            let (offset_mv, phase) = (random.between(-0.5, 0.5), random.share());
            let mut grain = self.stream(Purpose::Contact, place);
            self.slowly(
                &Place { start: place.start + from as i64, ..*place },
                &mut out[from..to],
                |at_s| {
                    let fall = exponential(-(at_s - lost.start_s as f64).max(0.0) / OFF_FALL_S);
                    offset_mv * (1.0 - 3.0 * fall) + 0.25 * sine_of_turns(at_s / 180.0 + phase)
                },
                |_, sample, v| *sample = v as f32 + 0.0015 * grain.bell(),
            );
        }
    }
}
