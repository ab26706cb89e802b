//! The scripts of the other scenarios. Hours count from 08:00.

use beatledger_core::model::DiaryKind::{Activity, Sleep, Symptom};

use crate::plan::{Planner, Shape, What};

/// One small lead, upside down, with a few findings.
pub(crate) fn patch(p: &mut Planner) {
    p.hold(3.0, 6.0, 100.0, 118.0);
    p.happens(2.0, What::CoupletV);
    p.happens(5.0, What::RunS { beats: 6, cycle_s: 0.44 });
    let for_s = p.lasting(20.0, 60.0);
    p.happens(8.0, What::Fibrillation { for_s });
    p.happens(16.0, What::Pause { rr_s: 2.8 });
    p.activity(3.0, 8.0, 0.012, 0.12);
    p.activity(10.0, 20.0, 0.010, 0.10);
    p.writes(3.0, 6.0, Activity, "Brisk walk");
    p.writes(8.1, 0.0, Symptom, "Fluttering in the chest");
    p.writes(14.5, 480.0, Sleep, "In bed");
    p.singles(p.count(40.0, 1), 0.1, 23.8, What::SingleV(Shape::A));
    p.singles(p.count(60.0, 1), 0.1, 23.8, What::SingleS);
}

/// Clean sinus rhythm with nothing to find.
pub(crate) fn quiet(p: &mut Planner) {
    p.activity(4.2, 20.0, 0.006, 0.04);
    p.writes(4.25, 30.0, Activity, "Midday meal");
    p.writes(14.5, 480.0, Sleep, "In bed");
}

/// Motion all night on every lead there is, a few ectopic beats by day.
pub(crate) fn restless(p: &mut Planner) {
    p.hold(14.5, 480.0, 60.0, 64.0);
    let bursts = p.count(190.0, 3);
    for i in 0..bursts {
        let share = (f64::from(i) + p.random.between(0.05, 0.3)) / f64::from(bursts);
        let start_s = p.at(14.6 + 7.8 * share);
        let for_s = p.random.between(30.0, 95.0).min(p.lasting(7.8 * 60.0, 1.0) / f64::from(bursts) * 0.65);
        p.motion(start_s, for_s.max(5.0), p.every_lead);
    }
    p.activity(0.3, 20.0, 0.02, 0.15);
    p.activity(9.0, 20.0, 0.02, 0.15);
    p.writes(14.5, 480.0, Sleep, "In bed, slept badly");
    p.singles(p.count(14.0, 1), 0.2, 14.0, What::SingleV(Shape::A));
    p.singles(p.count(10.0, 1), 0.3, 14.2, What::SingleS);
}

/// One of fourteen days with findings far apart; `day` counts from 0.
pub(crate) fn long_day(p: &mut Planner, day: u32) {
    p.hold(1.5, 6.0, 100.0, 120.0);
    match day % 14 {
        2 | 7 | 11 => {
            let for_s = p.lasting(if day == 7 { 180.0 } else { 25.0 }, 60.0);
            p.happens(7.5, What::Fibrillation { for_s });
        }
        4 => p.happens(19.0, What::Pause { rr_s: 2.8 }),
        8 => p.happens(10.0, What::RunV { beats: 7, cycle_s: 0.41 }),
        12 => p.happens(12.0, What::RunS { beats: 8, cycle_s: 0.43 }),
        _ => p.happens(5.0, What::CoupletV),
    }
    p.off(13.0, 4.0, 15.0, p.every_lead);
    for i in 0..p.count(8.0, 1) {
        let start_s = p.at(16.0 + f64::from(i) * 0.8) + p.random.between(0.0, 60.0);
        let for_s = p.random.between(20.0, 60.0);
        p.motion(start_s, for_s, p.every_lead);
    }
    p.activity(1.4, 10.0, 0.02, 0.2);
    p.activity(9.0, 20.0, 0.02, 0.15);
    p.writes(14.5, 480.0, Sleep, "In bed");
    p.singles(p.count(24.0, 1), 0.2, 23.8, What::SingleV(Shape::A));
    p.singles(p.count(30.0, 1), 0.2, 23.8, What::SingleS);
}

/// A slow sinus rhythm with atrial runs through the morning, most beats being theirs, and in the evening P waves that
/// are not conducted: the one must be told, the other not taken for it.
pub(crate) fn atrial_runs(p: &mut Planner) {
    p.hold(0.0, 480.0, 120.0, 42.0);
    for (h, cycle_s) in [(0.3, 0.85), (2.0, 0.72), (4.0, 0.95), (6.0, 0.56)] {
        let for_s = p.lasting(90.0, 60.0);
        p.happens(h, What::Runs { for_s, cycle_s });
    }
    for h in [9.0, 11.0] {
        let for_s = p.lasting(60.0, 60.0);
        p.happens(h, What::Blocks { for_s });
    }
    p.activity(4.2, 20.0, 0.01, 0.06);
    p.writes(1.0, 0.0, Symptom, "Light-headed on the stairs");
    p.writes(14.5, 480.0, Sleep, "In bed");
}

/// Ventricular flutter and fibrillation by day, motion on every lead by night: the one must be told, the other not
/// taken for it.
pub(crate) fn critical(p: &mut Planner) {
    p.happens(2.0, What::VentricularWaves { for_s: 12.0, per_min: 230.0 });
    p.happens(6.0, What::VentricularWaves { for_s: 20.0, per_min: 320.0 });
    if !p.is_tight() {
        p.happens(9.0, What::RunV { beats: 9, cycle_s: 0.40 });
        p.happens(12.0, What::Pause { rr_s: 3.4 });
    }
    let bursts = p.count(40.0, 1);
    for i in 0..bursts {
        let share = (f64::from(i) + p.random.between(0.05, 0.3)) / f64::from(bursts);
        let start_s = p.at(15.0 + 7.0 * share);
        let for_s = p.random.between(20.0, 60.0).min(p.lasting(7.0 * 60.0, 1.0) / f64::from(bursts) * 0.5);
        p.motion(start_s, for_s.max(5.0), p.every_lead);
    }
    p.activity(4.0, 20.0, 0.03, 0.25);
    p.writes(2.0, 0.0, Symptom, "Passed out for a moment");
    p.writes(14.5, 480.0, Sleep, "In bed, slept badly");
    p.singles(p.count(60.0, 1), 0.1, 14.0, What::SingleV(Shape::A));
    p.singles(p.count(30.0, 1), 0.1, 14.0, What::SingleS);
}
