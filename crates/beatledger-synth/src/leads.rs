//! Leads: directions from which the dipole is seen.

use crate::Scenario;

/// One lead: its name and its vector (x left, y feet, z front).
#[derive(Clone, Copy, Debug)]
pub(crate) struct LeadVector {
    pub(crate) name: &'static str,
    pub(crate) xyz: [f64; 3],
}

const fn lead(name: &'static str, x: f64, y: f64, z: f64) -> LeadVector {
    LeadVector { name, xyz: [x, y, z] }
}

/// The leads in the order in which they are given out. The frontal ones follow the hexaxial system (II at
/// 60 degrees); the chest ones point where their electrodes sit (common practice).
const LEADS: [LeadVector; 8] = [
    lead("ECG II", 0.50, 0.87, 0.00),
    lead("ECG V1", -0.38, 0.05, 0.92),
    lead("ECG V5", 0.92, 0.15, 0.28),
    lead("ECG I", 1.00, 0.00, 0.00),
    lead("ECG III", -0.50, 0.87, 0.00),
    lead("ECG aVF", 0.00, 0.87, 0.00),
    lead("ECG V3", 0.30, 0.20, 0.93),
    lead("ECG V6", 0.98, 0.18, 0.05),
];

/// A patch on the chest sees a short piece of lead II, and here it is stuck on upside down.
const PATCH: f64 = -0.45;

/// The first `count` leads of a scenario.
pub(crate) fn leads(scenario: Scenario, count: usize) -> Vec<LeadVector> {
    let scale = if scenario == Scenario::Patch { PATCH } else { 1.0 };
    LEADS.iter().take(count).map(|l| LeadVector { name: l.name, xyz: l.xyz.map(|a| a * scale) }).collect()
}
