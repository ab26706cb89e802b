//! A recording from 14:00 on: what happens five minutes after midnight stands at 00:05 of the next day in every output.
//!
//! The first entry of the diary after midnight is at 00:05:00, which is 10 h 5 min after the start.

use std::sync::Arc;

use beatledger_core::model::{
    BeatClass, DiaryEntry, DiaryKind, EventKind, Found, Lead, LocalTime, Rate, Recording, Span, StripReason,
};
use beatledger_core::review::{Action, Edit};
use beatledger_core::session::{Session, Snapshot, Stamp};
use beatledger_core::settings::Settings;
use serde_json::{Value, json};

use super::summary_file::table_lines;
use crate::document::{Block, ReportContext, build};
use crate::tables::shown;
use crate::values::{clock_ms, date_text, iso_local, place_text};
use crate::{csv, fhir, json, made};

/// Samples a second.
const HZ: i64 = 100;
/// 00:05:00, 36 300 s after 14:00:00.
const ENTRY_AT: i64 = 36_300 * HZ;

fn recording(hours: i64) -> Recording {
    let samples = hours * 3600 * HZ;
    let lead = Lead { samples: Arc::new(vec![0; samples as usize]), ..made::recording().leads[0].clone() };
    let entry = |second: i64, kind, text: &str| DiaryEntry {
        span: Span::new(second * HZ, second * HZ),
        kind,
        text: text.to_owned(),
    };
    Recording {
        // 2024-03-04 14:00:00.
        start: Some(LocalTime(1_709_560_800_000)),
        rate: Rate::whole_hz(HZ as u32),
        samples,
        segments: vec![Span::new(0, samples)],
        leads: vec![lead],
        diary: vec![
            entry(35_400, DiaryKind::Activity, "to bed"),
            entry(36_300, DiaryKind::Symptom, "woke up, heart races"),
        ],
        ..made::recording()
    }
}

/// Beats at 75 bpm from 00:02:00.4 to 00:08:00, fibrillation set by a reader from 00:05:10 to 00:05:50.
fn snapshot(hours: i64) -> Snapshot {
    let beats = (0..450).map(|i| (36_120 * HZ) + 40 + 80 * i);
    let pattern = made::snapshot(&[]).found.beats[0];
    let found = Found {
        beats: beats
            .map(|sample| beatledger_core::model::FoundBeat { sample, class: BeatClass::N, ..pattern })
            .collect(),
        looks_inverted: vec![false],
        ..Found::default()
    };
    let mut session = Session::new(Arc::new(recording(hours)), Settings::default(), Arc::new(found), &[]);
    let span = Span::new(36_310 * HZ, 36_350 * HZ);
    let edit = Edit::AddEvent { kind: EventKind::AtrialFibrillation, span };
    let stamp = Stamp { reader: "A. Reader".to_owned(), at_utc_ms: 0, utc_offset_min: 0 };
    let entry = session.entry(Action::Do(edit), &stamp);
    (*session.push(&entry)).clone()
}

fn lines(write: impl Fn(&mut Vec<u8>)) -> Vec<String> {
    let mut out = Vec::new();
    write(&mut out);
    String::from_utf8(out).unwrap().lines().map(str::to_owned).collect()
}

#[test]
fn the_pages_say_five_past_midnight() {
    let snapshot = snapshot(11);
    let report = build(&snapshot, &ReportContext::default());
    let text = report.to_text().replace('\u{a0}', " ");
    assert!(text.contains("\nStart: 2024-03-04 14:00:00 (recorder's clock)\n"), "{text}");
    assert!(text.contains("\n1 | 23:50:00 | to bed (activity) | "), "{text}");
    assert!(text.contains("\n2 | 00:05:00 | woke up, heart races (symptom) | "), "{text}");
    assert!(text.contains("\nAtrial fibrillation | 00:05:10 | 40.0 s | "), "{text}");
    assert!(text.contains("\nSymptom with finding | 1 | 00:05:00\n"), "{text}");
    let strips = snapshot.summary.strips.iter();
    let index = strips.clone().position(|s| matches!(s.reason, StripReason::Diary(1))).unwrap();
    let blocks = report.sections.iter().flat_map(|s| &s.blocks);
    let notes: Vec<&str> =
        blocks.filter_map(|b| if let Block::Strip(s) = b { Some(s.note.as_str()) } else { None }).collect();
    assert_eq!(notes[index], "diary entry at 00:05:00 · 2024-03-05", "the day is that of the entry");
}

#[test]
fn the_trend_puts_the_entry_ten_hours_and_five_minutes_after_the_start() {
    let report = build(&snapshot(11), &ReportContext::default());
    let Block::Trend(chart) = &report.sections[1].blocks[0] else { panic!("the day starts with the trend") };
    let near = |x: f64, expected: f64| assert!((x - expected).abs() < 1e-9, "{x}, expected {expected}");
    assert_eq!(chart.diary.iter().map(|d| d.1).collect::<Vec<_>>(), [1, 2]);
    near(chart.diary[0].0, 9.0 + 50.0 / 60.0);
    near(chart.diary[1].0, 10.0 + 5.0 / 60.0);
    let clocks: Vec<&str> = chart.ticks.iter().map(|t| t.1.as_str()).collect();
    let expected = [
        "14:00", "15:00", "16:00", "17:00", "18:00", "19:00", "20:00", "21:00", "22:00", "23:00", "00:00",
        "01:00",
    ];
    assert_eq!(clocks, expected);
    near(chart.ticks[10].0, 10.0);
    // From 23:00 to the end at 01:00.
    assert_eq!(chart.night.len(), 1);
    near(chart.night[0].0, 9.0);
    near(chart.night[0].1, 11.0);
    // The minutes of 00:02 to 00:08 have a rate; each is drawn in its middle.
    let first = chart.pieces[0][0];
    assert!((10.0 + 2.0 / 60.0..10.0 + 4.0 / 60.0).contains(&first.0), "{first:?}");
    assert_eq!((first.1.round(), first.2.round(), first.3.round()), (75.0, 75.0, 75.0));
}

#[test]
fn the_hours_go_on_from_23_to_0() {
    let report = build(&snapshot(11), &ReportContext::default());
    let Block::Table(table) =
        report.sections[1].blocks.iter().find(|b| matches!(b, Block::Table(_))).unwrap()
    else {
        unreachable!()
    };
    let names: Vec<&str> = table.rows.iter().map(|r| r.cells[0].as_str()).collect();
    let expected = [
        "14:00", "15:00", "16:00", "17:00", "18:00", "19:00", "20:00", "21:00", "22:00", "23:00", "00:00",
        "Day",
    ];
    assert_eq!(names, expected);
    let beats: Vec<&str> = table.rows.iter().map(|r| r.cells[2].as_str()).collect();
    assert_eq!(beats[9..], ["–", "450", "450"]);
}

#[test]
fn the_summary_file_carries_the_next_date() {
    let file = json::summary(&snapshot(11)).unwrap();
    assert_eq!(file["recording"]["start"], "2024-03-04T14:00:00.000");
    assert_eq!(
        file["diary"],
        json!([
            {"start_sample": 3_540_000, "end_sample": 3_540_000, "clock": "2024-03-04T23:50:00.000",
             "kind": "activity", "text": "to bed"},
            {"start_sample": 3_630_000, "end_sample": 3_630_000, "clock": "2024-03-05T00:05:00.000",
             "kind": "symptom", "text": "woke up, heart races"},
        ])
    );
    let event =
        file["events"].as_array().unwrap().iter().find(|e| e["kind"] == "atrial-fibrillation").unwrap();
    assert_eq!(
        (&event["clock"], &event["start_sample"]),
        (&json!("2024-03-05T00:05:10.000"), &json!(3_631_000))
    );
    assert_eq!((&event["state"], &event["origin"]), (&json!("changed"), &json!("reader")));
    // Two minutes before the entry.
    let row = &file["tables"]["symptoms"]["rows"][1];
    assert_eq!((&row["clock"], &row["class"]), (&json!("2024-03-05T00:03:00.000"), &json!("with-finding")));
    assert_eq!(row["findings"], json!(["atrial-fibrillation"]));
    assert_eq!(file["hours"][9]["clock"], "2024-03-04T23:00:00.000");
    assert_eq!(file["hours"][10]["clock"], "2024-03-05T00:00:00.000");
}

#[test]
fn the_lists_carry_the_clock_of_the_next_day() {
    let snapshot = snapshot(11);
    let beats = lines(|out| csv::beats(&snapshot, out).unwrap());
    assert_eq!(beats[1], "3612040,36120.400000,00:02:00.400,,N,N,0.900,0");
    let events = lines(|out| csv::events(&snapshot, out).unwrap());
    let fibrillation = events.iter().find(|l| l.starts_with("atrial-fibrillation,")).unwrap();
    assert!(
        fibrillation.starts_with("atrial-fibrillation,3631000,3635000,00:05:10.000,50,,changed"),
        "{fibrillation}"
    );
    let hours = table_lines(&snapshot, "hours");
    assert!(
        hours[11].starts_with("3600000,3960000,2024-03-05T00:00:00.000,60.0,100.0,450,75.0,"),
        "{}",
        hours[11]
    );
}

#[test]
fn the_bundle_carries_the_next_date_with_the_offset_where_it_is_known() {
    let snapshot = snapshot(11);
    let event = |zone| {
        let context = ReportContext { recorder_utc_offset_min: zone, ..ReportContext::default() };
        let text = fhir::bundle_text(&snapshot, &context, None).unwrap();
        let bundle: Value = serde_json::from_str(&text).unwrap();
        let resources = bundle["entry"].as_array().unwrap().iter().map(|e| e["resource"].clone());
        resources.into_iter().find(|r| r["code"]["coding"][0]["code"] == "atrial-fibrillation").unwrap()
    };
    let known = event(Some(-300));
    assert_eq!(
        known["effectivePeriod"],
        json!({"start": "2024-03-05T00:05:10.000-05:00", "end": "2024-03-05T00:05:50.000-05:00"})
    );
    let unknown = event(None);
    assert_eq!(unknown["effectivePeriod"], json!({"start": "2024-03-05", "end": "2024-03-05"}));
    assert_eq!(unknown["component"][0]["valueQuantity"]["value"], json!(36_310.0));
    assert_eq!(unknown["component"][1]["valueTime"], "00:05:10.000");
}

#[test]
fn from_more_than_a_day_on_every_place_carries_month_and_day() {
    let text = build(&snapshot(25), &ReportContext::default()).to_text().replace('\u{a0}', " ");
    assert!(text.contains("\n2 | 03-05 00:05:00 | woke up, heart races (symptom) | "), "{text}");
    assert!(text.contains("\nAtrial fibrillation | 03-05 00:05:10 | 40.0 s | "), "{text}");
    assert!(
        text.contains("\n03-04 23:00 | ")
            && text.contains("\n03-05 00:00 | ")
            && text.contains("\n03-05 14:00 | ")
    );
    let shown = shown(&snapshot(25));
    let silent = shown.iter().find(|t| t.about.key == "symptom_classes").unwrap().table.as_ref().unwrap();
    assert_eq!(silent.rows[0].cells[2], "03-05 00:05:00");
}

#[test]
fn a_place_after_midnight_is_worded_alike_whatever_it_is_written_into() {
    let recording = recording(1);
    assert_eq!(place_text(&recording, ENTRY_AT), "00:05:00");
    assert_eq!(clock_ms(&recording, ENTRY_AT + 7), "00:05:00.070");
    let at = recording.local_time(ENTRY_AT).unwrap();
    assert_eq!((date_text(at).as_str(), iso_local(at).as_str()), ("2024-03-05", "2024-03-05T00:05:00.000"));
    // The last millisecond of the day before, and a leap day.
    assert_eq!(iso_local(LocalTime(at.0 - 300_001)), "2024-03-04T23:59:59.999");
    assert_eq!(iso_local(LocalTime(1_709_164_800_000)), "2024-02-29T00:00:00.000");
    let unknown = Recording { start: None, ..recording };
    assert_eq!(place_text(&unknown, ENTRY_AT), "+10:05:00");
    assert_eq!(clock_ms(&unknown, ENTRY_AT + 7), "+10:05:00.070");
}
