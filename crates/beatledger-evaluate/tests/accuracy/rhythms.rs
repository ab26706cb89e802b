//! Fibrillation and runs, from reference beats alone and from short recordings.

use beatledger_core::model::BeatClass;
use beatledger_evaluate::short::{Label, Verdicts, verdict_table};
use beatledger_evaluate::{Database, Wanted, open};
use beatledger_score::{Column, Row, Score, episode_table, run_table};
use beatledger_testkit::data;

use super::floors::{hold, hold_values};
use super::{cases, scores};

/// MIT-BIH Atrial Fibrillation Database, from its unaudited beat annotations alone.
#[test]
fn time_in_fibrillation_of_the_af_database_does_not_fall_below_its_floors() {
    let Some(folder) = data("AF accuracy on the MIT-BIH Atrial Fibrillation Database") else { return };
    let scores = scores(&cases(&folder.join("afdb"), &Wanted::default()));
    println!("{}", episode_table(&scores, |s| &s.af));
    hold(
        "afdb",
        &Score::gross(&scores),
        &["af_duration_se_percent", "af_duration_pp_percent", "af_duration_sp_percent"],
    );
}

/// MIT-BIH Normal Sinus Rhythm Database and Normal Sinus Rhythm RR Interval Database: nobody there fibrillates.
#[test]
fn in_days_of_normal_rhythm_no_minute_is_called_fibrillation() {
    let Some(folder) = data("false AF on days of normal sinus rhythm") else { return };
    for set in ["nsrdb", "nsr2db"] {
        for score in scores(&cases(&folder.join(set), &Wanted::default())) {
            let hours = score.af.period_s / 3600.0;
            println!("{set} {:<8} {hours:5.1} h, AF {:.1} s", score.line.record, score.af.test_s);
            assert!(hours > 20.0, "{set} {} is a day", score.line.record);
            assert_eq!(score.af.test_s, 0.0, "{set} {}", score.line.record);
        }
    }
}

/// Sudden Cardiac Death Holter Database: with true labels every run that is there is reported, and no other.
#[test]
fn from_true_labels_every_ventricular_run_is_reported() {
    let Some(folder) = data("run tables on the Sudden Cardiac Death Holter Database") else { return };
    let scores = scores(&cases(&folder.join("sddb"), &Wanted::default()));
    let runs: Vec<_> = scores.iter().map(|s| (s.line.record.clone(), s.ventricular)).collect();
    println!("{}", run_table(&runs));
    let f = Score::gross(&scores).ventricular.figures();
    for value in [
        f.couplet_se_percent,
        f.couplet_pp_percent,
        f.short_se_percent,
        f.short_pp_percent,
        f.long_se_percent,
        f.long_pp_percent,
    ] {
        assert_eq!(value, Some(100.0));
    }
}

/// Computing in Cardiology Challenge 2017: fibrillation, normal or another rhythm in 9 to 61 s of one lead.
#[test]
fn short_recordings_of_the_2017_challenge_do_not_fall_below_their_floors() {
    let Some(folder) = data("AF in short recordings, CinC Challenge 2017") else { return };
    let Database::Short(records) = open(&folder.join("cinc2017"), &Wanted::default(), &mut |_| ()).unwrap()
    else {
        panic!("recordings with one label each are expected")
    };
    println!("{}", verdict_table(&records));
    let verdicts = Verdicts::of(&records);
    let figures = [
        ("af_se_percent", verdicts.se_percent()),
        ("sp_normal_percent", verdicts.sp_percent(Label::Normal)),
        ("sp_other_percent", verdicts.sp_percent(Label::Other)),
    ];
    hold_values("cinc2017", &figures.map(|(name, value)| (name.to_owned(), value)));
}

/// VitalDB Arrhythmia Database: fibrillation in the operating theatre, from beat annotations.
#[test]
fn fibrillation_in_the_operating_theatre_does_not_fall_below_its_floors() {
    let Some(folder) = data("AF accuracy on the VitalDB Arrhythmia Database") else { return };
    let all = Score::gross(&scores(&cases(&folder.join("vitaldb_arr"), &Wanted::default())));
    hold("vitaldb_arr", &all, &["af_duration_se_percent", "af_duration_sp_percent"]);
}

/// MIT-BIH Arrhythmia Database, DS1 and the four records with a pacemaker. Ventricular flutter is marked in 207
/// alone; paced beats and their fusions are Q (EC57).
#[test]
fn ventricular_flutter_and_paced_beats_are_told_where_they_are_and_nowhere_else() {
    let Some(folder) = data("ventricular flutter and paced beats, MIT-BIH Arrhythmia Database") else {
        return;
    };
    let of = |records: &[&str]| {
        let records = records.iter().map(|r| (*r).to_owned()).collect();
        scores(&cases(&folder.join("mitdb"), &Wanted { records, ..Wanted::default() }))
    };
    let (others, paced) = (of(&[]), of(&["102", "104", "107", "217"]));
    println!("{}", episode_table(&others, |s| &s.vf));
    for score in others.iter().chain(&paced).filter(|s| s.vf.reference == 0) {
        assert_eq!(score.vf.test, 0, "no ventricular flutter in {}", score.line.record);
    }
    hold("mitdb", &Score::gross(&others), &["vf_duration_se_percent", "vf_duration_pp_percent"]);
    assert_eq!(Score::gross(&others).line.matrix.sum(&Row::ALL, &[Column::Q]), 0, "nobody else is paced");
    let matrix = Score::gross(&paced).line.matrix;
    let share = |part: u64, all: u64| (all > 0).then(|| 100.0 * part as f64 / all as f64);
    let (right, called) = (matrix.at(Row::Q, Column::Q), matrix.sum(&Row::ALL, &[Column::Q]));
    let figures = [
        ("q_se_percent", share(right, matrix.reference_of(BeatClass::Q))),
        ("q_pp_percent", share(right, called)),
    ];
    hold_values("mitdb_paced", &figures.map(|(name, value)| (name.to_owned(), value)));
}
