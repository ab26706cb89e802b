//! The command `beatledger score` as a user meets it.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use std::ffi::OsString;
use std::path::Path;
use std::process::ExitCode;

use beatledger_desk::cli;
use beatledger_synth::Scenario;
use beatledger_tests::made::on_disk;

fn score(words: &[&str], paths: &[&Path]) -> String {
    let mut line: Vec<OsString> = vec!["beatledger".into(), "score".into()];
    line.extend(words.iter().map(Into::into));
    line.extend(paths.iter().map(|p| p.as_os_str().to_owned()));
    format!("{:?}", cli::run(line))
}

fn status(code: u8) -> String {
    format!("{:?}", ExitCode::from(code))
}

/// Cell of the row whose first three cells are `row`, in the column `name`.
fn cell(table: &str, row: &str, name: &str) -> String {
    let heads: Vec<&str> = table.lines().next().unwrap().split(',').collect();
    let column = heads.iter().position(|h| *h == name).unwrap_or_else(|| panic!("no column {name}"));
    let line = table.lines().find(|l| l.starts_with(row)).unwrap_or_else(|| panic!("no row {row}"));
    line.split(',').nth(column).unwrap().to_owned()
}

#[test]
fn a_folder_of_recordings_is_scored_and_every_figure_and_error_is_written() {
    let day = on_disk(Scenario::WorkingDay, 0.5);
    let (figures, errors) = (day.folder.path().join("figures.csv"), day.folder.path().join("errors.csv"));
    let paths = [day.folder.path(), Path::new("--out"), &figures, Path::new("--errors"), &errors];
    assert_eq!(score(&["--mapping", "literature", "--database"], &paths), status(0));
    let table = std::fs::read_to_string(&figures).unwrap();
    let row = "literature,whole,working-day,";
    let beats = day.made.truth.beats.iter().filter(|b| b.readable).count() as f64;
    let counted: f64 = ["n", "s", "v", "f", "q"]
        .map(|c| cell(&table, row, &format!("reference_{c}")).parse::<f64>().unwrap())
        .iter()
        .sum();
    assert_eq!(counted, beats, "every readable beat that was made is scored");
    let se: f64 = cell(&table, row, "qrs_se_percent").parse().unwrap();
    assert!(se > 99.0, "{se} % of the beats found");
    for row in
        ["literature,from-minute-5,working-day,", "literature,whole,gross,", "literature,whole,average,"]
    {
        assert!(!cell(&table, row, "qrs_pp_percent").is_empty(), "{row}");
    }
    let list = std::fs::read_to_string(&errors).unwrap();
    assert!(list.starts_with("record,sample,time_s,clock,kind,reference,found,confidence,unreadable\n"));
    let missed: f64 = cell(&table, row, "qrs_missed").parse().unwrap();
    assert_eq!(list.lines().filter(|l| l.contains(",missed,")).count() as f64, missed);
}

#[test]
fn what_is_said_of_each_record_can_be_laid_beside_its_reference() {
    let day = on_disk(Scenario::WorkingDay, 0.5);
    assert_eq!(score(&["--reliability", "--database"], &[day.folder.path()]), status(0));
}

#[test]
fn one_lead_can_be_scored_alone_and_a_lead_that_is_not_there_is_refused() {
    let day = on_disk(Scenario::Quiet, 0.1);
    assert_eq!(score(&["--leads", "2", "--database"], &[day.folder.path()]), status(0));
    assert_eq!(score(&["--leads", "9", "--database"], &[day.folder.path()]), status(2));
    assert_eq!(score(&["--leads", "0", "--database"], &[day.folder.path()]), status(64));
}

#[test]
fn what_cannot_be_scored_is_refused_and_not_passed_over() {
    let folder = tempfile::tempdir().unwrap();
    assert_eq!(score(&["--database"], &[folder.path()]), status(2), "nothing in it");
    assert_eq!(score(&["--database"], &[&folder.path().join("absent")]), status(2));
    assert_eq!(score(&[], &[]), status(64));
    std::fs::write(folder.path().join("x_rr_secs.txt"), "0.8\nword\n").unwrap();
    assert_eq!(score(&["--database"], &[folder.path()]), status(2), "a word among intervals");
    assert_eq!(score(&["--records", "y", "--database"], &[folder.path()]), status(2), "no such record");
}

#[test]
fn one_record_that_cannot_be_read_keeps_no_other_from_its_table() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("a_rr_secs.txt"), "0.8\n".repeat(400)).unwrap();
    std::fs::write(folder.path().join("b_rr_secs.txt"), "0.8\nword\n").unwrap();
    let out = folder.path().join("figures.csv");
    let paths = [folder.path(), Path::new("--out"), &out];
    assert_eq!(score(&["--database"], &paths), status(2), "the status tells that one is missing");
    let table = std::fs::read_to_string(&out).unwrap();
    assert_eq!(cell(&table, "literature,whole,a,", "reference_n"), "400");
    assert!(!table.contains(",b,"));
}
