//! Records at rates that they were not recorded at: no figure may hang on one recorder.

use beatledger_core::model::BeatClass;
use beatledger_evaluate::{case_of_recording, reference, resample};
use beatledger_formats::wfdb::{Mapping, read_annotations};
use beatledger_score::{Annotations, Line, Rules, Score, beat_table};
use beatledger_testkit::data;
use rayon::prelude::*;

use super::beats::DS1;
use super::floors::hold;

/// Beats match within 150 ms (EC57), here at 250 Hz.
const MATCH_SAMPLES: u64 = 37;

/// What is found in a record at `hz` samples a second, beside its reference.
fn at_rate(folder: &std::path::Path, record: &str, hz: u32) -> (Score, Annotations) {
    let recording = beatledger_formats::open(folder.join(format!("{record}.hea"))).unwrap();
    let known = reference(&folder.join(format!("{record}.atr")), recording.samples).unwrap();
    let (recording, known) = resample::at_rate(&recording, &known, hz);
    let case = case_of_recording(recording, |_, _| known.clone());
    (case.score(Mapping::Literature, &Rules::WHOLE), case.literature.test.clone())
}

/// Beats that are said to be paced.
fn paced(found: &Annotations) -> usize {
    found.beats.iter().filter(|b| b.1 == BeatClass::Q).count()
}

fn ds1_at(hz: u32) {
    let Some(folder) = data(&format!("QRS, V and S accuracy on MIT-BIH records at {hz} Hz")) else { return };
    let folder = folder.join("mitdb");
    let all: Vec<(Score, Annotations)> = DS1.par_iter().map(|record| at_rate(&folder, record, hz)).collect();
    for (record, (_, found)) in DS1.iter().zip(&all) {
        assert_eq!(paced(found), 0, "{record} at {hz} Hz: nobody there has a pacemaker");
    }
    let scores: Vec<Score> = all.into_iter().map(|a| a.0).collect();
    let lines: Vec<Line> = scores.iter().map(|s| s.line.clone()).collect();
    println!("{hz} Hz\n{}", beat_table(&lines));
    let beats =
        ["qrs_se_percent", "qrs_pp_percent", "v_se_percent", "v_pp_percent", "s_se_percent", "s_pp_percent"];
    hold(&format!("ds1_{hz}hz"), &Score::gross(&scores), &beats);
}

#[test]
fn at_128_hz_beats_and_classes_do_not_fall_below_their_floors() {
    ds1_at(128);
}

#[test]
fn at_257_hz_beats_and_classes_do_not_fall_below_their_floors() {
    ds1_at(257);
}

/// Nine paced beats of ten are told at 250 Hz, a usual rate of recorders; fusions of them are not asked for.
#[test]
fn paced_beats_are_told_at_250_hz() {
    let Some(folder) = data("paced beats at 250 Hz, MIT-BIH records with a pacemaker") else { return };
    let folder = folder.join("mitdb");
    for record in ["102", "104", "107", "217"] {
        let (_, found) = at_rate(&folder, record, 250);
        let all = read_annotations(folder.join(format!("{record}.atr"))).unwrap();
        let there: Vec<i64> = all.iter().filter(|a| a.symbol == "/").map(|a| a.sample * 250 / 360).collect();
        let is_told = |at: &&i64| {
            found.beats.iter().any(|b| b.1 == BeatClass::Q && b.0.abs_diff(**at) <= MATCH_SAMPLES)
        };
        let told = there.iter().filter(is_told).count();
        println!("{record} at 250 Hz: {told} told of {}", there.len());
        assert!(told as f64 > 0.9 * there.len() as f64, "{record}: {told} of {}", there.len());
    }
}
