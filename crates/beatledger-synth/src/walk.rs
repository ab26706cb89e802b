//! The walk through the day: beat after beat, the sinus node first, what the script says when it can happen.

use beatledger_core::model::EventKind;

use crate::course::Course;
use crate::form::{Form, Wave};
use crate::maths::sine_of_turns;
use crate::plan::{Item, Plan, What};
use crate::random::{Purpose, Random};
use crate::truth::BeatKind;

/// A beat as placed.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Placed {
    pub(crate) at_s: f64,
    pub(crate) kind: BeatKind,
    /// QRS and T, and the factor on the times of T.
    pub(crate) forms: (Form, Form, f64),
    /// Centre of the P wave before it, s, and its form.
    pub(crate) p: Option<(f64, Form)>,
}

/// An event as it was made: first and last beat.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Noted {
    pub(crate) kind: EventKind,
    pub(crate) first: usize,
    pub(crate) last: usize,
    pub(crate) counts: bool,
    pub(crate) note: &'static str,
}

/// What the walk leaves behind.
#[derive(Clone, Debug, Default)]
pub(crate) struct Trace {
    pub(crate) beats: Vec<Placed>,
    pub(crate) waves: Vec<Wave>,
    pub(crate) events: Vec<Noted>,
    /// Stretches with fibrillation waves instead of P, s.
    pub(crate) fibrillation: Vec<(f64, f64)>,
    /// Ventricular flutter and fibrillation.
    pub(crate) ventricular: Vec<Waves>,
}

/// A stretch of ventricular flutter or fibrillation.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Waves {
    pub(crate) from_s: f64,
    pub(crate) until_s: f64,
    pub(crate) per_min: f64,
}

pub(crate) struct Walker<'a> {
    pub(crate) course: &'a Course,
    pub(crate) random: Random,
    pub(crate) trace: Trace,
    /// Place of the last beat, s.
    pub(crate) at_s: f64,
    /// RR interval that repolarisation has settled to, s.
    pub(crate) settled_rr_s: f64,
    /// Sinus beats since the last thing that was not.
    since: u32,
    /// Sinus beats since a compensatory pause, for the turbulence after it.
    pub(crate) after_pause: usize,
    /// Unreadable time, s.
    unreadable: &'a [(f64, f64)],
    /// The last P wave that no beat has followed yet.
    p: Option<(f64, Form)>,
}

/// Sinus beats between two things of the script.
const BEATS_BETWEEN: u32 = 8;
/// Distance of anything of the script from unreadable time, s.
const FROM_UNREADABLE_S: f64 = 14.0;
/// Factor on the sinus RR after a single ventricular beat: first a little faster, then slower (heart-rate
/// turbulence, Schmidt 1999: onset below 0 %, slope above 2.5 ms per RR).
const TURBULENCE: [f64; 16] = [
    0.972, 0.970, 0.975, 0.982, 0.990, 0.998, 1.006, 1.013, 1.018, 1.020, 1.018, 1.014, 1.010, 1.006, 1.003,
    1.001,
];

/// Walks from start to end.
pub(crate) fn walk(plan: &Plan, seed: u64, unreadable: &[(f64, f64)]) -> Trace {
    let mut walker = Walker {
        course: &plan.course,
        random: Random::new(seed, Purpose::Walk, 0),
        trace: Trace::default(),
        at_s: -0.45,
        settled_rr_s: plan.course.plain_rr_s(0.0),
        since: 0,
        after_pause: TURBULENCE.len(),
        unreadable,
        p: None,
    };
    let mut next = 0;
    let mut due: Vec<Item> = Vec::new();
    while walker.at_s < plan.end_s {
        while next < plan.items.len() && plan.items[next].at_s <= walker.at_s {
            due.push(plan.items[next]);
            next += 1;
        }
        match due.iter().position(|i| walker.can(i.what, plan.end_s)) {
            Some(at) => {
                let item = due.remove(at);
                walker.happen(item.what);
                walker.since = 0;
            }
            None => {
                let rr_s = walker.sinus_rr_s();
                walker.sinus(rr_s);
                walker.since += 1;
            }
        }
    }
    walker.trace.cut(plan.end_s)
}

impl Trace {
    /// Leaves out beats whose QRS would not fit before the end, with their waves and events.
    fn cut(mut self, end_s: f64) -> Self {
        let last_s = end_s - 0.25;
        self.beats.retain(|b| b.at_s <= last_s);
        self.waves.retain(|w| w.at_s <= last_s);
        // Waves of one beat are not always made in the order of their places.
        self.waves.sort_by(|a, b| a.at_s.total_cmp(&b.at_s));
        let beats = self.beats.len();
        self.events.retain(|e| e.last < beats);
        self.ventricular.retain(|w| w.until_s <= last_s);
        self
    }
}

impl Walker<'_> {
    /// True when `what` can happen now: enough sinus beats before, readable time around, a fitting rate.
    fn can(&self, what: What, end_s: f64) -> bool {
        let until_s = self.at_s + what.takes_s();
        let fits = match what {
            // Far enough above twice the local interval not to look like a dropped beat as well.
            What::Pause { rr_s } => (0.70, (rr_s / 2.55).min(1.15)),
            What::Dropped | What::Blocks { .. } => (0.70, 0.87),
            What::Runs { .. } => (1.25, 1.65),
            What::Interpolated => (0.90, 1.15),
            _ => (0.65, 1.15),
        };
        let rr_s = self.course.plain_rr_s(self.at_s);
        self.since >= BEATS_BETWEEN
            && until_s < end_s
            && (fits.0..=fits.1).contains(&rr_s)
            && self.unreadable.iter().all(|(start, end)| {
                until_s + FROM_UNREADABLE_S < *start || self.at_s - FROM_UNREADABLE_S > *end
            })
    }

    /// The next RR interval of the sinus node, s.
    pub(crate) fn sinus_rr_s(&mut self) -> f64 {
        let turbulence = TURBULENCE.get(self.after_pause).copied().unwrap_or(1.0);
        self.after_pause = (self.after_pause + 1).min(TURBULENCE.len());
        self.course.rr_s(self.at_s) * turbulence * (1.0 + 0.004 * f64::from(self.random.bell()))
    }

    /// Time from the centre of the P wave to the main deflection, s.
    pub(crate) fn pr_s(&self) -> f64 {
        0.140 * (0.75 + 0.25 * self.settled_rr_s.min(1.1))
    }

    /// Factor on amplitude: breathing and a little chance.
    fn gain(&mut self, at_s: f64) -> f32 {
        let breath = sine_of_turns(self.course.breath_turns(at_s)) as f32;
        1.0 + 0.045 * breath + 0.012 * self.random.bell()
    }

    fn wave(&mut self, at_s: f64, form: Form, stretch: f64, gain: f32) {
        self.trace.waves.push(Wave { at_s, form, stretch: stretch as f32, gain });
    }

    /// A P wave whose centre lies at `at_s`.
    pub(crate) fn p_wave(&mut self, at_s: f64, form: Form, gain: f32) {
        self.wave(at_s, form, 1.0, gain);
        self.p = Some((at_s, form));
    }

    /// QRS and T of a beat at `at_s`, which becomes the last beat. `cycle_s` is the interval that its T must fit.
    pub(crate) fn beat(&mut self, at_s: f64, kind: BeatKind, cycle_s: f64) {
        let (qrs, t) = match kind {
            BeatKind::Sinus | BeatKind::Fibrillation | BeatKind::AtrialEctopic => {
                (Form::QrsNarrow, Form::TNarrow)
            }
            BeatKind::VentricularA | BeatKind::Interpolated => (Form::QrsVentA, Form::TVentA),
            BeatKind::VentricularB => (Form::QrsVentB, Form::TVentB),
            BeatKind::Fusion => (Form::QrsFusion, Form::TFusion),
        };
        let gain = self.gain(at_s);
        self.wave(at_s, qrs, 1.0, gain);
        let stretch = self.settled_rr_s.min(cycle_s).clamp(0.3, 1.3).sqrt();
        self.wave(at_s, t, stretch, gain);
        let conducted = matches!(qrs, Form::QrsNarrow | Form::QrsFusion) && kind != BeatKind::Fibrillation;
        let p = self.p.take().filter(|_| conducted);
        self.trace.beats.push(Placed { at_s, kind, forms: (qrs, t, stretch), p });
        self.at_s = at_s;
    }

    /// A sinus beat `rr_s` after the last beat, with its P wave.
    pub(crate) fn sinus(&mut self, rr_s: f64) {
        let at_s = self.at_s + rr_s;
        self.settled_rr_s += 0.1 * (rr_s.min(1.4) - self.settled_rr_s);
        let gain = 1.0 + 0.03 * self.random.bell();
        self.p_wave(at_s - self.pr_s(), Form::PSinus, gain);
        self.beat(at_s, BeatKind::Sinus, f64::INFINITY);
    }

    /// Index that the next beat will have.
    pub(crate) fn next_index(&self) -> usize {
        self.trace.beats.len()
    }

    /// Notes an event from beat `first` to the last beat placed so far but `back`.
    pub(crate) fn note(&mut self, kind: EventKind, first: usize, back: usize, note: &'static str) {
        let last = self.trace.beats.len().saturating_sub(1 + back);
        self.trace.events.push(Noted { kind, first, last, counts: true, note });
    }
}
