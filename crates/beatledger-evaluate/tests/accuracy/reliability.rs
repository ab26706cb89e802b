//! Whether certainties and ranges come true, on what was held out of the training of the classes: the excerpts of the QT
//! Database whose parents are not of MIT-BIH Arrhythmia. The curves of counts and of runs were drawn with these excerpts in
//! view.

use beatledger_core::model::BeatClass;
use beatledger_evaluate::reliability::{beats, counted, events, reliability_tables};
use beatledger_evaluate::{Case, Wanted};
use beatledger_formats::wfdb::Mapping;
use beatledger_score::Reliability;
use beatledger_testkit::data;

use super::beats::DS1;
use super::cases;

const MAPPING: Mapping = Mapping::Literature;

fn all_events(cases: &[Case]) -> Reliability {
    events(cases, MAPPING).iter().fold(Reliability::default(), |mut all, judged| {
        all.merge(&judged.of);
        all
    })
}

#[test]
fn labels_are_right_as_often_as_is_said_and_true_counts_lie_within_the_printed_range() {
    let Some(folder) = data("whether certainties come true, on excerpts of the QT Database") else { return };
    let folder = folder.join("qtdb");
    let parents = std::fs::read_to_string(folder.join("PARENTS.csv")).unwrap();
    let rows = parents.lines().skip(1).filter_map(|line| line.split_once(','));
    let held_out = rows
        .filter(|(record, parent)| *parent != "mitdb" && folder.join(record).with_extension("atr").is_file());
    let records: Vec<String> = held_out.map(|(record, _)| record.to_owned()).collect();
    assert!(records.len() >= 30, "{records:?}");
    let cases = cases(&folder, &Wanted { records, ..Wanted::default() });
    println!("{}", reliability_tables(&cases, MAPPING));
    let error = beats(&cases, MAPPING).error_percent().unwrap();
    assert!(error <= 1.0, "calibration error of beats {error} %");
    for class in [BeatClass::V, BeatClass::S] {
        let counted: Vec<_> = cases.iter().filter_map(|case| counted(case, MAPPING, class)).collect();
        let inside = counted.iter().filter(|c| c.is_inside()).count();
        let what = format!("{}: {inside} of {}", class.letter(), counted.len());
        assert!(counted.len() >= 30 && 10 * inside >= 9 * counted.len(), "{what}");
    }
}

#[test]
fn events_are_right_as_often_as_is_said() {
    let Some(folder) = data("whether the certainty of events comes true, on MIT-BIH Arrhythmia") else {
        return;
    };
    let records = DS1.map(str::to_owned).into();
    let cases = cases(&folder.join("mitdb"), &Wanted { records, ..Wanted::default() });
    println!("{}", reliability_tables(&cases, MAPPING));
    let of = all_events(&cases);
    let error = of.error_percent().unwrap();
    assert!(of.all().count > 500 && error <= 5.0, "calibration error of {} events {error} %", of.all().count);
}
