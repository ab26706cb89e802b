//! Changes of settings.

use super::*;
use crate::settings::{Settings, TABLE};

fn set(key: &str, value: f64) -> Edit {
    Edit::ChangeSetting { key: key.into(), value }
}

/// A pause is 1500 to 5000 ms long by its range, 2000 by default.
#[test]
fn a_change_stands_the_later_one_wins_and_no_other_setting_moves() {
    let base = Settings { tachy_bpm: 110.0, ..Settings::default() };
    let edits = [set("pause_ms", 1800.0), set("brady_bpm", 45.0), set("pause_ms", 2500.0)];
    let (settings, orphans) = apply_settings(&base, &numbered(&edits));
    let expected = Settings { pause_ms: 2500.0, brady_bpm: 45.0, tachy_bpm: 110.0, ..Settings::default() };
    assert_eq!((settings, orphans.len()), (expected, 0));
}

#[test]
fn a_value_outside_the_range_and_an_unknown_setting_are_without_a_target_and_change_nothing() {
    let edits = [
        set("pause_ms", 1800.0),
        set("pause_ms", 1499.0),
        set("no_such", 1.0),
        set("pause_ms", 5000.5),
        set("pause_ms", f64::NAN),
    ];
    let (settings, orphans) = apply_settings(&Settings::default(), &numbered(&edits));
    assert_eq!(settings, Settings { pause_ms: 1800.0, ..Settings::default() });
    assert_eq!(
        told(&orphans),
        [
            (11, "setting pause_ms set to 1499", 1),
            (15, "setting no_such set to 1", 1),
            (19, "setting pause_ms set to 5000.5", 1),
            (23, "setting pause_ms set to NaN", 1),
        ]
    );
}

#[test]
fn settings_of_a_ledger_are_those_of_the_edits_in_force() {
    let base = Settings { tachy_bpm: 110.0, ..Settings::default() };
    let entries = [
        entry(1, Action::Do(set("pause_ms", 2500.0))),
        entry(2, Action::Do(set("pause_ms", 1800.0))),
        entry(3, Action::Undo { seq: 2 }),
        entry(4, Action::Redo { seq: 2 }),
    ];
    for (first, pause_ms) in [(0, 2000.0), (1, 2500.0), (2, 1800.0), (3, 2500.0), (4, 1800.0)] {
        let settings = settings_of(&base, &entries[..first]);
        assert_eq!((settings.pause_ms, settings.tachy_bpm), (pause_ms, 110.0), "after {first} entries");
    }
}

/// These move what is measured of the samples; all others only what is made of it.
#[test]
fn beats_are_found_anew_after_exactly_the_settings_that_decide_how_they_are_found() {
    let deciding = [
        "flat_mv",
        "refractory_ms",
        "prematurity_percent",
        "wide_qrs_ms",
        "st_offset_ms",
        "st_fast_offset_ms",
        "st_fast_bpm",
        "qt_min_quality",
    ];
    let base = Settings::default();
    assert!(found_alike(&base, &base.clone()));
    for row in TABLE {
        let mut other = base.clone();
        other.set(row.key, if row.default == row.max { row.min } else { row.max }).unwrap();
        let expected = !deciding.contains(&row.key);
        assert_eq!(found_alike(&base, &other), expected, "{}", row.key);
        assert_eq!(found_alike(&other, &base), expected, "{}", row.key);
    }
}
