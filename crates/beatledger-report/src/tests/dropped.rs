//! An event that a reader dropped stands nowhere as if it were so, and is shown as dropped where all are listed.
//!
//! Three pauses: 2.4 s at 15.6 s, nobody has read it; 3.2 s at 47.6 s, dropped; 2.8 s at 139.6 s, confirmed.

use beatledger_core::model::{DiaryEntry, DiaryKind, EventKind, Span};
use beatledger_core::review::Edit;
use beatledger_core::session::Snapshot;
use serde_json::{Value, json};

use crate::document::{Block, ReportContext, Row, Table, build};
use crate::tables::shown;
use crate::{csv, fhir, json, made};

const UNREAD: Span = Span { start: 3_900, end: 4_501 };
const DROPPED: Span = Span { start: 11_900, end: 12_701 };
const KEPT: Span = Span { start: 34_900, end: 35_601 };
/// 23:59:18, inside the pause that is dropped; 30 s on both sides hold no other pause.
const SYMPTOM_AT: i64 = 12_100;

fn three_pauses(drop: bool) -> Snapshot {
    let kind = EventKind::Pause;
    let entry = DiaryEntry {
        span: Span::new(SYMPTOM_AT, SYMPTOM_AT),
        kind: DiaryKind::Symptom,
        text: "dizzy".into(),
    };
    let mut edits = vec![
        Edit::RemoveBeats { beats: vec![4_100, 4_300] },
        Edit::RemoveBeats { beats: vec![12_100, 12_300, 12_500] },
        Edit::RemoveBeats { beats: vec![35_100, 35_300] },
        Edit::MoveBeat { from: 35_500, to: 35_600 },
        Edit::ChangeSetting { key: "symptom_min".into(), value: 0.5 },
        Edit::AddDiary { entry },
        Edit::KeepEvent { kind, span: KEPT },
    ];
    if drop {
        edits.push(Edit::DropEvent { kind, span: DROPPED });
    }
    made::snapshot(&edits)
}

fn text(snapshot: &Snapshot) -> String {
    build(snapshot, &ReportContext::default()).to_text().replace('\u{a0}', " ")
}

fn table(snapshot: &Snapshot, key: &str) -> Table {
    shown(snapshot).into_iter().find(|t| t.about.key == key).unwrap().table.unwrap()
}

fn cells(row: &Row) -> Vec<&str> {
    row.cells.iter().map(String::as_str).collect()
}

#[test]
fn the_trend_draws_the_two_pauses_that_stand_and_not_the_dropped_one() {
    let lanes = |drop: bool| {
        let report = build(&three_pauses(drop), &ReportContext::default());
        let Block::Trend(chart) = &report.sections[1].blocks[0] else {
            panic!("the day starts with the trend")
        };
        let lane = chart.lanes.iter().find(|(name, _)| name.starts_with("Pause")).unwrap().clone();
        assert!(chart.words.contains(&lane.0), "{}", chart.words);
        lane
    };
    let hours = |span: Span| (span.start as f64 / 900_000.0, span.end as f64 / 900_000.0);
    let near = |lane: (String, Vec<(f64, f64)>), name: &str, expected: &[Span]| {
        assert_eq!((lane.0.as_str(), lane.1.len()), (name, expected.len()));
        for (mark, span) in lane.1.iter().zip(expected) {
            let (start, end) = hours(*span);
            assert!((mark.0 - start).abs() < 1e-9 && (mark.1 - end).abs() < 1e-9, "{mark:?} {span:?}");
        }
    };
    near(lanes(false), "Pause (3)", &[UNREAD, DROPPED, KEPT]);
    near(lanes(true), "Pause (2)", &[UNREAD, KEPT]);
}

#[test]
fn the_first_page_counts_it_as_dropped_and_nowhere_else() {
    let text = text(&three_pauses(true));
    assert!(text.contains("\nPauses: 2 (1 of 2 confirmed)\n"), "{text}");
    // Not confirmed, confirmed, changed or added, dropped.
    assert!(text.contains("\nPause | 1 | 1 | – | 1\n"), "{text}");
    assert!(
        text.contains("[Not signed] A draft: nothing here counts as reviewed"),
        "a dropped event was read"
    );
    let before = self::text(&three_pauses(false));
    assert!(
        before.contains("\nPauses: 3 (1 of 3 confirmed)\n") && before.contains("\nPause | 2 | 1 | – | –\n")
    );
    assert!(
        before.contains("[Not signed] A draft: 1 event that must be read before signing has not been read.")
    );
}

#[test]
fn the_hours_and_the_tiers_of_pauses_count_what_stands() {
    let snapshot = three_pauses(true);
    let report = build(&snapshot, &ReportContext::default());
    let hours =
        report.sections[1].blocks.iter().find_map(|b| if let Block::Table(t) = b { Some(t) } else { None });
    let pauses: Vec<&str> = hours.unwrap().rows.iter().map(|r| r.cells[14].as_str()).collect();
    // 15.6 s lies before midnight, 139.6 s after it.
    assert_eq!(pauses, ["1", "1", "2"]);
    let tiers = table(&snapshot, "pause_tiers");
    assert_eq!(cells(&tiers.rows[0]), ["2.0 s and longer", "2", "2", "–", "–", "23:58:45"]);
    assert_eq!(cells(&tiers.rows[1]), ["2.5 s and longer", "1", "1", "–", "–", "00:00:49"]);
    assert_eq!(cells(&tiers.rows[2]), ["3.0 s and longer", "–", "–", "–", "–", ""]);
    let before = table(&three_pauses(false), "pause_tiers");
    assert_eq!(cells(&before.rows[2]), ["3.0 s and longer", "1", "1", "–", "–", "23:59:17"]);
}

#[test]
fn no_strip_shows_it_as_the_longest_pause() {
    let shown = |drop| {
        let report = build(&three_pauses(drop), &ReportContext::default());
        let strips = report.sections.iter().flat_map(|s| &s.blocks);
        let titles = strips.filter_map(|b| if let Block::Strip(s) = b { Some(s.as_ref()) } else { None });
        let pause = titles.into_iter().find(|s| s.title.starts_with("Pause")).unwrap();
        (pause.title.clone(), pause.note.clone())
    };
    let (title, note) = shown(false);
    assert!(
        title.starts_with("Pause 3.20 s") && note.starts_with("found by program, not confirmed"),
        "{title} {note}"
    );
    let (title, note) = shown(true);
    assert!(title.starts_with("Pause 2.80 s"), "{title}");
    assert_eq!(note, "found by program, confirmed by reader · 2024-03-05");
}

#[test]
fn the_event_list_shows_it_with_what_the_reader_said() {
    let report = build(&three_pauses(true), &ReportContext::default());
    let section = report.sections.iter().find(|s| s.heading == "Events").unwrap();
    let Some(Block::Table(table)) = section.blocks.last() else { panic!("the events are a table") };
    let rows: Vec<Vec<&str>> = table.rows.iter().map(cells).filter(|c| c[0] == "Pause").collect();
    let of = |row: &[&str]| {
        [row[1].to_owned(), row[2].to_owned(), row[3].to_owned(), row[4].to_owned(), row[6].to_owned()]
    };
    assert_eq!(of(&rows[0]), ["23:58:45", "2.4 s", "2", "25", "not confirmed"]);
    assert_eq!(of(&rows[1]), ["23:59:17", "3.2 s", "2", "19", "dropped by reader"]);
    assert_eq!(of(&rows[2]), ["00:00:49", "2.8 s", "2", "21", "confirmed"]);
    assert_eq!(rows.len(), 3);
}

#[test]
fn it_is_no_finding_beside_a_symptom_and_no_silent_one() {
    let classes = |drop| {
        let table = table(&three_pauses(drop), "symptom_classes");
        table.rows.iter().map(|r| format!("{} {}", r.cells[1], r.cells[2])).collect::<Vec<_>>()
    };
    // 'skipped a beat' at 23:59:02 has the first pause beside it, 'dizzy' at 23:59:18 the dropped one alone.
    assert_eq!(classes(false)[..3], ["2 23:59:02, 23:59:18", "0 –", "0 –"]);
    assert_eq!(classes(true)[..3], ["1 23:59:02", "1 23:59:18", "0 –"]);
    assert_eq!(classes(true)[3], "1 Pause (confirmed)");
}

#[test]
fn the_summary_file_lists_it_as_dropped_and_counts_it_in_no_figure_or_table() {
    let file = json::summary(&three_pauses(true)).unwrap();
    let events = file["events"].as_array().unwrap();
    let pauses: Vec<Value> = events
        .iter()
        .filter(|e| e["kind"] == "pause")
        .map(|e| {
            json!([
                e["start_sample"],
                e["end_sample"],
                e["clock"],
                e["beats"],
                e["rate_bpm"],
                e["state"],
                e["origin"]
            ])
        })
        .collect();
    assert_eq!(
        pauses,
        [
            json!([3_900, 4_501, "2024-03-04T23:58:45.600", 2, 25.0, "unread", "found"]),
            json!([11_900, 12_701, "2024-03-04T23:59:17.600", 2, 18.75, "dropped", "found"]),
            json!([34_900, 35_601, "2024-03-05T00:00:49.600", 2, 21.428572, "kept", "found"]),
        ]
    );
    let figure = |key: &str| {
        file["figures"].as_array().unwrap().iter().find(|f| f["key"] == key).unwrap()["value"].clone()
    };
    assert_eq!(
        [figure("pauses"), figure("pauses_middle"), figure("pauses_critical")],
        [json!(2), json!(1), json!(0)]
    );
    let tiers = file["tables"]["pause_tiers"]["rows"].as_array().unwrap();
    let counts: Vec<Value> = tiers.iter().map(|t| json!([t["limit_ms"], t["pauses"], t["sinus"]])).collect();
    assert_eq!(counts, [json!([2000.0, 2, 2]), json!([2500.0, 1, 1]), json!([3000.0, 0, 0])]);
    let places: Vec<&Value> =
        tiers[0]["places"].as_array().unwrap().iter().map(|p| &p["start_sample"]).collect();
    assert_eq!(places, [&json!(3_900), &json!(34_900)]);
    let silent = file["tables"]["silent_findings"]["rows"].as_array().unwrap();
    let silent: Vec<&Value> = silent.iter().map(|s| &s["start_sample"]).collect();
    assert_eq!(silent, [&json!(34_900)]);
    assert_eq!(file["day"]["pauses"], 2);
}

#[test]
fn the_event_list_file_marks_it_dropped_and_the_bundle_leaves_it_out() {
    let snapshot = three_pauses(true);
    let mut out = Vec::new();
    csv::events(&snapshot, &mut out).unwrap();
    let list = String::from_utf8(out).unwrap();
    let rows: Vec<&str> = list.lines().filter(|l| l.starts_with("pause,")).collect();
    assert_eq!(
        rows,
        [
            "pause,3900,4501,23:58:45.600,2,25.0,unread,1.00,",
            "pause,11900,12701,23:59:17.600,2,18.8,dropped,1.00,",
            "pause,34900,35601,00:00:49.600,2,21.4,kept,1.00,",
        ]
    );
    let bundle = fhir::bundle_text(&snapshot, &ReportContext::default(), None).unwrap();
    let bundle: Value = serde_json::from_str(&bundle).unwrap();
    let starts: Vec<Value> = bundle["entry"]
        .as_array()
        .unwrap()
        .iter()
        .map(|e| &e["resource"])
        .filter(|r| r["code"]["coding"][0]["code"] == "pause")
        .map(|r| r["component"][1]["valueTime"].clone())
        .collect();
    assert_eq!(starts, ["23:58:45.600", "00:00:49.600"]);
}
