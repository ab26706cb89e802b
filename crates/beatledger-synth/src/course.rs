//! The course of the sinus rate: day and night, holds such as stairs or sleep, breathing, slow drift.

use crate::maths::{plateau, sine_of_turns};
use crate::random::{Purpose, Random};

/// Clock hour at which a script starts.
pub(crate) const START_HOUR: f64 = 8.0;

/// Rate over the clock, bpm; straight lines between. About 75 by day, 56 to 58 at night.
const DAY_BPM: [(f64, f64); 12] = [
    (0.0, 57.0),
    (4.5, 56.0),
    (6.2, 58.0),
    (7.2, 70.0),
    (8.0, 76.0),
    (12.0, 77.0),
    (14.0, 74.0),
    (18.0, 78.0),
    (20.5, 74.0),
    (22.5, 66.0),
    (23.3, 58.0),
    (24.0, 57.0),
];

/// A stretch in which the rate is drawn to a target.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Hold {
    pub(crate) start_s: f64,
    pub(crate) end_s: f64,
    pub(crate) up_s: f64,
    pub(crate) down_s: f64,
    pub(crate) bpm: f64,
}

/// The rate over the whole recording.
#[derive(Clone, Debug)]
pub(crate) struct Course {
    /// Seconds of the recording per second of the script: below 1 when a day is pressed into less.
    pub(crate) scale: f64,
    pub(crate) holds: Vec<Hold>,
    drift: [f64; 9],
    breath: [f64; 3],
}

impl Course {
    pub(crate) fn new(seed: u64, scale: f64) -> Self {
        let mut random = Random::new(seed, Purpose::Course, 0);
        Self {
            scale,
            holds: Vec::new(),
            drift: std::array::from_fn(|_| random.share()),
            breath: std::array::from_fn(|_| random.share()),
        }
    }

    /// Rate by the clock alone.
    fn clock_bpm(&self, at_s: f64) -> f64 {
        let hour = (at_s / self.scale / 3600.0 + START_HOUR).rem_euclid(24.0);
        let next = DAY_BPM.iter().position(|(h, _)| *h > hour).unwrap_or(DAY_BPM.len() - 1).max(1);
        let ((h0, b0), (h1, b1)) = (DAY_BPM[next - 1], DAY_BPM[next]);
        b0 + (b1 - b0) * (hour - h0) / (h1 - h0)
    }

    /// Rate without breathing and drift, bpm, and how firmly a hold has it, 0 to 1.
    pub(crate) fn plain_bpm(&self, at_s: f64) -> (f64, f64) {
        let mut bpm = self.clock_bpm(at_s);
        let mut held: f64 = 0.0;
        for hold in &self.holds {
            let w = plateau(at_s, hold.start_s, hold.end_s, hold.up_s, hold.down_s);
            bpm += (hold.bpm - bpm) * w;
            held = held.max(w);
        }
        (bpm, held)
    }

    /// RR interval without breathing and drift, s.
    pub(crate) fn plain_rr_s(&self, at_s: f64) -> f64 {
        60.0 / self.plain_bpm(at_s).0
    }

    /// Breathing, in turns: about 15 a minute, never quite steady.
    pub(crate) fn breath_turns(&self, at_s: f64) -> f64 {
        0.25 * at_s
            + 0.9 * sine_of_turns(at_s / 71.0 + self.breath[0])
            + 0.4 * sine_of_turns(at_s / 23.0 + self.breath[1])
    }

    /// RR interval at `at_s` with breathing, the 0.1 Hz wave and drift of equal power per octave, s.
    pub(crate) fn rr_s(&self, at_s: f64) -> f64 {
        let (bpm, held) = self.plain_bpm(at_s);
        let calm = (78.0 - bpm).clamp(0.0, 20.0) / 20.0;
        let free = 1.0 - 0.75 * held;
        let mut period_s = 20.0;
        let mut drift = 0.0;
        for phase in self.drift {
            drift += sine_of_turns(at_s / period_s + phase);
            period_s *= 2.0;
        }
        let bpm = bpm + drift * (0.9 - 0.45 * calm) * free;
        let breathing = (0.018 + 0.020 * calm) * sine_of_turns(self.breath_turns(at_s));
        let slow = 0.012 * sine_of_turns(0.1 * at_s + 0.3 * sine_of_turns(at_s / 97.0) + self.breath[2]);
        60.0 / bpm * (1.0 + (breathing + slow) * (1.0 - 0.5 * held))
    }
}
