//! Lists, summary file and terminal text say what stands.

mod dropped;
mod midnight;
mod summary_file;
mod summary_tables;
mod values;

use std::sync::Arc;

use beatledger_core::model::{BeatClass, Figure, FigureId, FigureValue, Proof};
use beatledger_core::review::Edit;
use beatledger_core::session::Snapshot;

use serde_json::{Value, json};

use crate::made::{self, V_AT};
use crate::tables::ALL;
use crate::values::{duration_text, figure_text, short_number};
use crate::{csv, json, text};

/// A table as a list of comma-separated values.
pub(super) fn table_list(snapshot: &Snapshot, key: &str) -> String {
    let table = ALL.iter().find(|t| t.about().key == key).unwrap();
    let mut out = Vec::new();
    table.write_csv(snapshot, &mut out).unwrap();
    String::from_utf8(out).unwrap()
}

fn beat_list(edits: &[Edit]) -> String {
    let mut out = Vec::new();
    csv::beats(&made::snapshot(edits), &mut out).unwrap();
    String::from_utf8(out).unwrap()
}

#[test]
fn the_beat_list_has_a_row_a_beat_with_exact_columns() {
    let edit = Edit::Relabel { beats: vec![V_AT], class: BeatClass::S };
    let list = beat_list(&[edit, Edit::InsertBeat { sample: 8_020, class: BeatClass::Q }]);
    let mut lines = list.lines();
    assert_eq!(lines.next().unwrap(), "sample,time_s,clock,rr_ms,class,class_found,confidence,group");
    assert_eq!(lines.next().unwrap(), "100,0.400000,23:58:30.400,,N,N,0.900,0");
    assert!(list.contains("\n8000,32.000000,23:59:02.000,400.000,S,V,0.900,1\n"), "{list}");
    assert!(list.contains("\n8020,32.080000,23:59:02.080,80.000,Q,,1.000,\n"));
    assert!(list.contains("\n22500,90.000000,00:00:00.000,"), "the clock runs on over midnight");
    assert_eq!(lines.count(), made::beats().len());
}

#[test]
fn no_interval_is_written_across_unreadable_time() {
    let list = beat_list(&[]);
    let after = list.lines().find(|l| l.starts_with("27500,")).unwrap();
    assert_eq!(after.split(',').nth(3), Some(""));
    let empty = list.lines().skip(1).filter(|l| l.split(',').nth(3) == Some("")).count();
    assert_eq!(empty, 2, "the first beat and the one after the hole");
}

#[test]
fn the_event_list_has_exact_columns_and_a_row_an_event() {
    let snapshot = made::snapshot(&[]);
    let mut out = Vec::new();
    csv::events(&snapshot, &mut out).unwrap();
    let list = String::from_utf8(out).unwrap();
    assert!(list.starts_with("kind,start_sample,end_sample,clock,beats,rate_bpm,state,certainty,reason\n"));
    assert_eq!(list.lines().count(), 1 + snapshot.events.len());
    // 100 to 110 s after 23:58:30; no beats are claimed for what cannot be read.
    assert!(list.contains("\nunreadable,25000,27500,00:00:10.000,,,unread,1.00,\n"), "{list}");
}

#[test]
fn the_summary_file_says_what_was_not_computed_and_what_was_concluded() {
    let mut snapshot = made::snapshot(&[Edit::Conclude { text: "Sinus \"rhythm\".".into() }]);
    let mut summary = (*snapshot.summary).clone();
    summary.figures[0].value = FigureValue::NotComputable("too short".into());
    summary.figures[1].value = FigureValue::Number(f64::NAN);
    snapshot.summary = Arc::new(summary);
    let file: Value = serde_json::from_str(&json::summary_text(&snapshot).unwrap()).unwrap();
    assert_eq!((&file["format"], &file["version"]), (&json!("beatledger-summary"), &json!(1)));
    assert_eq!(file["recording"]["start"], "2024-03-04T23:58:30.000");
    assert_eq!(
        (&file["figures"][0]["value"], &file["figures"][0]["reason"]),
        (&Value::Null, &json!("too short"))
    );
    assert_eq!(file["figures"][1]["value"], Value::Null, "no NaN in JSON");
    assert_eq!(file["settings"]["pause_ms"], 2000.0);
    assert_eq!(file["conclusion"], "Sinus \"rhythm\".");
    assert!(file["cautions"].as_array().unwrap().len() > 5);
}

#[test]
fn figures_print_with_their_decimals_units_and_reasons() {
    let recording = made::recording();
    let text = |id: FigureId, value| {
        let basis = beatledger_core::model::Basis::default();
        let figure =
            Figure { id, name: id.row().name, value, proof: Proof::Whole, place: None, basis, doubt: None };
        figure_text(&figure, &recording)
    };
    assert_eq!(text(FigureId::BeatsTotal, FigureValue::Count(104_233)), "104\u{a0}233");
    assert_eq!(text(FigureId::VPercent, FigureValue::Number(7.397)), "7.40\u{a0}%");
    assert_eq!(text(FigureId::MeanBpm, FigureValue::Number(73.983)), "74\u{a0}bpm");
    assert_eq!(text(FigureId::WornH, FigureValue::Number(23.51)), "23 h 31 min");
    assert_eq!(text(FigureId::BeatsTotal, FigureValue::Place(8_000)), "23:59:02");
    assert_eq!(
        text(FigureId::PrMs, FigureValue::NotComputable("no beats".into())),
        "not computable: no beats"
    );
}

#[test]
fn durations_read_well_and_carry_over() {
    assert_eq!(duration_text(4.25), "4.2 s");
    assert_eq!(duration_text(59.97), "1 min 00 s");
    assert_eq!(duration_text(185.0), "3 min 05 s");
    assert_eq!(duration_text(3599.7), "1 h 00 min");
    assert_eq!(duration_text(f64::NAN), "unknown");
    assert_eq!(
        (short_number(0.5), short_number(40.0), short_number(100.0)),
        ("0.5".into(), "40".into(), "100".into())
    );
}

#[test]
fn the_terminal_shows_every_figure_under_its_family() {
    let snapshot = made::snapshot(&[]);
    let table = text::table(&snapshot);
    for figure in &snapshot.summary.figures {
        assert!(table.contains(&format!("  {}", figure.name)), "{}", figure.id);
    }
    assert!(table.contains("\nReadable time\n") && table.contains("\nVariability\n"));
    assert!(table.contains("not computable: "), "three minutes hold no day-long variability\n{table}");
}

#[test]
fn places_carry_the_day_only_where_a_recording_is_longer_than_one() {
    let mut recording = made::recording();
    assert_eq!(crate::values::place_text(&recording, 22_500), "00:00:00");
    recording.samples = 25 * 3600 * made::HZ;
    assert_eq!(crate::values::place_text(&recording, 22_500), "03-05 00:00:00");
}

#[test]
fn variability_st_and_conduction_are_lists_with_units_in_their_columns() {
    let snapshot = made::snapshot(&[]);
    let list = |key: &str| table_list(&snapshot, key);
    let hrv = list("hrv_windows");
    assert!(hrv.starts_with(
        "start_sample,end_sample,clock,readable_percent,intervals,nn_percent,reason,mean_nn_ms,"
    ));
    assert_eq!(hrv.lines().count(), 1 + snapshot.summary.hrv_windows.len());
    let hours = list("hours");
    assert!(hours.starts_with("start_sample,end_sample,clock,readable_min,readable_percent,beats,min_bpm,"));
    assert_eq!(hours.lines().count(), 1 + snapshot.summary.hours.len());
    let hrv_hours = list("hrv_hours");
    assert_eq!(hrv_hours.lines().next(), hrv.lines().next());
    assert_eq!(hrv_hours.lines().count(), hours.lines().count());
    let st = list("st_course");
    assert_eq!(st, "lead,start_sample,time_s,clock,level_mv,beats\n", "withheld on every lead");
    let conduction = list("conduction");
    assert!(
        conduction.starts_with("start_sample,end_sample,clock,readable_percent,pr_ms,pr_beats,qrs_ms,"),
        "{conduction}"
    );
}
