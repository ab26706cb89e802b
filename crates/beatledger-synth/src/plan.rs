//! The plan of a day: what happens when, where signal is lost, how noisy it is, what the diary says.

use beatledger_core::model::DiaryKind;

use crate::course::{Course, Hold};
use crate::random::{Purpose, Random};
use crate::request::Request;

/// The two ventricular shapes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Shape {
    A,
    B,
}

/// Something that happens to the rhythm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum What {
    SingleS,
    CoupletS,
    RunS {
        beats: u32,
        cycle_s: f64,
    },
    SingleV(Shape),
    CoupletV,
    RunV {
        beats: u32,
        cycle_s: f64,
    },
    Bigeminy {
        cycles: u32,
    },
    Trigeminy {
        cycles: u32,
    },
    Interpolated,
    Fusion,
    Pause {
        rr_s: f64,
    },
    Dropped,
    Fibrillation {
        for_s: f64,
    },
    /// Atrial runs one after the other, a sinus beat or two between them.
    Runs {
        for_s: f64,
        cycle_s: f64,
    },
    /// Every fifth to ninth P wave is not conducted.
    Blocks {
        for_s: f64,
    },
    VentricularWaves {
        for_s: f64,
        per_min: f64,
    },
}

impl What {
    /// Time it takes at most, with the beats that follow it, s.
    pub(crate) fn takes_s(self) -> f64 {
        match self {
            Self::RunS { beats, cycle_s } | Self::RunV { beats, cycle_s } => f64::from(beats) * cycle_s + 6.0,
            Self::Bigeminy { cycles } => f64::from(cycles) * 2.4 + 6.0,
            Self::Trigeminy { cycles } => f64::from(cycles) * 3.6 + 6.0,
            Self::Pause { rr_s } => rr_s + 6.0,
            Self::Fibrillation { for_s } | Self::Blocks { for_s } => for_s + 6.0,
            Self::Runs { for_s, cycle_s } => for_s + 12.0 * cycle_s + 6.0,
            Self::VentricularWaves { for_s, .. } => for_s + 8.0,
            _ => 8.0,
        }
    }
}

/// Something that happens, and from when on.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Item {
    pub(crate) at_s: f64,
    pub(crate) what: What,
}

/// A set of leads, one bit a lead.
pub(crate) type LeadSet = u32;

/// A stretch, in whole seconds, in which some leads cannot be read.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Lost {
    pub(crate) start_s: i64,
    pub(crate) end_s: i64,
    pub(crate) leads: LeadSet,
    /// True for an electrode without contact, false for motion.
    pub(crate) off: bool,
}

/// A stretch with more of some noise.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Level {
    pub(crate) start_s: f64,
    pub(crate) end_s: f64,
    pub(crate) mv: f64,
}

/// One line of the diary.
#[derive(Clone, Debug)]
pub(crate) struct Line {
    pub(crate) start_s: f64,
    pub(crate) end_s: f64,
    pub(crate) kind: DiaryKind,
    pub(crate) text: &'static str,
}

/// The whole plan.
#[derive(Clone, Debug)]
pub(crate) struct Plan {
    pub(crate) end_s: f64,
    pub(crate) items: Vec<Item>,
    pub(crate) course: Course,
    pub(crate) lost: Vec<Lost>,
    /// Muscle noise, mV rms.
    pub(crate) muscle: Vec<Level>,
    /// Baseline wander, mV.
    pub(crate) wander: Vec<Level>,
    /// Mains hum, mV peak.
    pub(crate) mains: Vec<Level>,
    pub(crate) diary: Vec<Line>,
}

/// Writes a plan in script time: hours since 08:00 of the day in hand, pressed together when the recording is
/// shorter than a day. Durations shrink with the day, but never below a stated minimum.
pub(crate) struct Planner {
    pub(crate) plan: Plan,
    pub(crate) random: Random,
    pub(crate) every_lead: LeadSet,
    /// Seconds of recording per second of script.
    scale: f64,
    /// Start of the day in hand, s.
    day_s: f64,
    /// Stretches without single ectopic beats, s.
    clear: Vec<(f64, f64)>,
}

impl Planner {
    pub(crate) fn new(request: &Request) -> Self {
        let end_s = request.seconds() as f64;
        let scale = (end_s / 86_400.0).min(1.0);
        let plan = Plan {
            end_s,
            items: Vec::new(),
            course: Course::new(request.seed, scale),
            lost: Vec::new(),
            muscle: Vec::new(),
            wander: Vec::new(),
            mains: Vec::new(),
            diary: Vec::new(),
        };
        let random = Random::new(request.seed, Purpose::Script, 0);
        let every_lead = (1 << request.leads) - 1;
        Self { plan, random, every_lead, scale, day_s: 0.0, clear: Vec::new() }
    }

    /// Number of days, the last one perhaps partial.
    pub(crate) fn days(&self) -> u32 {
        (self.plan.end_s / 86_400.0).ceil().max(1.0) as u32
    }

    /// Turns to day `day`, counted from 0.
    pub(crate) fn turn_to(&mut self, day: u32) {
        self.day_s = f64::from(day) * 86_400.0;
    }

    /// True when the day is pressed so hard that only a part of it fits.
    pub(crate) fn is_tight(&self) -> bool {
        self.scale < 0.4 / 24.0
    }

    /// Seconds at script hour `h`.
    pub(crate) fn at(&self, h: f64) -> f64 {
        self.day_s + h * 3600.0 * self.scale
    }

    /// A duration of `minutes`, pressed, but at least `least_s`.
    pub(crate) fn lasting(&self, minutes: f64, least_s: f64) -> f64 {
        (minutes * 60.0 * self.scale).max(least_s)
    }

    /// A count that shrinks with the day, but not below `least`.
    pub(crate) fn count(&self, full: f64, least: u32) -> u32 {
        ((full * self.scale).round() as u32).max(least)
    }

    /// Something named at script hour `h`; no single ectopic beat comes near it.
    pub(crate) fn happens(&mut self, h: f64, what: What) {
        let at_s = self.at(h);
        if !self.is_tight() {
            self.clear.push((at_s - 25.0, at_s + what.takes_s() + 15.0));
        }
        self.plan.items.push(Item { at_s, what });
    }

    /// Draws the rate to `bpm` for `minutes`.
    pub(crate) fn hold(&mut self, h: f64, minutes: f64, least_s: f64, bpm: f64) {
        let (start_s, length) = (self.at(h), self.lasting(minutes, least_s));
        let up_s = (length * 0.15).clamp(15.0, 60.0);
        if !(52.0..=92.0).contains(&bpm) {
            self.clear.push((start_s - 10.0, start_s + length + 10.0));
        }
        self.plan.course.holds.push(Hold { start_s, end_s: start_s + length, up_s, down_s: up_s * 1.5, bpm });
    }

    /// No single ectopic beat from `minutes` before to `minutes` after `h`.
    pub(crate) fn keep_clear(&mut self, h: f64, minutes: f64) {
        let by = self.lasting(minutes, 20.0);
        self.clear.push((self.at(h) - by, self.at(h) + by));
    }

    /// Single ectopic beats, one in each of `count` equal parts of the stretch, at a random place.
    pub(crate) fn singles(&mut self, count: u32, from_h: f64, to_h: f64, what: What) {
        for i in 0..count {
            let share = (f64::from(i) + self.random.between(0.1, 0.9)) / f64::from(count);
            let at_s = self.at(from_h + (to_h - from_h) * share);
            if self.clear.iter().all(|(a, b)| at_s < *a || at_s > *b) {
                self.plan.items.push(Item { at_s, what });
            }
        }
    }

    /// Leads without contact.
    pub(crate) fn off(&mut self, h: f64, minutes: f64, least_s: f64, leads: LeadSet) {
        let start_s = self.at(h).round() as i64;
        let end_s = start_s + self.lasting(minutes, least_s).round() as i64;
        self.plan.lost.push(Lost { start_s, end_s, leads, off: true });
    }

    /// Motion on some leads for whole seconds.
    pub(crate) fn motion(&mut self, start_s: f64, for_s: f64, leads: LeadSet) {
        let start_s = start_s.round() as i64;
        self.plan.lost.push(Lost { start_s, end_s: start_s + for_s.round() as i64, leads, off: false });
    }

    /// More muscle noise and wander, as in activity.
    pub(crate) fn activity(&mut self, h: f64, minutes: f64, muscle_mv: f64, wander_mv: f64) {
        let (start_s, end_s) = (self.at(h), self.at(h) + self.lasting(minutes, 20.0));
        self.plan.muscle.push(Level { start_s, end_s, mv: muscle_mv });
        self.plan.wander.push(Level { start_s, end_s, mv: wander_mv });
    }

    /// Mains hum.
    pub(crate) fn mains(&mut self, h: f64, minutes: f64, mv: f64) {
        let (start_s, end_s) = (self.at(h), self.at(h) + self.lasting(minutes, 20.0));
        self.plan.mains.push(Level { start_s, end_s, mv });
    }

    /// A line of the diary; `minutes` of 0 for an instant.
    pub(crate) fn writes(&mut self, h: f64, minutes: f64, kind: DiaryKind, text: &'static str) {
        let start_s = self.at(h).round();
        let end_s = start_s + if minutes > 0.0 { self.lasting(minutes, 20.0).round() } else { 0.0 };
        self.plan.diary.push(Line { start_s, end_s, kind, text });
    }

    /// The plan, sorted and cut to the recording.
    pub(crate) fn done(self) -> Plan {
        let mut plan = self.plan;
        let end_s = plan.end_s;
        plan.items.retain(|i| i.at_s < end_s);
        plan.items.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
        plan.lost.retain(|l| (l.start_s as f64) < end_s);
        for lost in &mut plan.lost {
            lost.end_s = lost.end_s.min(end_s as i64);
        }
        plan.lost.sort_by_key(|l| (l.start_s, l.end_s, l.leads));
        plan.diary.retain(|d| d.start_s < end_s);
        for line in &mut plan.diary {
            line.end_s = line.end_s.min(end_s);
        }
        plan.diary.sort_by(|a, b| a.start_s.total_cmp(&b.start_s));
        plan
    }
}
