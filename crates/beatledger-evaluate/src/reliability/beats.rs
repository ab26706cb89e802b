//! Certainty of the labels of beats.

use beatledger_formats::wfdb::Mapping;
use beatledger_score::{Reliability, Row, Rules, pairs};

use crate::case::Case;

/// Certainty of every beat that was found beside whether the reference has it with the same class. Beats that the reference
/// does not classify, and those in time that it calls unreadable, are left out.
pub fn beats(cases: &[Case], mapping: Mapping) -> Reliability {
    let mut out = Reliability::default();
    for case in cases {
        let sides = case.sides(mapping);
        for pair in pairs(case.rate, &sides.reference, &sides.test, &Rules::WHOLE) {
            let Some(test) = pair.test else { continue };
            let Some(certainty) = case.confidence.get(test) else { continue };
            if matches!(pair.row, Row::Q | Row::X) {
                continue;
            }
            let class = sides.test.beats[test].1;
            let right = pair.reference.is_some_and(|r| sides.reference.beats[r].1 == class);
            out.add(f64::from(*certainty), right);
        }
    }
    out
}
