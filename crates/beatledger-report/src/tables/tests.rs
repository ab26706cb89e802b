//! What tables say of themselves: keys, settings, sources.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use beatledger_core::settings::TABLE;

use super::ALL;

#[test]
fn every_setting_that_a_table_names_is_there_and_every_key_once() {
    for table in ALL.map(|t| t.about()) {
        for key in table.settings {
            assert!(TABLE.iter().any(|row| row.key == *key), "{}: no setting {key}", table.key);
        }
        assert_eq!(ALL.iter().filter(|t| t.about().key == table.key).count(), 1);
        assert!(table.definition.ends_with('.'));
    }
}

/// A list of comma-separated values must not stand under a field that the summary file calls something else.
#[test]
fn no_field_stands_twice_in_a_table_and_every_file_has_a_name_of_its_own() {
    let snapshot = crate::made::snapshot(&[]);
    let mut files = Vec::new();
    for table in ALL {
        let mut list = Vec::new();
        table.write_csv(&snapshot, &mut list).unwrap();
        let list = String::from_utf8(list).unwrap();
        let mut heads: Vec<&str> = list.lines().next().unwrap_or_default().split(',').collect();
        let count = heads.len();
        heads.sort_unstable();
        heads.dedup();
        assert_eq!(heads.len(), count, "{}", table.about().key);
        files.extend(table.about().file);
    }
    assert_eq!(files, ["hours.csv", "hrv.csv", "hrv-hours.csv", "st.csv", "conduction.csv"]);
}

#[test]
fn every_table_names_the_settings_that_decide_it_and_no_other() {
    let hrv = "nn_min_ms nn_max_ms nn_jump_percent nn_min_share_percent pnn50_per_difference histogram_bin_ms \
               spectrum_detrend spectrum_nu_variance entropy_tolerance";
    let expected = [
        ("hours", "rate_window_beats run_beats pause_ms af_min_s prematurity_percent wide_qrs_ms"),
        ("pause_tiers", "pause_ms pause_middle_ms critical_pause_ms"),
        ("longest_rr", "pause_ms"),
        ("hrv_windows", hrv),
        ("hrv_hours", hrv),
        (
            "st",
            "st_offset_ms st_fast_offset_ms st_fast_bpm st_lowest_hz st_unknown_filter st_uncertain_mv \
             st_change_mv st_hold_s",
        ),
        ("st_changes", "st_change_mv st_hold_s"),
        (
            "st_course",
            "st_offset_ms st_fast_offset_ms st_fast_bpm st_lowest_hz st_unknown_filter st_uncertain_mv \
             st_change_mv st_hold_s",
        ),
        ("alternans", "twa_max_bpm twa_noise_uv"),
        ("conduction", "wide_qrs_ms qt_min_quality qt_min_beats"),
        ("qt_hours", "qt_min_beats qt_min_quality wide_qrs_ms af_min_s"),
        ("symptoms", "symptom_min"),
        ("symptom_classes", "symptom_min"),
        ("silent_findings", "symptom_min"),
        ("leads", "flat_mv"),
        (
            "enough",
            "hrv_min_hours nn_min_share_percent night_from_h night_to_h af_min_s hrt_min_beats qt_min_beats",
        ),
    ];
    assert_eq!(ALL.map(|table| table.about().key), expected.map(|(key, _)| key));
    for (table, (key, settings)) in ALL.iter().zip(expected) {
        assert_eq!(table.about().settings, settings.split_whitespace().collect::<Vec<_>>(), "{key}");
    }
}

/// Sources as in the papers and standards themselves.
#[test]
fn a_definition_names_its_source() {
    for (key, source) in [
        ("hours", "(ANSI/AAMI EC57 runs)"),
        ("pause_tiers", "(reporting tiers 2.0, 2.5 and 3.0 s, common practice)"),
        ("hrv_windows", "(Task Force 1996)"),
        ("hrv_hours", "(Task Force 1996)"),
        ("st", "(European ST-T Database annotation rule)"),
        ("st_changes", "(1 x 1 x 1 rule, from memory)"),
        ("alternans", "(Nearing and Verrier 2002)"),
        ("conduction", "(wide from 120 ms, AHA/ACCF/HRS 2009, second hand)"),
        ("qt_hours", "by Bazett 1920, Fridericia 1920, Sagie 1992 (Framingham) and Hodges 1983"),
    ] {
        let table = ALL.iter().map(|t| t.about()).find(|t| t.key == key).unwrap();
        let definition = table.definition.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(definition.contains(source), "{key}: {definition}");
    }
}
