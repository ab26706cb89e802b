//! The tables of a database as text.

use std::fmt::Write as _;

use beatledger_formats::wfdb::Mapping;
use beatledger_score::{
    HEART_RATE_RULE, Line, RunTally, Score, beat_table, episode_table, gross_matrix, matrix_table,
    rate_table, run_table, shutdown_table, timing_table,
};

use super::{PERIODS, Period};
use crate::case::Case;

fn words(mapping: Mapping) -> &'static str {
    match mapping {
        Mapping::Literature => "classes as in the literature: escape beats (e j n) count as N",
        Mapping::Ec57 => "classes as the standard's scorer has them: escape beats (e j n) count as S",
    }
}

/// All tables of one mapping: whole records, then without the first five minutes.
pub fn text_tables(cases: &[Case], mapping: Mapping) -> String {
    PERIODS.map(|period| section(cases, mapping, period)).concat()
}

fn section(cases: &[Case], mapping: Mapping, (_, heading, rules): Period) -> String {
    let scores: Vec<Score> = cases.iter().map(|c| c.score(mapping, &rules)).collect();
    let mut out = format!("=== {heading}; {}\n\n", words(mapping));
    let mut part = |title: &str, text: String| {
        // Writing into a String cannot fail.
        let _ = writeln!(out, "{title}\n{text}");
    };
    if cases.iter().any(|c| c.from_tracing) {
        let lines: Vec<Line> = scores.iter().map(|s| s.line.clone()).collect();
        part("Beats", beat_table(&lines));
        part("Reference in rows, found in columns", matrix_table(&gross_matrix(&lines)));
        part("Unreadable time", shutdown_table(&scores));
        part(
            "Places: QRS within 150, 75 and 25 ms as they lie; distances without the record's constant offset",
            timing_table(&scores),
        );
        part(&format!("Heart rate ({HEART_RATE_RULE})"), rate_table(&scores));
    } else {
        part("Reference beats went in; runs and episodes are the program's own", String::new());
    }
    let runs = |of: fn(&Score) -> RunTally| -> Vec<(String, RunTally)> {
        scores.iter().map(|s| (s.line.record.clone(), of(s))).collect()
    };
    let all = Score::gross(&scores);
    if all.ventricular.has_runs() {
        part("Ventricular runs", run_table(&runs(|s| s.ventricular)));
    }
    if all.supraventricular.has_runs() {
        let title = "Supraventricular runs (fibrillation and flutter are long ones)";
        part(title, run_table(&runs(|s| s.supraventricular)));
    }
    part("Atrial fibrillation (flutter excluded)", episode_table(&scores, |s| &s.af));
    if all.vf.reference + all.vf.test > 0 {
        part(
            "Ventricular fibrillation and flutter (the program names none)",
            episode_table(&scores, |s| &s.vf),
        );
    }
    out
}
