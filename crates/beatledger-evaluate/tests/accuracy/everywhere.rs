//! What needs no data folder: made days, and an open recording that comes with the repository.

use beatledger_core::model::{BeatClass, EventKind, Span};
use beatledger_evaluate::case_of_recording;
use beatledger_formats::wfdb::Mapping;
use beatledger_score::{Annotations, Rules, Score, Timing, beat_table};
use beatledger_synth::{Made, Request, Scenario, make};
use beatledger_testkit::root;
use serde_json::Value;

use super::figure;
use super::floors::hold;

/// What was made: readable beats, unreadable time, fibrillation.
fn truth(made: &Made) -> Annotations {
    let beats = made.truth.beats.iter().filter(|b| b.readable).map(|b| (b.sample, b.class));
    let af = made.truth.events.iter().filter(|e| e.kind == EventKind::AtrialFibrillation).map(|e| e.span);
    Annotations {
        shutdown: made.truth.unreadable.clone(),
        af: Span::merged(af.collect(), 0),
        vf: made.truth.ventricular.clone(),
        ..Annotations::of_beats(beats.collect())
    }
}

fn scored(scenario: Scenario, hours: f64) -> Score {
    let made = make(&Request { hours, ..Request::usual(scenario) });
    let reference = truth(&made);
    let case = case_of_recording(made.recording, |_, _| reference.clone());
    let score = case.score(Mapping::Literature, &Rules::WHOLE);
    println!("{}, {hours} h\n{}", scenario.words(), beat_table(std::slice::from_ref(&score.line)));
    score
}

#[test]
fn a_made_working_day_does_not_fall_below_its_floors() {
    let working = scored(Scenario::WorkingDay, 4.0);
    let more = ["v_se_percent", "v_pp_percent", "af_duration_se_percent", "af_duration_sp_percent"];
    hold("made_working_day", &working, &[&["qrs_se_percent", "qrs_pp_percent"], &more[..]].concat());
}

#[test]
fn made_days_of_one_lead_do_not_fall_below_their_floors() {
    let beats = ["qrs_se_percent", "qrs_pp_percent"];
    hold("made_patch", &scored(Scenario::Patch, 2.0), &beats);
    hold("made_restless", &scored(Scenario::Restless, 2.0), &beats);
}

#[test]
fn made_ventricular_flutter_and_fibrillation_are_told_and_nothing_else_is_taken_for_them() {
    let critical = scored(Scenario::Critical, 2.0);
    let vf = &critical.vf;
    assert_eq!((vf.reference, vf.reference_found, vf.test, vf.test_true), (2, 2, 2, 2));
    hold("made_critical", &critical, &["qrs_se_percent", "vf_duration_se_percent", "vf_duration_pp_percent"]);
    for scenario in [Scenario::WorkingDay, Scenario::Restless, Scenario::Patch] {
        assert_eq!(scored(scenario, 1.0).vf.test, 0, "{}", scenario.name());
    }
}

#[test]
fn in_a_made_day_of_sinus_rhythm_there_is_no_ectopy_and_no_fibrillation() {
    let quiet = scored(Scenario::Quiet, 2.0);
    hold("made_quiet", &quiet, &["qrs_se_percent", "qrs_pp_percent"]);
    assert_eq!(quiet.af.test_s, 0.0);
    let matrix = &quiet.line.matrix;
    let ectopic = [beatledger_score::Column::V, beatledger_score::Column::S];
    assert_eq!(matrix.sum(&beatledger_score::Row::ALL, &ectopic), 0);
}

#[test]
fn atrial_runs_that_fill_most_of_a_stretch_are_ectopy_and_dropped_beats_are_not() {
    let runs = scored(Scenario::AtrialRuns, 4.0);
    hold("made_atrial_runs", &runs, &["qrs_se_percent", "qrs_pp_percent", "s_se_percent", "s_pp_percent"]);
    assert!(figure(&runs, "s_se_percent") > Some(98.0), "most beats are those of the runs");
    assert_eq!(runs.af.test_s, 0.0);
    let ventricular = runs.line.matrix.sum(&beatledger_score::Row::ALL, &[beatledger_score::Column::V]);
    assert_eq!(ventricular, 0);
}

/// The sample recording of pyhrv 0.5.0 (PyPI, BSD-3-Clause), beats by sleepecg 0.6.0 and neurokit2 0.2.13
/// (PyPI); `tests/reference/score/make_expected.py` wrote them. The beats are the same ones, none missed and
/// none added, within 75 ms (CPSC 2019 challenge).
#[test]
fn an_open_recording_has_the_beats_that_two_independent_libraries_find() {
    let folder = root().join("tests/reference/score");
    let text = std::fs::read_to_string(folder.join("expected.json")).unwrap();
    let expected: Value = serde_json::from_str(&text).unwrap();
    let recording = beatledger_formats::open(folder.join("sample_ecg.hea")).unwrap();
    let (rate, samples) = (recording.rate, recording.samples);
    assert_eq!(expected["sample"]["samples"], samples);
    let case = case_of_recording(recording, |_, _| Annotations::default());
    for library in ["sleepecg", "neurokit2"] {
        let at = expected["sample"][library].as_array().unwrap().iter();
        let beats = at.map(|s| (s.as_i64().unwrap(), BeatClass::N)).collect();
        let reference = Annotations::of_beats(beats);
        let timing = Timing::of(rate, &reference, &case.literature.test, &Rules::WHOLE);
        let (at_75, distance_ms) = (timing.at[1], timing.median_ms().unwrap());
        println!("{library}: {at_75:?}, median distance {distance_ms} ms");
        assert_eq!((at_75.missed, at_75.added), (0, 0), "{library}");
        assert!(distance_ms <= 5.0, "{library}: half of the beats lie {distance_ms} ms off");
    }
    assert!(case.literature.test.beats.iter().all(|b| b.1 == BeatClass::N), "a normal recording");
}
