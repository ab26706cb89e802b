//! Fields of summary.json and columns of the lists, from rows made by hand in which no two values are alike.

use beatledger_core::model::{
    Basis, DiaryEntry, DiaryKind, Doubt, Enough, FigureValue, HourRow, LeadTime, LongestRr, PauseTier,
    RrCause, Span, Summary, SymptomRow, Symptoms,
};
use beatledger_core::session::Snapshot;
use serde_json::{Value, json};

use crate::{json, made};

/// 00:00:30 and five seconds.
pub(super) const LATE: Span = Span { start: 30_000, end: 31_250 };
/// 23:59:00 and six seconds.
pub(super) const EARLY: Span = Span { start: 7_500, end: 9_000 };

pub(super) fn with(change: impl FnOnce(&mut Summary)) -> Snapshot {
    let mut snapshot = made::snapshot(&[]);
    let mut summary = (*snapshot.summary).clone();
    change(&mut summary);
    snapshot.summary = summary.into();
    snapshot
}

pub(super) fn late_place() -> Value {
    json!({"start_sample": 30_000, "end_sample": 31_250, "clock": "2024-03-05T00:00:30.000"})
}

pub(super) fn early_place() -> Value {
    json!({"start_sample": 7_500, "end_sample": 9_000, "clock": "2024-03-04T23:59:00.000"})
}

pub(super) fn rows(snapshot: &Snapshot, table: &str) -> Value {
    json::summary(snapshot).unwrap()["tables"][table]["rows"].clone()
}

/// The lines of a table's list of comma-separated values.
pub(super) fn table_lines(snapshot: &Snapshot, key: &str) -> Vec<String> {
    super::table_list(snapshot, key).lines().map(str::to_owned).collect()
}

#[test]
fn a_figure_carries_value_decimals_unit_basis_place_reason_and_settings() {
    let snapshot = with(|s| {
        let figure = |s: &mut Summary, key: &str, value, place| {
            let figure = s.figures.iter_mut().find(|f| f.key() == key).unwrap();
            (figure.value, figure.place) = (value, place);
            figure.basis = Basis { percent: Some(94.25), of: "of recorded time readable" };
            let doubt = Doubt { doubtful: 12, range: Some((104_100.0, 104_400.0)), reason: String::new() };
            figure.doubt = (key == "v_beats").then_some(doubt);
        };
        figure(s, "longest_rr_ms", FigureValue::Number(3_416.25), Some(LATE));
        figure(s, "v_beats", FigureValue::Count(104_233), None);
        figure(s, "qt_ms", FigureValue::NotComputable("no end of T".into()), None);
    });
    let file = json::summary(&snapshot).unwrap();
    let figure =
        |key: &str| file["figures"].as_array().unwrap().iter().find(|f| f["key"] == key).unwrap().clone();
    let of = "of recorded time readable";
    // Definitions and settings as the table of figures has them.
    let longest = "The longest interval between two beats inside readable time (common practice).";
    let v_beats = "Beats of class V (ANSI/AAMI EC57).";
    let qt = "Mean QT of the averaged beats of five minutes, T end where a trapezium under its far limb is largest, or at the \
              valley before the next P where that comes first (Zhang et al. 2006, from memory); withheld where leads or methods \
              do not agree.";
    assert_eq!(
        figure("longest_rr_ms"),
        json!({"key": "longest_rr_ms", "family": "Pauses", "name": "Longest RR interval", "value": 3416.25, "decimals": 0,
               "unit": "ms", "basis_percent": 94.25, "basis_of": of, "place_sample": [30_000, 31_250], "settings": ["refractory_ms"],
               "definition": longest})
    );
    assert_eq!(
        figure("v_beats"),
        json!({"key": "v_beats", "family": "Ectopy", "name": "Ventricular ectopic beats", "value": 104_233, "decimals": null,
               "unit": "", "basis_percent": 94.25, "basis_of": of, "place_sample": null, "settings": ["prematurity_percent", "wide_qrs_ms"],
               "doubt": {"doubtful": 12, "range": [104_100.0, 104_400.0], "reason": ""}, "definition": v_beats})
    );
    assert_eq!(
        figure("qt_ms"),
        json!({"key": "qt_ms", "family": "Intervals", "name": "QT", "value": null, "decimals": null, "unit": "ms",
               "basis_percent": 94.25, "basis_of": of, "place_sample": null, "reason": "no end of T", "settings": ["qt_min_beats", "qt_min_quality", "wide_qrs_ms", "af_min_s"],
               "definition": qt})
    );
}

#[test]
fn an_hour_carries_counts_minutes_and_places() {
    // Five seconds, of which 3.2 s could be read; a place of its own for each extreme.
    let hour = HourRow {
        span: Some(LATE),
        readable_s: 3.2,
        beats: 412,
        min_bpm: Some(41.5),
        min_place: Some(EARLY),
        mean_bpm: Some(67.25),
        max_bpm: Some(139.75),
        max_place: Some(LATE),
        s_beats: 31,
        s_singles: 17,
        s_couplets: 4,
        s_runs: 2,
        v_beats: 53,
        v_singles: 38,
        v_couplets: 6,
        v_runs: 1,
        pauses: 3,
        af_s: 754.5,
        longest_rr_ms: Some(3_416.5),
        longest_rr_place: Some(Span::new(22_500, 22_600)),
    };
    let snapshot = with(|s| {
        s.hours = vec![hour.clone()];
        s.day = HourRow { min_bpm: Some(f64::NAN), ..HourRow::default() };
    });
    let file = json::summary(&snapshot).unwrap();
    assert_eq!(
        file["hours"],
        json!([{
            "start_sample": 30_000, "end_sample": 31_250, "clock": "2024-03-05T00:00:30.000",
            "readable_min": 3.2 / 60.0, "readable_percent": 64.0, "beats": 412,
            "min_bpm": 41.5, "min_start_sample": 7_500, "min_clock": "2024-03-04T23:59:00.000",
            "mean_bpm": 67.25,
            "max_bpm": 139.75, "max_start_sample": 30_000, "max_clock": "2024-03-05T00:00:30.000",
            "s_beats": 31, "s_singles": 17, "s_couplets": 4, "s_runs": 2,
            "v_beats": 53, "v_singles": 38, "v_couplets": 6, "v_runs": 1,
            "pauses": 3, "af_min": 12.575,
            "longest_rr_ms": 3416.5, "longest_rr_start_sample": 22_500, "longest_rr_clock": "2024-03-05T00:00:00.000"
        }])
    );
    let day = &file["day"];
    let none = [&day["min_bpm"], &day["readable_percent"], &day["clock"], &day["longest_rr_clock"]];
    assert!(none.iter().all(|v| v.is_null()), "{day}");
    let list = table_lines(&snapshot, "hours");
    assert_eq!(
        list[0],
        "start_sample,end_sample,clock,readable_min,readable_percent,beats,min_bpm,min_start_sample,min_clock,mean_bpm,max_bpm,\
         max_start_sample,max_clock,s_beats,s_singles,s_couplets,s_runs,v_beats,v_singles,v_couplets,v_runs,pauses,af_min,\
         longest_rr_ms,longest_rr_start_sample,longest_rr_clock"
    );
    assert!(list[1].ends_with(
        ",64.0,412,41.5,7500,2024-03-04T23:59:00.000,67.25,139.75,30000,2024-03-05T00:00:30.000,31,17,4,2,53,38,6,1,3,12.575,\
         3416.5,22500,2024-03-05T00:00:00.000"
    ));
}

#[test]
fn pauses_longest_intervals_leads_and_lengths_carry_their_own_values() {
    let snapshot = with(|s| {
        let (limit_ms, setting) = (2_500.0, "pause_middle_ms");
        s.pause_tiers = vec![PauseTier { limit_ms, setting, events: [1u32].into(), by_cause: [7, 2, 4] }];
        let longest = |cause, ms, place| LongestRr { cause, ms, place };
        s.longest_rr = vec![
            longest(None, Some(3_416.0), Some(LATE)),
            longest(Some(RrCause::Sinus), Some(2_204.0), Some(EARLY)),
            longest(Some(RrCause::AfterEctopy), Some(1_325.5), None),
            longest(Some(RrCause::Fibrillation), None, None),
        ];
        s.leads = vec![LeadTime {
            lead: 0,
            name: "ECG II".into(),
            readable_s: 54.5,
            noisy_s: 6.25,
            unreadable_s: 4.5,
            flat_s: 3.25,
            railed_s: 2.125,
            missing_s: 1.0,
            longest_hole: Some(LATE),
        }];
        let (asked, have) = (24.0, 23.96);
        s.enough = vec![Enough { what: "Burden", unit: "h", asked, have, source: "common practice" }];
    });
    let mut snapshot = snapshot;
    let mut events = (*snapshot.events).clone();
    events[1].span = EARLY;
    snapshot.events = events.into();
    assert_eq!(
        rows(&snapshot, "pause_tiers"),
        json!([{"limit_ms": 2500.0, "setting": "pause_middle_ms", "pauses": 1, "sinus": 7, "after_ectopy": 2, "in_af": 4,
                "places": [early_place()]}])
    );
    assert_eq!(
        rows(&snapshot, "longest_rr"),
        json!([{"cause": "any", "ms": 3416.0, "place": late_place()}, {"cause": "sinus", "ms": 2204.0, "place": early_place()},
               {"cause": "after-ectopy", "ms": 1325.5, "place": null}, {"cause": "fibrillation", "ms": null, "place": null}])
    );
    assert_eq!(
        rows(&snapshot, "leads"),
        json!([{"lead": "ECG II", "readable_s": 54.5, "noisy_s": 6.25, "unreadable_s": 4.5, "flat_s": 3.25,
                "railed_s": 2.125, "missing_s": 1.0, "longest_hole": late_place()}])
    );
    assert_eq!(
        rows(&snapshot, "enough"),
        json!([{"what": "Burden", "unit": "h", "asked": 24.0, "have": 23.96, "enough": false, "source": "common practice"}])
    );
}

#[test]
fn a_symptom_is_with_or_without_a_finding_or_in_unreadable_time_and_another_entry_is_none() {
    let row = |diary, is_symptom| SymptomRow {
        diary,
        is_symptom,
        entry: EARLY,
        window: LATE,
        readable_percent: 93.5,
        rhythm: "sinus rhythm".into(),
        min_bpm: Some(61.5),
        mean_bpm: Some(72.5),
        max_bpm: Some(88.5),
        v_beats: 5,
        s_beats: 3,
        findings: [1u32].into(),
    };
    let mut snapshot = with(|s| {
        s.symptoms = Symptoms {
            rows: vec![row(0, true), row(1, true), row(2, true), row(3, false)],
            with_finding: vec![1],
            without_finding: vec![0],
            unreadable: vec![2],
            silent_findings: [1u32].into(),
        };
    });
    let kinds =
        [DiaryKind::Symptom, DiaryKind::Button, DiaryKind::Medication, DiaryKind::Sleep, DiaryKind::Note];
    let entry = |kind| DiaryEntry { span: EARLY, kind, text: format!("{kind:?}") };
    snapshot.diary = kinds.map(entry).to_vec().into();
    let mut events = (*snapshot.events).clone();
    events[1].kind = beatledger_core::model::EventKind::SupraventricularRun;
    events[1].span = EARLY;
    snapshot.events = events.into();
    let found = rows(&snapshot, "symptoms");
    let classes: Vec<&Value> = found.as_array().unwrap().iter().map(|r| &r["class"]).collect();
    assert_eq!(classes, ["without-finding", "with-finding", "unreadable", "no-symptom"]);
    assert_eq!(
        found[1],
        json!({"diary": 1, "text": "Button", "start_sample": 30_000, "end_sample": 31_250, "clock": "2024-03-05T00:00:30.000",
               "readable_percent": 93.5, "class": "with-finding", "rhythm": "sinus rhythm", "min_bpm": 61.5, "mean_bpm": 72.5,
               "max_bpm": 88.5, "v_beats": 5, "s_beats": 3, "findings": ["supraventricular-run"]})
    );
    assert_eq!(
        rows(&snapshot, "silent_findings"),
        json!([{"kind": "supraventricular-run", "start_sample": 7_500, "end_sample": 9_000, "clock": "2024-03-04T23:59:00.000"}])
    );
    let file = json::summary(&snapshot).unwrap();
    let kinds: Vec<&Value> = file["diary"].as_array().unwrap().iter().map(|d| &d["kind"]).collect();
    assert_eq!(kinds, ["symptom", "button", "medication", "sleep", "note"]);
}

#[test]
fn the_recording_and_edits_without_a_target_are_named() {
    let mut snapshot = made::snapshot(&[]);
    snapshot.orphans =
        vec![beatledger_core::review::Orphan { seq: 6, words: "2 beats removed".into(), missing: 1 }];
    let file = json::summary(&snapshot).unwrap();
    assert_eq!(
        file["recording"],
        json!({"name": "made", "format": "made in memory", "sha256": "0123456789abcdef".repeat(4),
               "start": "2024-03-04T23:58:30.000", "rate": {"num": 250, "den": 1}, "samples": 45_000,
               "leads": ["ECG II", "ECG <V5>"]})
    );
    assert_eq!(file["orphans"], json!([{"seq": 6, "words": "2 beats removed", "missing": 1}]));
    assert_eq!((&file["format"], &file["version"]), (&json!("beatledger-summary"), &json!(1)));
    let unknown = json::summary(&made::empty()).unwrap();
    assert!(unknown["recording"]["start"].is_null(), "no time is made up");
}
