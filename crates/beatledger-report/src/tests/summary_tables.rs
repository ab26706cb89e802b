//! Variability, conduction, QT, ST and alternans in summary.json and in the lists: each value under its own name.

use beatledger_core::model::{
    Alternans, AlternansPoint, ConductionRow, HourRow, HrvRow, QtRow, StCourse, StEpisode, StLead, StPoint,
};
use serde_json::json;

use super::summary_file::{EARLY, LATE, early_place, late_place, rows, table_lines, with};
use crate::json;

fn variability() -> HrvRow {
    HrvRow {
        span: LATE,
        readable_percent: 96.5,
        intervals: 4_100,
        nn_percent: 91.25,
        withheld: None,
        mean_nn_ms: Some(1.5),
        sdnn_ms: Some(2.5),
        rmssd_ms: Some(3.5),
        sdann_ms: Some(4.5),
        sdnn_index_ms: Some(5.5),
        nn50: Some(6),
        pnn50_percent: Some(7.5),
        triangular_index: Some(8.5),
        tinn_ms: Some(9.5),
        total_ms2: Some(10.5),
        vlf_ms2: Some(11.5),
        lf_ms2: Some(12.5),
        hf_ms2: Some(13.5),
        lf_nu: Some(14.5),
        hf_nu: Some(15.5),
        lf_hf_ratio: Some(16.5),
        even_total_ms2: Some(17.5),
        even_vlf_ms2: Some(18.5),
        even_lf_ms2: Some(19.5),
        even_hf_ms2: Some(20.5),
        sd1_ms: Some(21.5),
        sd2_ms: Some(22.5),
        dfa_alpha1: Some(23.5),
        dfa_alpha2: Some(24.5),
        sample_entropy: Some(25.5),
    }
}

#[test]
fn variability_carries_each_value_under_its_own_name_and_a_reason_where_there_is_none() {
    let withheld = HrvRow {
        span: EARLY,
        readable_percent: 12.5,
        intervals: 3,
        withheld: Some("too few intervals, of 80 % asked".into()),
        mean_nn_ms: Some(f64::INFINITY),
        ..HrvRow::default()
    };
    let snapshot =
        with(|s| (s.hrv_hours, s.hrv_windows) = (vec![variability(), withheld.clone()], vec![withheld]));
    let expected = json!({
        "start_sample": 30_000, "end_sample": 31_250, "clock": "2024-03-05T00:00:30.000", "readable_percent": 96.5,
        "intervals": 4_100, "nn_percent": 91.25, "reason": null, "mean_nn_ms": 1.5, "sdnn_ms": 2.5, "rmssd_ms": 3.5,
        "sdann_ms": 4.5, "sdnn_index_ms": 5.5, "nn50": 6, "pnn50_percent": 7.5, "triangular_index": 8.5, "tinn_ms": 9.5,
        "total_ms2": 10.5, "vlf_ms2": 11.5, "lf_ms2": 12.5, "hf_ms2": 13.5, "lf_nu": 14.5, "hf_nu": 15.5,
        "lf_hf_ratio": 16.5, "even_total_ms2": 17.5, "even_vlf_ms2": 18.5, "even_lf_ms2": 19.5, "even_hf_ms2": 20.5,
        "sd1_ms": 21.5, "sd2_ms": 22.5, "dfa_alpha1": 23.5, "dfa_alpha2": 24.5, "sample_entropy": 25.5
    });
    let found = rows(&snapshot, "hrv_hours");
    assert_eq!(found[0], expected);
    assert_eq!(found[1]["reason"], "too few intervals, of 80 % asked");
    assert!(found[1]["mean_nn_ms"].is_null() && found[1]["sdnn_ms"].is_null(), "no infinite value in JSON");
    assert_eq!(rows(&snapshot, "hrv_windows").as_array().unwrap().len(), 1);
    let list = table_lines(&snapshot, "hrv_hours");
    assert_eq!(
        list[1],
        "30000,31250,2024-03-05T00:00:30.000,96.5,4100,91.25,,1.5,2.5,3.5,4.5,5.5,6,7.5,8.5,9.5,10.5,11.5,12.5,13.5,14.5,15.5,\
         16.5,17.5,18.5,19.5,20.5,21.5,22.5,23.5,24.5,25.5"
    );
    let windows = table_lines(&snapshot, "hrv_windows");
    let reason = format!(
        "7500,9000,2024-03-04T23:59:00.000,12.5,3,0.0,\"too few intervals, of 80 % asked\"{}",
        ",".repeat(25)
    );
    assert_eq!((windows.len(), windows[1].as_str(), list[2].as_str()), (2, reason.as_str(), reason.as_str()));
}

#[test]
fn conduction_and_qt_carry_each_value_under_its_own_name() {
    let hour = HourRow { span: Some(LATE), readable_s: 3.2, ..HourRow::default() };
    let snapshot = with(|s| {
        s.hours = vec![hour];
        s.conduction = vec![ConductionRow {
            span: LATE,
            pr_ms: Some(163.5),
            pr_beats: 211,
            qrs_ms: Some(97.5),
            qrs_beats: 1_234,
            wide_percent: Some(2.25),
        }];
        s.qt_hours = vec![QtRow {
            span: LATE,
            windows: 11,
            beats: 3_210,
            withheld: Some("of others: fibrillation".into()),
            qt_ms: Some(391.5),
            rr_ms: Some(856.5),
            qtc_bazett_ms: Some(423.5),
            qtc_fridericia_ms: Some(412.5),
            qtc_framingham_ms: Some(413.5),
            qtc_hodges_ms: Some(408.5),
        }];
    });
    assert_eq!(
        rows(&snapshot, "conduction"),
        json!([{"start_sample": 30_000, "end_sample": 31_250, "clock": "2024-03-05T00:00:30.000", "readable_percent": 64.0,
                "pr_ms": 163.5, "pr_beats": 211, "qrs_ms": 97.5, "qrs_beats": 1_234, "wide_percent": 2.25}])
    );
    assert_eq!(
        rows(&snapshot, "qt_hours"),
        json!([{"start_sample": 30_000, "end_sample": 31_250, "clock": "2024-03-05T00:00:30.000", "readable_percent": 64.0,
                "windows": 11, "beats": 3_210, "reason": "of others: fibrillation", "qt_ms": 391.5, "rr_ms": 856.5,
                "qtc_bazett_ms": 423.5, "qtc_fridericia_ms": 412.5, "qtc_framingham_ms": 413.5, "qtc_hodges_ms": 408.5}])
    );
    let list = table_lines(&snapshot, "conduction");
    let head = "start_sample,end_sample,clock,readable_percent,pr_ms,pr_beats,qrs_ms,qrs_beats,wide_percent";
    assert_eq!(list, [head, "30000,31250,2024-03-05T00:00:30.000,64.0,163.5,211,97.5,1234,2.25"]);
}

#[test]
fn st_and_alternans_carry_levels_in_millivolts_and_microvolts_and_a_reason_where_withheld() {
    let point = |start, level_mv, beats| StPoint { start, level_mv, beats };
    let course = StCourse {
        reference_mv: -0.034,
        reference_place: EARLY,
        positions: Vec::new(),
        lowest: (-0.264, LATE),
        highest: (0.047, EARLY),
        points: vec![point(7_500, 0.047, 14), point(30_000, -0.264, 9)],
        episodes: vec![StEpisode { span: LATE, extreme_mv: -0.23, place: EARLY }],
        readable_percent: 87.5,
    };
    let twa = |span, lead, uv, control_uv| AlternansPoint { span, lead, uv, control_uv };
    let found = Alternans {
        highest: twa(LATE, 1, 47.4, 21.1),
        control: twa(EARLY, 0, 30.0, 33.6),
        hours: vec![twa(EARLY, 0, 30.2, 12.7)],
        windows: 9,
        readable_percent: 62.5,
    };
    let snapshot = with(|s| {
        s.st = vec![
            StLead { lead: 1, name: "V5".into(), course: Err("0.5 Hz and more alone".into()) },
            StLead { lead: 0, name: "ECG II".into(), course: Ok(course) },
        ];
        s.alternans = Some(Ok(found));
    });
    assert_eq!(
        rows(&snapshot, "st"),
        json!([
            {"lead": "V5", "reason": "0.5 Hz and more alone", "readable_percent": null, "reference_mv": null, "reference_place": null, "lowest_mv": null,
             "lowest_place": null, "highest_mv": null, "highest_place": null, "changes": [], "points": []},
            {"lead": "ECG II", "reason": null, "readable_percent": 87.5, "reference_mv": -0.034, "reference_place": early_place(), "lowest_mv": -0.264,
             "lowest_place": late_place(), "highest_mv": 0.047, "highest_place": early_place(),
             "changes": [{"start_sample": 30_000, "end_sample": 31_250, "clock": "2024-03-05T00:00:30.000",
                          "extreme_mv": -0.23, "extreme_place": early_place()}],
             "points": [{"start_sample": 7_500, "level_mv": 0.047, "beats": 14},
                        {"start_sample": 30_000, "level_mv": -0.264, "beats": 9}]}
        ])
    );
    assert_eq!(
        table_lines(&snapshot, "st_course"),
        [
            "lead,start_sample,time_s,clock,level_mv,beats",
            "ECG II,7500,30.000000,23:59:00.000,0.047,14",
            "ECG II,30000,120.000000,00:00:30.000,-0.264,9",
        ]
    );
    assert_eq!(
        rows(&snapshot, "alternans"),
        json!([
            {"hour": false, "start_sample": 30_000, "end_sample": 31_250, "clock": "2024-03-05T00:00:30.000", "lead": "ECG <V5>",
             "uv": 47.4, "control_uv": 21.1},
            {"hour": true, "start_sample": 7_500, "end_sample": 9_000, "clock": "2024-03-04T23:59:00.000", "lead": "ECG II",
             "uv": 30.2, "control_uv": 12.7}
        ])
    );
    for (alternans, reason) in
        [(None, "not looked for"), (Some(Err("no clean window".to_owned())), "no clean window")]
    {
        let file = json::summary(&with(|s| s.alternans = alternans)).unwrap();
        assert_eq!(file["tables"]["alternans"]["reason"], reason);
        assert_eq!(file["tables"]["alternans"]["rows"], json!([]));
    }
}
