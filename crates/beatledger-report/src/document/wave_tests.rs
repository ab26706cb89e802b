//! ST and alternans in print: levels, signs, places, reasons, from rows made by hand.

use beatledger_core::model::{Alternans, AlternansPoint, StCourse, StEpisode, StLead, StPoint};

use super::st_chart;
use super::table_tests::{EARLY, LATE, check, of, with};
use crate::made;

fn course() -> StCourse {
    let point = |second: i64, level_mv| StPoint { start: second * made::HZ, level_mv, beats: 15 };
    StCourse {
        reference_mv: -0.034,
        reference_place: EARLY,
        positions: Vec::new(),
        lowest: (-0.264, LATE),
        highest: (0.047, EARLY),
        points: vec![point(0, 0.01), point(15, 0.03), point(61, -0.05), point(179, -0.264)],
        episodes: vec![StEpisode { span: LATE, extreme_mv: -0.23, place: EARLY }],
        readable_percent: 87.6,
    }
}

#[test]
fn st_stands_by_lead_with_its_extremes_or_with_the_reason_why_it_is_withheld() {
    let snapshot = with(|s| {
        s.st = vec![
            StLead { lead: 0, name: "ECG II".into(), course: Ok(course()) },
            StLead {
                lead: 1,
                name: "V5".into(),
                course: Err("the recorder passed 0.5 Hz and more alone".into()),
            },
        ];
    });
    let st = of(&snapshot, "st").unwrap().table.unwrap();
    check(
        &st,
        "Lead | Reference, mV | Lowest, mV | Highest, mV | Changes | Read. % | Withheld because",
        &[
            "ECG II | -0.03 | -0.26 at 00:00:30 | 0.05 at 23:59:00 | 1 | 88 | ",
            "V5 | – | – | – | – | – | the recorder passed 0.5 Hz and more alone",
        ],
    );
    // -0.264 is 0.23 mV from the reference, 0.047 only 0.081 mV.
    assert_eq!(st.rows[0].place, Some(LATE));
    check(
        &of(&snapshot, "st_changes").unwrap().table.unwrap(),
        " | From | Length | Greatest, mV | Greatest at",
        &["ST change, ECG II | 00:00:30 | 5.0 s | -0.23 | 23:59:00"],
    );
    let none = with(|s| s.st = vec![StLead { lead: 0, name: "V5".into(), course: Err("why".into()) }]);
    assert!(of(&none, "st_changes").is_none());
}

#[test]
fn more_than_twelve_changes_of_a_lead_are_counted_and_a_rise_carries_its_sign() {
    let episode = StEpisode { span: EARLY, extreme_mv: 0.152, place: LATE };
    let many = StCourse { episodes: vec![episode; 15], ..course() };
    let snapshot = with(|s| s.st = vec![StLead { lead: 0, name: "ECG II".into(), course: Ok(many) }]);
    let table = of(&snapshot, "st_changes").unwrap().table.unwrap();
    assert_eq!(table.rows.len(), 13);
    assert_eq!(table.rows[0].cells[3], "+0.15");
    assert_eq!(table.rows[12].cells[0], "and 3 more on ECG II");
}

#[test]
fn the_course_of_st_is_drawn_a_minute_at_a_time_around_its_reference() {
    let snapshot = with(|s| s.st = vec![StLead { lead: 0, name: "ECG II".into(), course: Ok(course()) }]);
    let chart = st_chart(&snapshot).unwrap();
    assert_eq!(chart.hours, 0.05);
    let lead = &chart.leads[0];
    let points: Vec<Vec<(i64, i64)>> = lead
        .pieces
        .iter()
        .map(|p| {
            p.iter().map(|(h, mv)| ((h * 3600.0).round() as i64, (mv * 1000.0).round() as i64)).collect()
        })
        .collect();
    // Minutes 0 (mean of 10 and 30 uV), 1 and 2, each in its middle.
    assert_eq!(points, [vec![(30, 20), (90, -50), (150, -264)]]);
    // The reference less 0.2 mV is -0.234, the lowest level -0.264; tenths beyond a margin of 0.02 mV.
    assert_eq!(lead.range_mv, (-0.3, 0.2));
    let ((from, to), extreme) = lead.changes[0];
    assert!((from - 120.0 / 3600.0).abs() < 1e-9 && (to - 125.0 / 3600.0).abs() < 1e-9);
    assert!((extreme + 0.23).abs() < 1e-6 && (lead.reference_mv + 0.034).abs() < 1e-6);
    assert_eq!(
        lead.words,
        "ST level of the day on ECG II: from -0.26 to 0.05 mV, reference -0.03 mV, 1 ST change"
    );
    let hole = StCourse { points: vec![course().points[0], course().points[3]], ..course() };
    let broken = with(|s| s.st = vec![StLead { lead: 0, name: "ECG II".into(), course: Ok(hole) }]);
    assert_eq!(st_chart(&broken).unwrap().leads[0].pieces.len(), 2, "minute 1 has no level");
}

#[test]
fn alternans_stands_in_microvolts_beside_its_control_or_says_why_it_is_withheld() {
    let point = |span, lead, uv, control_uv| AlternansPoint { span, lead, uv, control_uv };
    let found = Alternans {
        highest: point(LATE, 1, 47.4, 21.0),
        control: point(EARLY, 0, 30.0, 33.6),
        hours: vec![point(EARLY, 0, 30.2, 12.7), point(LATE, 1, 47.4, 21.0)],
        windows: 9,
        readable_percent: 62.4,
    };
    let snapshot = with(|s| s.alternans = Some(Ok(found)));
    let alternans = of(&snapshot, "alternans").unwrap();
    assert_eq!(
        alternans.words,
        "Highest 47 µV on ECG <V5> at 00:00:30, control 34 µV; 9 windows could be used, 62 % of the readable time."
    );
    check(
        &alternans.table.unwrap(),
        "At | Lead | Highest of the hour, µV | Control, µV",
        &["23:59:00 | ECG II | 30 | 13", "00:00:30 | ECG <V5> | 47 | 21"],
    );
    let withheld = with(|s| s.alternans = Some(Err("no window is clean".into())));
    let withheld = of(&withheld, "alternans").unwrap();
    assert_eq!((withheld.words.as_str(), withheld.table), ("Withheld: no window is clean.", None));
    assert!(of(&with(|s| s.alternans = None), "alternans").is_none());
}
