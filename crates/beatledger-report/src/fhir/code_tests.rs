//! Every code and unit of the bundle, figure by figure, written out by hand: LOINC from the FHIR vital signs profile,
//! the US Core ECG value set and the HL7 physical activity guide, UCUM from the UCUM specification.

use std::collections::{BTreeMap, BTreeSet};

use beatledger_core::model::FigureValue;
use beatledger_core::session::Snapshot;
use serde_json::{Value, json};

use super::tests::{bundle, observation};
use crate::document::SignState;
use crate::made;

/// LOINC code and display of each figure that has one in a recording of minutes.
const LOINC: [(&str, &str, &str); 10] = [
    ("mean_bpm", "8867-4", "Heart rate"),
    ("v_beats", "76126-2", "Premature ventricular contractions [#]"),
    ("sdnn_ms", "80404-7", "R-R interval.standard deviation (Heart rate variability)"),
    ("pr_ms", "8625-6", "P-R interval"),
    ("qrs_ms", "8633-0", "QRS duration"),
    ("qt_ms", "8634-8", "Q-T interval"),
    ("qtc_bazett_ms", "8636-3", "Q-T interval corrected"),
    ("qtc_fridericia_ms", "8636-3", "Q-T interval corrected"),
    ("qtc_framingham_ms", "8636-3", "Q-T interval corrected"),
    ("qtc_hodges_ms", "8636-3", "Q-T interval corrected"),
];

/// The codes that say 24 hours.
const LOINC_24_H: [(&str, &str, &str); 3] = [
    ("mean_bpm", "41924-2", "Heart rate 24 hour mean"),
    ("max_bpm", "8873-2", "Heart rate 24 hour maximum"),
    ("min_bpm", "8883-1", "Heart rate 24 hour minimum"),
];

/// Figures by UCUM code and printed unit.
const UNITS: [(&str, &str, &str); 14] = [
    (
        "/min",
        "beats/minute",
        "mean_bpm min_bpm max_bpm day_mean_bpm day_min_bpm day_max_bpm night_mean_bpm night_min_bpm \
         night_max_bpm af_mean_bpm v_fastest_run_bpm s_fastest_run_bpm",
    ),
    (
        "ms",
        "ms",
        "longest_rr_ms longest_rr_sinus_ms longest_rr_ectopy_ms longest_rr_af_ms v_coupling_ms \
         v_coupling_min_ms v_coupling_max_ms v_coupling_sd_ms sdnn_ms sdann_ms sdnn_index_ms rmssd_ms tinn_ms \
         sd1_ms sd2_ms deceleration_capacity_ms pr_ms pr_min_hour_ms pr_max_hour_ms qrs_ms qt_ms qt_waking_ms \
         qt_night_ms qtc_bazett_ms qtc_fridericia_ms qtc_framingham_ms qtc_hodges_ms qtc_fridericia_waking_ms \
         qtc_fridericia_night_ms qtc_fridericia_max_ms",
    ),
    (
        "ms2",
        "ms²",
        "window_total_ms2 window_vlf_ms2 window_lf_ms2 window_hf_ms2 even_total_ms2 even_vlf_ms2 even_lf_ms2 \
         even_hf_ms2 day_total_ms2 day_ulf_ms2 day_vlf_ms2 day_lf_ms2 day_hf_ms2 even_day_total_ms2 \
         even_day_ulf_ms2 even_day_vlf_ms2 even_day_lf_ms2 even_day_hf_ms2",
    ),
    ("ms/{RR}", "ms per RR interval", "hrt_slope_ms_per_rr"),
    ("mV", "mV", "st_largest_mv"),
    ("uV", "µV", "twa_uv twa_control_uv"),
    ("s", "s", "vf_s vf_longest_s"),
    (
        "min",
        "min",
        "longest_gap_min brady_min tachy_min regular_tachy_min below_brady_min above_tachy_min af_min af_longest_min flutter_min",
    ),
    ("h", "h", "readable_h worn_h"),
    (
        "/h",
        "per hour",
        "v_per_hour s_per_hour v_waking_per_hour v_night_per_hour s_waking_per_hour s_night_per_hour",
    ),
    ("{beats}", "beats", "v_longest_run_beats s_longest_run_beats"),
    ("{cycles}", "cycles", ""),
    (
        "%",
        "%",
        "readable_percent v_percent s_percent v_waking_percent v_night_percent s_waking_percent s_night_percent \
         af_percent below_brady_percent above_tachy_percent nn_percent pnn50_percent window_lf_nu window_hf_nu \
         even_lf_nu even_hf_nu day_lf_nu day_hf_nu even_day_lf_nu even_day_hf_nu hrt_onset_percent \
         wide_qrs_percent qt_merged_percent",
    ),
    (
        "1",
        "1",
        "beats_total v_beats s_beats f_beats q_beats v_singles v_couplets v_runs v_bigeminy_episodes \
         v_bigeminy_beats v_trigeminy_episodes v_trigeminy_beats s_singles s_couplets s_runs svt_runs \
         s_bigeminy_episodes s_bigeminy_beats s_trigeminy_episodes s_trigeminy_beats v_waking_beats \
         v_night_beats s_waking_beats s_night_beats v_interpolated v_r_on_t vt_runs vf_episodes af_episodes \
         dropped_candidates pauses pauses_middle pauses_critical nn50 triangular_index window_count \
         window_lf_hf_ratio even_lf_hf_ratio day_lf_hf_ratio even_day_lf_hf_ratio dfa_alpha1 dfa_alpha2 \
         sample_entropy hrt_beats qt_windows st_leads st_changes twa_windows symptoms symptoms_with_finding \
         symptoms_without_finding symptoms_unreadable findings_without_symptom",
    ),
];

/// A snapshot in which every figure has a value; the recording lasts so many hours.
fn all_figures(hours: i64) -> Snapshot {
    let mut snapshot = made::snapshot(&[]);
    let mut summary = (*snapshot.summary).clone();
    for figure in &mut summary.figures {
        figure.value = FigureValue::Number(12.0);
    }
    snapshot.summary = summary.into();
    let recording =
        beatledger_core::model::Recording { samples: hours * 3600 * made::HZ, ..made::recording() };
    snapshot.recording = recording.into();
    snapshot
}

/// LOINC code and display by the key of each figure that has one.
fn loinc(snapshot: &Snapshot) -> BTreeMap<String, (String, String)> {
    let bundle = bundle(snapshot, SignState::NotSigned);
    let text = |v: &Value| v.as_str().unwrap().to_owned();
    let mut out = BTreeMap::new();
    for figure in &snapshot.summary.figures {
        let coding = observation(&bundle, figure.key())["code"]["coding"].as_array().unwrap().clone();
        assert_eq!(coding[0]["system"], "urn:uuid:a90db30b-443c-4acd-abe5-1813a6c3ed10");
        assert_eq!(coding[0]["display"], figure.name);
        assert!(coding.len() <= 2, "{}", figure.id);
        if let Some(second) = coding.get(1) {
            assert_eq!(second["system"], "http://loinc.org");
            out.insert(figure.key().to_owned(), (text(&second["code"]), text(&second["display"])));
        }
    }
    out
}

fn table(rows: &[(&str, &str, &str)]) -> BTreeMap<String, (String, String)> {
    rows.iter()
        .map(|(key, code, words)| ((*key).to_owned(), ((*code).to_owned(), (*words).to_owned())))
        .collect()
}

#[test]
fn each_figure_has_the_loinc_code_of_its_meaning_and_no_other_figure_has_one() {
    assert_eq!(loinc(&all_figures(6)), table(&LOINC));
}

#[test]
fn from_23_to_25_hours_the_rates_take_the_codes_that_say_24_hours() {
    let mut day = table(&LOINC);
    day.extend(table(&LOINC_24_H));
    for hours in [23, 24, 25] {
        assert_eq!(loinc(&all_figures(hours)), day, "{hours} h");
    }
    for hours in [22, 26, 48] {
        assert_eq!(loinc(&all_figures(hours)), table(&LOINC), "{hours} h");
    }
}

#[test]
fn each_figure_has_the_ucum_unit_of_its_key_and_its_value_is_as_printed() {
    let snapshot = all_figures(6);
    let bundle = bundle(&snapshot, SignState::NotSigned);
    let mut seen = BTreeSet::new();
    for (code, unit, keys) in UNITS {
        for key in keys.split_whitespace() {
            let quantity = observation(&bundle, key)["valueQuantity"].clone();
            let expected = json!({"value": quantity["value"], "unit": unit, "system": "http://unitsofmeasure.org", "code": code});
            assert_eq!(quantity, expected, "{key}");
            // 12 of a count, 12.0 of a number with a decimal.
            assert_eq!(quantity["value"].as_f64(), Some(12.0), "{key}");
            assert!(seen.insert(key), "{key} stands twice in the table of units");
        }
    }
    let figures: BTreeSet<&str> = snapshot.summary.figures.iter().map(|f| f.key()).collect();
    assert_eq!(seen, figures, "every figure stands in the table of units");
}

#[test]
fn a_unit_without_a_word_in_ucum_is_an_annotation_on_the_number_one() {
    // UCUM: text in braces is an annotation and counts as the number one.
    let quantity = super::codes::quantity(3.25, 1, "windows a day").unwrap();
    assert_eq!((quantity.code.as_str(), quantity.unit.as_str()), ("{windowsaday}", "windows a day"));
    for (unit, code, words) in [
        ("RR", "{RR}", "RR intervals"),
        ("SD", "{SD}", "standard deviations"),
        ("windows", "{windows}", "windows"),
        ("cycles", "{cycles}", "cycles"),
        ("Hz", "Hz", "Hz"),
        ("uV", "uV", "µV"),
    ] {
        assert_eq!(super::codes::ucum(unit), Some((code, words)), "{unit}");
    }
}
