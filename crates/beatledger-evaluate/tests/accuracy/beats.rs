//! Beats and classes on the MIT-BIH Arrhythmia Database, and beats of other recorders.
//!
//! The classes were trained on DS1, so that V and S here are in-sample: they guard against loss and promise nothing.
//! Figures with each record held out of the training are printed by `bash tests/training/train`.

use beatledger_core::model::BeatClass;
use beatledger_evaluate::{Leads, Wanted};
use beatledger_score::{Line, Score, beat_table, timing_table};
use beatledger_testkit::data;

use super::floors::{hold, hold_values};
use super::{cases, figure, scores};

/// DS1 of de Chazal 2004: records of the first half, without paced ones.
pub const DS1: [&str; 22] = [
    "101", "106", "108", "109", "112", "114", "115", "116", "118", "119", "122", "124", "201", "203", "205",
    "207", "208", "209", "215", "220", "223", "230",
];

fn ds1(set: &str, leads: Leads) {
    let Some(folder) = data(&format!("QRS, V, S and AF accuracy on the MIT-BIH Arrhythmia Database ({set})"))
    else {
        return;
    };
    let records = DS1.map(str::to_owned).into();
    let cases = cases(&folder.join("mitdb"), &Wanted { records, leads, ..Wanted::default() });
    let scores = scores(&cases);
    let lines: Vec<Line> = scores.iter().map(|s| s.line.clone()).collect();
    println!("{set}\n{}", beat_table(&lines));
    let all = Score::gross(&scores);
    let beats =
        ["qrs_se_percent", "qrs_pp_percent", "v_se_percent", "v_pp_percent", "s_se_percent", "s_pp_percent"];
    hold(set, &all, &[&beats[..], &["af_duration_se_percent", "af_duration_sp_percent"]].concat());
    let distance = figure(&all, "distance_median_samples").unwrap();
    assert!(distance <= 1.0, "half of the beats lie more than {distance} samples off the reference");
}

#[test]
fn beats_and_classes_of_the_arrhythmia_database_do_not_fall_below_their_floors() {
    ds1("ds1", Leads::All);
}

#[test]
fn the_first_lead_alone_does_not_fall_below_its_floors() {
    ds1("ds1_lead_1", Leads::Only(1));
}

#[test]
fn the_second_lead_alone_does_not_fall_below_its_floors() {
    ds1("ds1_lead_2", Leads::Only(2));
}

/// CPSC 2019: hard ten-second recordings of one lead at 500 Hz; that challenge pairs beats within 75 ms.
#[test]
fn hard_recordings_of_ten_seconds_do_not_fall_below_their_floors() {
    let Some(folder) = data("QRS accuracy on CPSC 2019") else { return };
    let scores = scores(&cases(&folder.join("cpsc2019"), &Wanted::default()));
    println!("{}", timing_table(&scores));
    hold("cpsc2019", &Score::gross(&scores), &["qrs_se_75ms_percent", "qrs_pp_75ms_percent"]);
}

/// CPSC 2021: two leads at 200 Hz of ambulatory recorders, with the start and end of fibrillation.
#[test]
fn excerpts_of_ambulatory_recordings_do_not_fall_below_their_floors() {
    let Some(folder) = data("QRS and AF accuracy on CPSC 2021") else { return };
    let all = Score::gross(&scores(&cases(&folder.join("cpsc2021"), &Wanted::default())));
    let names = ["qrs_se_percent", "qrs_pp_percent", "af_duration_se_percent", "af_duration_sp_percent"];
    hold("cpsc2021", &all, &names);
    hold_values(
        "cpsc2021",
        &[("v_specificity_percent".to_owned(), figure(&all, "v_fpr_percent").map(|f| 100.0 - f))],
    );
}

/// MITDB totals of the records at hand: the reader of annotations and the mapping must not drift, or every
/// figure above would. DS1 of the published split holds N 45,866, S 944, V 3,788, F 415 and Q 8 (de Chazal
/// 2004 grouping; each class adds up with DS2 to the published totals).
#[test]
fn the_reference_beats_are_as_many_as_published() {
    let Some(folder) = data("class totals of DS1 of the MIT-BIH Arrhythmia Database") else { return };
    let mut counts = [0u32; 5];
    for record in DS1 {
        let path = folder.join(format!("mitdb/{record}.atr"));
        for mark in beatledger_formats::wfdb::read_annotations(path).unwrap() {
            let mapping = beatledger_formats::wfdb::Mapping::Literature;
            if let Some(class) = beatledger_formats::wfdb::beat_class(&mark.symbol, mapping) {
                counts[BeatClass::index(class)] += 1;
            }
        }
    }
    assert_eq!(counts, [45_866, 944, 3_788, 415, 8]);
}
