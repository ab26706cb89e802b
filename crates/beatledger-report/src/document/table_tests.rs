//! Every cell of every table, in the unit, rounding and place of its column: rows made by hand, no two values alike.

use beatledger_core::model::{
    ConductionRow, Enough, HourRow, HrvRow, LeadTime, LongestRr, PauseTier, QtRow, RrCause, Span, Summary,
};
use beatledger_core::session::Snapshot;

use super::{Block, ReportContext, Table, build};
use crate::made;
use crate::tables::{ShownTable, shown};

/// 00:00:30, two minutes after 23:58:30; five seconds.
pub(super) const LATE: Span = Span { start: 30_000, end: 31_250 };
/// 23:59:00.
pub(super) const EARLY: Span = Span { start: 7_500, end: 9_000 };

pub(super) fn with(change: impl FnOnce(&mut Summary)) -> Snapshot {
    let mut snapshot = made::snapshot(&[]);
    let mut summary = (*snapshot.summary).clone();
    change(&mut summary);
    snapshot.summary = summary.into();
    snapshot
}

pub(super) fn of(snapshot: &Snapshot, key: &str) -> Option<ShownTable> {
    shown(snapshot).into_iter().find(|t| t.about.key == key)
}

fn heads(table: &Table) -> Vec<String> {
    let groups = table.groups.iter().flat_map(|(name, n)| std::iter::repeat_n(name.clone(), *n));
    let groups: Vec<String> = groups.collect();
    let head = |(i, c): (usize, &super::Column)| match groups.get(i).map_or("", String::as_str) {
        "" => c.title.clone(),
        group => format!("{group}: {}", c.title),
    };
    table.columns.iter().enumerate().map(head).collect()
}

/// Checks the heads and the cells of each row, columns apart by `|`.
pub(super) fn check(table: &Table, columns: &str, rows: &[&str]) {
    assert_eq!(heads(table).join(" | "), columns);
    let found: Vec<String> = table.rows.iter().map(|r| r.cells.join(" | ").replace('\u{a0}', " ")).collect();
    assert_eq!(found, rows);
}

fn hour() -> HourRow {
    HourRow {
        span: Some(LATE),
        readable_s: 3_450.0,
        beats: 123_456,
        min_bpm: Some(41.4),
        min_place: None,
        mean_bpm: Some(67.6),
        max_bpm: Some(139.5001),
        max_place: None,
        s_beats: 31,
        s_singles: 17,
        s_couplets: 4,
        s_runs: 2,
        v_beats: 53,
        v_singles: 38,
        v_couplets: 6,
        v_runs: 1,
        pauses: 3,
        af_s: 754.0,
        longest_rr_ms: Some(3_416.0),
        longest_rr_place: None,
    }
}

#[test]
fn an_hour_stands_with_each_count_under_its_own_head() {
    let snapshot = with(|s| {
        s.hours = vec![hour(), HourRow { span: Some(EARLY), ..HourRow::default() }];
        s.day = HourRow { beats: 9_999, ..HourRow::default() };
    });
    let report = build(&snapshot, &ReportContext::default());
    let Some(Block::Table(table)) = report.sections[1].blocks.iter().find(|b| matches!(b, Block::Table(_)))
    else {
        panic!("the hours are a table")
    };
    check(
        table,
        "From | Read. min | Beats | Rate, bpm: slow | Rate, bpm: mean | Rate, bpm: fast | Supraventricular (S): beats | \
         Supraventricular (S): single | Supraventricular (S): pair | Supraventricular (S): run | \
         Ventricular (V, F): beats | Ventricular (V, F): single | Ventricular (V, F): pair | Ventricular (V, F): run | \
         Pauses | AF min | Longest RR, s",
        &[
            // 57.5 min go to the even minute.
            "00:00 | 58 | 123 456 | 41 | 68 | 140 | 31 | 17 | 4 | 2 | 53 | 38 | 6 | 1 | 3 | 12.6 | 3.42",
            "23:59 | 0 | – | – | – | – | – | – | – | – | – | – | – | – | – | – | –",
            "Day | 0 | 9999 | – | – | – | – | – | – | – | – | – | – | – | – | – | –",
        ],
    );
    assert!(table.rows[2].strong && !table.rows[0].strong);
}

#[test]
fn pauses_and_the_longest_intervals_stand_by_what_they_follow() {
    let tier = |limit_ms, setting, by_cause, events: &[u32]| PauseTier {
        limit_ms,
        setting,
        events: events.into(),
        by_cause,
    };
    let longest = |cause, ms, place| LongestRr { cause, ms, place };
    let snapshot = with(|s| {
        s.pause_tiers = vec![
            tier(2_000.0, "pause_ms", [7, 2, 4], &[2, 1]),
            tier(3_000.0, "critical_pause_ms", [0, 0, 0], &[]),
        ];
        s.longest_rr = vec![
            longest(None, Some(3_416.0), Some(LATE)),
            longest(Some(RrCause::Sinus), Some(2_204.0), Some(EARLY)),
            longest(Some(RrCause::AfterEctopy), Some(1_325.1), Some(LATE)),
            longest(Some(RrCause::Fibrillation), None, None),
        ];
    });
    let mut snapshot = snapshot;
    let mut events = (*snapshot.events).clone();
    events.truncate(3);
    events[2].span = LATE;
    snapshot.events = events.into();
    check(
        &of(&snapshot, "pause_tiers").unwrap().table.unwrap(),
        "Length | Pauses | in sinus rhythm | after ectopy | in atrial fibrillation | First at",
        &["2.0 s and longer | 2 | 7 | 2 | 4 | 00:00:30", "3.0 s and longer | – | – | – | – | "],
    );
    check(
        &of(&snapshot, "longest_rr").unwrap().table.unwrap(),
        "Longest RR | Length, s | At",
        &[
            "of all | 3.42 | 00:00:30",
            "in sinus rhythm | 2.20 | 23:59:00",
            "after ectopy | 1.33 | 00:00:30",
            "in atrial fibrillation | – | ",
        ],
    );
}

#[test]
fn pr_and_qrs_stand_each_in_its_own_column_and_qt_beside_the_formula_that_made_it() {
    let snapshot = with(|s| {
        s.conduction = vec![ConductionRow {
            span: LATE,
            pr_ms: Some(163.6),
            pr_beats: 211,
            qrs_ms: Some(97.4),
            qrs_beats: 1_234,
            wide_percent: Some(2.34),
        }];
        s.qt_hours = vec![QtRow {
            span: LATE,
            windows: 11,
            beats: 3_210,
            withheld: None,
            qt_ms: Some(391.4),
            rr_ms: Some(856.5001),
            qtc_bazett_ms: Some(423.0),
            qtc_fridericia_ms: Some(412.0),
            qtc_framingham_ms: Some(413.6),
            qtc_hodges_ms: Some(408.7),
        }];
    });
    check(
        &of(&snapshot, "conduction").unwrap().table.unwrap(),
        "From | PR, ms | beats with P | QRS, ms | N beats | wide QRS, %",
        &["00:00 | 164 | 211 | 97 | 1234 | 2.3"],
    );
    check(
        &of(&snapshot, "qt_hours").unwrap().table.unwrap(),
        "From | windows | QT, ms | RR, ms | QT for the rate, ms: Bazett | QT for the rate, ms: Fridericia | \
         QT for the rate, ms: Framingham | QT for the rate, ms: Hodges",
        &["00:00 | 11 | 391 | 857 | 423 | 412 | 414 | 409"],
    );
    let none = with(|s| {
        s.conduction = vec![ConductionRow::default()];
        s.qt_hours = vec![QtRow::default()];
    });
    assert!(of(&none, "conduction").is_none() && of(&none, "qt_hours").is_none(), "nothing was measured");
}

#[test]
fn variability_stands_in_its_columns_and_says_why_it_is_withheld() {
    let measured = HrvRow {
        span: LATE,
        readable_percent: 96.6,
        intervals: 4_100,
        nn_percent: 91.2,
        mean_nn_ms: Some(843.6),
        sdnn_ms: Some(52.4),
        rmssd_ms: Some(31.7),
        pnn50_percent: Some(11.26),
        total_ms2: Some(2_801.0),
        vlf_ms2: Some(1_502.0),
        lf_ms2: Some(803.0),
        hf_ms2: Some(496.0),
        lf_nu: Some(61.8),
        hf_nu: Some(38.2),
        lf_hf_ratio: Some(1.62),
        ..HrvRow::default()
    };
    let withheld = HrvRow {
        span: EARLY,
        readable_percent: 12.3,
        withheld: Some("atrial fibrillation lies in it".into()),
        ..HrvRow::default()
    };
    let snapshot = with(|s| s.hrv_hours = vec![measured, withheld]);
    check(
        &of(&snapshot, "hrv_hours").unwrap().table.unwrap(),
        "From | Read. % | NN % | ms: mean NN | ms: SDNN | ms: RMSSD | pNN50 % | Power, ms²: total | Power, ms²: VLF | \
         Power, ms²: LF | Power, ms²: HF | LF nu | LF/HF | Withheld because",
        &[
            "00:00 | 97 | 91 | 844 | 52 | 32 | 11.3 | 2801 | 1502 | 803 | 496 | 62 | 1.6 | ",
            "23:59 | 12 | – | – | – | – | – | – | – | – | – | – | – | atrial fibrillation lies in it",
        ],
    );
}

#[test]
fn a_lead_says_how_long_it_was_what_and_a_family_whether_there_is_enough() {
    let snapshot = with(|s| {
        s.leads = vec![LeadTime {
            lead: 0,
            name: "ECG II".into(),
            readable_s: 5_400.0,
            noisy_s: 61.0,
            unreadable_s: 42.5,
            flat_s: 33.25,
            railed_s: 0.0,
            missing_s: 7.0,
            longest_hole: Some(LATE),
        }];
        let enough = |what, unit, asked, have| Enough { what, unit, asked, have, source: "common practice" };
        s.enough = vec![
            enough("Burden", "h", 24.0, 23.96),
            enough("Turbulence", "beats", 5.0, 1.0),
            enough("Spectrum", "windows", 1.0, 1.0),
        ];
    });
    check(
        &of(&snapshot, "leads").unwrap().table.unwrap(),
        "Lead | Readable | of it noisy | Hides beats | Flat | At limits | No samples | Longest not readable",
        &["ECG II | 1 h 30 min | 1 min 01 s | 42.5 s | 33.2 s | – | 7.0 s | 5.0 s at 00:00:30"],
    );
    let table = of(&snapshot, "enough").unwrap().table.unwrap();
    let rows: Vec<(String, bool)> = table.rows.iter().map(|r| (r.cells[..4].join(" | "), r.strong)).collect();
    assert_eq!(
        rows,
        [
            // What is short by two and a half minutes prints as 24 h and is still too little.
            ("Burden | 24 h | 24 h | too little".to_owned(), true),
            ("Turbulence | 5 beats | 1 beat | too little".to_owned(), true),
            ("Spectrum | 1 window | 1 window | enough".to_owned(), false),
        ]
    );
}
