//! A made lead that is turned in the middle.

use super::*;
use crate::model::testing::drawn;

/// Ten minutes at 75 of a beat with P, QRS and T; from `turned_s` on upside down.
fn made(turned_s: f64) -> (Recording, Vec<i64>) {
    let hz = 200.0;
    let bell = |s: f64, at: f64, width: f64| (-0.5 * ((s - at) / width).powi(2)).exp();
    let mv: Vec<f64> = (0..120_000)
        .map(|i| {
            let t = f64::from(i) / hz;
            let s = t % 0.8;
            let v = 0.15 * bell(s, 0.24, 0.025) + bell(s, 0.4, 0.012) + 0.3 * bell(s, 0.66, 0.05);
            if t < turned_s { v } else { -v }
        })
        .collect();
    (drawn(200, &mv), (0..749).map(|k| 80 + 160 * k).collect())
}

#[test]
fn a_lead_that_is_turned_is_told_to_the_beat_and_undone() {
    let (recording, beats) = made(301.0);
    let found = changes(&recording, &beats);
    assert_eq!(found.len(), 1);
    assert_eq!((found[0].kind, found[0].span.end), (LeadChangeKind::Turned(0), recording.samples));
    assert!((found[0].span.start - 60_200).abs() < 400, "{:?}", found[0].span);
    let undone = undone(&recording, &found);
    let at = |recording: &Recording, sample: i64| {
        let mut mv = Vec::new();
        recording.leads[0].read_mv(Span::new(sample, sample + 1), &mut mv);
        mv[0]
    };
    assert!((at(&undone, beats[700]) - at(&recording, beats[10])).abs() < 0.01);
    assert!(at(&recording, beats[700]) < -0.9);
}

#[test]
fn a_lead_that_stays_as_it_is_has_no_change() {
    let (recording, beats) = made(1e9);
    assert!(changes(&recording, &beats).is_empty());
}
