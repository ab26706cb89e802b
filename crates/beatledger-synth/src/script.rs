//! The script of the working day. Hours count from 08:00.

use beatledger_core::model::DiaryKind::{Activity, Sleep, Symptom};

use crate::plan::{Plan, Planner, Shape, What};
use crate::request::{Request, Scenario};

/// The plan of a request.
pub(crate) fn plan(request: &Request) -> Plan {
    let mut planner = Planner::new(request);
    for day in 0..planner.days() {
        planner.turn_to(day);
        match request.scenario {
            Scenario::WorkingDay => working_day(&mut planner),
            Scenario::Patch => crate::others::patch(&mut planner),
            Scenario::Quiet => crate::others::quiet(&mut planner),
            Scenario::Restless => crate::others::restless(&mut planner),
            Scenario::Long => crate::others::long_day(&mut planner, day),
            Scenario::AtrialRuns => crate::others::atrial_runs(&mut planner),
            Scenario::Critical => crate::others::critical(&mut planner),
        }
    }
    planner.done()
}

fn working_day(p: &mut Planner) {
    rate_of_the_day(p);
    supraventricular(p);
    ventricular(p);
    conduction_and_fibrillation(p);
    noise_of_the_day(p);
    lost_signal(p);
    diary(p);
    let n = |p: &Planner, full: f64| p.count(full, 1);
    for (full, from_h, to_h, what) in [
        (250.0, 0.05, 14.4, What::SingleV(Shape::A)),
        (60.0, 14.6, 23.9, What::SingleV(Shape::A)),
        (48.0, 0.1, 14.0, What::SingleV(Shape::B)),
        (16.0, 14.7, 23.8, What::SingleV(Shape::B)),
        (100.0, 0.1, 14.3, What::SingleS),
        (36.0, 14.6, 23.9, What::SingleS),
    ] {
        p.singles(n(p, full), from_h, to_h, what);
    }
}

fn rate_of_the_day(p: &mut Planner) {
    if !p.is_tight() {
        p.hold(1.5, 6.0, 100.0, 123.0);
    }
    p.hold(4.25, 30.0, 30.0, 86.0);
    p.hold(5.5, 45.0, 40.0, 60.0);
    p.hold(17.0, 210.0, 60.0, 63.0);
    if !p.is_tight() {
        p.hold(20.8, 8.0, 110.0, 44.5);
    }
}

fn supraventricular(p: &mut Planner) {
    for h in [2.25, 11.0, 15.2, 21.8] {
        p.happens(h, What::CoupletS);
    }
    p.happens(9.2, What::RunS { beats: 5, cycle_s: 0.45 });
    p.happens(13.2, What::RunS { beats: 11, cycle_s: 0.43 });
}

fn ventricular(p: &mut Planner) {
    for h in [3.0, 4.0, 9.6, 13.6, 16.5, 21.5] {
        p.happens(h, What::CoupletV);
    }
    let cycles = if p.is_tight() { 5 } else { 12 };
    p.happens(3.5, What::Bigeminy { cycles });
    p.happens(10.5, What::Trigeminy { cycles: cycles - 2 });
    p.happens(10.0, What::RunV { beats: 9, cycle_s: 0.40 });
    p.happens(11.3, What::RunV { beats: 3, cycle_s: 0.46 });
    p.happens(14.0, What::Fusion);
    p.happens(15.8, What::Interpolated);
}

fn conduction_and_fibrillation(p: &mut Planner) {
    if !p.is_tight() {
        p.happens(6.75, What::Fibrillation { for_s: 25.0 });
    }
    let for_s = p.lasting(40.0, if p.is_tight() { 36.0 } else { 60.0 });
    p.happens(7.5, What::Fibrillation { for_s });
    p.happens(8.8, What::Dropped);
    p.happens(if p.is_tight() { 5.0 } else { 12.75 }, What::Pause { rr_s: 2.2 });
    p.happens(18.2, What::Pause { rr_s: 3.4 });
}

fn noise_of_the_day(p: &mut Planner) {
    p.mains(0.75, 20.0, 0.06);
    for (h, minutes, muscle_mv, wander_mv) in [
        (0.3, 12.0, 0.022, 0.15),
        (1.45, 8.0, 0.030, 0.30),
        (4.25, 30.0, 0.018, 0.10),
        (6.1, 18.0, 0.028, 0.25),
        (9.9, 12.0, 0.022, 0.20),
        (12.2, 14.0, 0.030, 0.25),
        (22.6, 20.0, 0.022, 0.15),
    ] {
        p.activity(h, minutes, muscle_mv, wander_mv);
    }
}

fn lost_signal(p: &mut Planner) {
    let last = 1 << (p.every_lead.count_ones() - 1);
    p.off(11.8, 12.0, 25.0, last);
    p.off(12.3, 2.0, 15.0, p.every_lead);
    let bursts = p.count(30.0, 2);
    let (from_h, to_h) = (17.0, 20.5);
    for i in 0..bursts {
        let share = (f64::from(i) + p.random.between(0.2, 0.6)) / f64::from(bursts);
        let start_s = p.at(from_h + (to_h - from_h) * share);
        let every = i % 3 == 1;
        let for_s = if every { p.random.between(18.0, 50.0) } else { p.random.between(30.0, 80.0) };
        let for_s = if p.is_tight() { for_s.min(12.0) } else { for_s };
        let one = 1 << (i % p.every_lead.count_ones());
        p.motion(start_s, for_s, if every { p.every_lead } else { one });
    }
}

fn diary(p: &mut Planner) {
    p.writes(1.5, 6.0, Activity, "Climbed four flights of stairs");
    p.writes(1.54, 0.0, Symptom, "Heart racing");
    p.writes(4.25, 30.0, Activity, "Midday meal");
    p.writes(4.95, 0.0, Symptom, "Short of breath");
    p.writes(5.5, 45.0, Sleep, "Nap on the sofa");
    p.writes(7.7, 0.0, Symptom, "Fluttering in the chest");
    p.writes(10.002, 0.0, Symptom, "Light-headed for a moment");
    p.writes(11.55, 0.0, Symptom, "Pressure in the chest");
    p.writes(14.5, 480.0, Sleep, "In bed");
    for h in [4.95, 11.55] {
        p.keep_clear(h, 2.0);
    }
}
