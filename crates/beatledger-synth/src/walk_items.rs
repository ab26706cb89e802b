//! How each thing of the script happens: couplings, pauses, resets, blocked P waves.
//!
//! Ventricular beats come 30 to 43 % early and are followed by a full compensatory pause when single;
//! supraventricular ones come 28 to 42 % early and reset the sinus node (common practice). The sizes keep away
//! from every limit of a definition, so that the truth has no borderline case.

use beatledger_core::model::EventKind;

use crate::form::Form;
use crate::make::AF_MIN_S;
use crate::plan::{Shape, What};
use crate::truth::BeatKind;
use crate::walk::{Walker, Waves};

impl Walker<'_> {
    /// Lets `what` happen, up to and with the sinus beat that follows it.
    pub(crate) fn happen(&mut self, what: What) {
        match what {
            What::SingleS => self.atrial(1, 0.0),
            What::CoupletS => self.atrial(2, 0.0),
            What::RunS { beats, cycle_s } => self.atrial(beats, cycle_s),
            What::SingleV(shape) => self.single_v(shape),
            What::CoupletV => self.ventricular_row(2, 0.0),
            What::RunV { beats, cycle_s } => self.ventricular_row(beats, cycle_s),
            What::Bigeminy { cycles } => self.gemini(cycles, 0, EventKind::VentricularBigeminy),
            What::Trigeminy { cycles } => self.gemini(cycles, 1, EventKind::VentricularTrigeminy),
            What::Interpolated => self.interpolated(),
            What::Fusion => self.fusion(),
            What::Pause { rr_s } => self.pause(rr_s),
            What::Dropped => self.dropped(),
            What::Fibrillation { for_s } => self.fibrillation(for_s),
            What::Runs { for_s, cycle_s } => self.runs(for_s, cycle_s),
            What::Blocks { for_s } => self.blocks(for_s),
            What::VentricularWaves { for_s, per_min } => self.ventricular_waves(for_s, per_min),
        }
    }

    /// One, two or more supraventricular beats; `cycle_s` is the interval inside a run, 0 for a couplet.
    fn atrial(&mut self, beats: u32, cycle_s: f64) {
        let base_s = self.sinus_rr_s();
        let first = self.next_index();
        for i in 0..beats {
            let early = self.random.between(0.58, 0.72) * base_s;
            let steady = cycle_s * self.random.between(0.985, 1.015);
            let rr_s = if i == 0 || cycle_s == 0.0 { early } else { steady };
            let at_s = self.at_s + rr_s;
            self.p_wave(at_s - 0.112, Form::PEctopic, if i == 0 { 1.0 } else { 0.75 });
            let cycle_s = if beats > 2 { cycle_s } else { f64::INFINITY };
            self.beat(at_s, BeatKind::AtrialEctopic, cycle_s);
        }
        match beats {
            1 => {}
            2 => self.note(EventKind::SupraventricularCouplet, first, 0, ""),
            _ => self.note(EventKind::SupraventricularRun, first, 0, ""),
        }
        let after = self.random.between(1.03, 1.12);
        self.sinus(base_s * after);
    }

    /// A slow sinus node among atrial runs: most beats are those of the runs.
    fn runs(&mut self, for_s: f64, cycle_s: f64) {
        let until_s = self.at_s + for_s;
        while self.at_s < until_s {
            let beats = 3 + (self.random.share() * 7.0) as u32;
            let cycle_s = cycle_s * self.random.between(0.93, 1.07);
            self.atrial(beats, cycle_s);
            if self.random.share() < 0.4 {
                let rr_s = self.sinus_rr_s();
                self.sinus(rr_s);
            }
        }
    }

    /// P waves at their time of which some are not conducted, again and again.
    fn blocks(&mut self, for_s: f64) {
        let until_s = self.at_s + for_s;
        while self.at_s < until_s {
            for _ in 0..3 + (self.random.share() * 5.0) as u32 {
                let rr_s = self.sinus_rr_s();
                self.sinus(rr_s);
            }
            // The long intervals before have drawn it up.
            self.settled_rr_s = self.sinus_rr_s();
            self.dropped();
        }
    }

    /// A single ventricular beat with a full compensatory pause: the sinus node goes on undisturbed, and its P
    /// wave in the ST segment of the ventricular beat is not conducted.
    fn single_v(&mut self, shape: Shape) {
        let base_s = self.sinus_rr_s();
        self.one_v(shape, base_s);
        self.after_pause = 0;
    }

    fn one_v(&mut self, shape: Shape, base_s: f64) {
        let (low, high, kind) = match shape {
            Shape::A => (0.57, 0.65, BeatKind::VentricularA),
            Shape::B => (0.60, 0.70, BeatKind::VentricularB),
        };
        let from_s = self.at_s;
        let at_s = from_s + base_s * self.random.between(low, high);
        self.p_wave(from_s + base_s - self.pr_s(), Form::PSinus, 1.0);
        self.beat(at_s, kind, f64::INFINITY);
        self.sinus(from_s + 2.0 * base_s - at_s);
    }

    /// A couplet (`cycle_s` of 0) or a run of shape A; the sinus node starts afresh after it.
    fn ventricular_row(&mut self, beats: u32, cycle_s: f64) {
        let base_s = self.sinus_rr_s();
        let first = self.next_index();
        for i in 0..beats {
            let early = base_s * self.random.between(0.57, 0.66);
            let steady = cycle_s * self.random.between(0.975, 1.025);
            let rr_s = if i == 0 || cycle_s == 0.0 { early } else { steady };
            let fits_s = if cycle_s == 0.0 { f64::INFINITY } else { cycle_s };
            self.beat(self.at_s + rr_s, BeatKind::VentricularA, fits_s);
        }
        let kind = if beats == 2 { EventKind::VentricularCouplet } else { EventKind::VentricularTachycardia };
        self.note(kind, first, 0, "");
        let after = self.random.between(1.2, 1.32);
        self.sinus(base_s * after);
    }

    /// Ventricular beats with one sinus beat (and `more` of them) between each two.
    fn gemini(&mut self, cycles: u32, more: u32, kind: EventKind) {
        let first = self.next_index();
        for cycle in 0..cycles {
            let base_s = self.sinus_rr_s();
            self.one_v(Shape::A, base_s);
            for _ in 0..if cycle + 1 < cycles { more } else { 0 } {
                let rr_s = self.sinus_rr_s();
                self.sinus(rr_s);
            }
        }
        self.note(kind, first, 1, "");
    }

    /// A ventricular beat between two sinus beats that come almost at their time; the second is conducted slowly.
    fn interpolated(&mut self) {
        let base_s = self.sinus_rr_s();
        let from_s = self.at_s;
        self.beat(from_s + 0.47 * base_s, BeatKind::Interpolated, 0.6);
        let at_s = from_s + 1.05 * base_s;
        self.p_wave(at_s - self.pr_s() - 0.05 * base_s, Form::PSinus, 1.0);
        self.beat(at_s, BeatKind::Sinus, f64::INFINITY);
    }

    /// A late ventricular beat that meets the conducted one.
    fn fusion(&mut self) {
        let base_s = self.sinus_rr_s();
        let at_s = self.at_s + 0.95 * base_s;
        self.p_wave(at_s - self.pr_s() + 0.03, Form::PSinus, 1.0);
        self.beat(at_s, BeatKind::Fusion, f64::INFINITY);
        self.sinus(1.05 * base_s);
    }

    /// No sinus beat for `rr_s`.
    fn pause(&mut self, rr_s: f64) {
        let before = self.next_index().saturating_sub(1);
        self.sinus(rr_s);
        self.note(EventKind::Pause, before, 0, "sinus pause");
    }

    /// A P wave at its time that is not conducted; the next one is.
    fn dropped(&mut self) {
        let before = self.next_index().saturating_sub(1);
        let rr_s = self.settled_rr_s;
        self.p_wave(self.at_s + rr_s - self.pr_s(), Form::PSinus, 1.0);
        self.sinus(2.0 * rr_s);
        self.note(EventKind::DroppedBeatCandidate, before, 0, "P wave without QRS");
    }

    /// Atrial fibrillation: no P, no order in the intervals, never as long as a pause.
    fn fibrillation(&mut self, for_s: f64) {
        let first = self.next_index();
        let from_s = self.at_s + 0.30;
        let until_s = self.at_s + for_s;
        while self.at_s < until_s {
            let x = f64::from(self.random.bell());
            let rr_s = (0.64 + 0.14 * x + 0.03 * (x * x - 1.0)).clamp(0.37, 1.12);
            self.beat(self.at_s + rr_s, BeatKind::Fibrillation, f64::INFINITY);
        }
        self.trace.fibrillation.push((from_s, self.at_s + 0.45));
        let counts = for_s >= AF_MIN_S;
        self.note(EventKind::AtrialFibrillation, first, 0, if counts { "" } else { "shorter than 30 s" });
        if let Some(event) = self.trace.events.last_mut() {
            event.counts = counts;
        }
        let rr_s = self.settled_rr_s * 1.25;
        self.sinus(rr_s);
    }

    /// Ventricular flutter or, from 300 a minute on, fibrillation: no beats but waves, from the T wave of the last
    /// beat on; the sinus node takes over after a second and a half.
    fn ventricular_waves(&mut self, for_s: f64, per_min: f64) {
        let from_s = self.at_s + 0.35;
        let until_s = from_s + for_s;
        self.trace.ventricular.push(Waves { from_s, until_s, per_min });
        self.sinus(until_s + 1.5 - self.at_s);
    }
}
