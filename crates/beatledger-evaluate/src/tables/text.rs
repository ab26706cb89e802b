//! The tables of a database as text, and every figure as CSV.

use std::fmt::Write as _;
use std::path::Path;

use anyhow::Context as _;
use beatledger_formats::wfdb::Mapping;
use beatledger_score::{
    Figure, HEART_RATE_RULE, Line, Rules, RunTally, Score, beat_table, episode_table, gross_matrix,
    matrix_table, rate_table, run_table, shutdown_table, timing_table,
};

use super::case::Case;

/// What is scored of each record: name for files, heading, rules.
pub type Period = (&'static str, &'static str, Rules);

/// Both periods.
pub const PERIODS: [Period; 2] = [
    ("whole", "Whole records", Rules::WHOLE),
    ("from-minute-5", "Without the first five minutes", Rules::EC57),
];

fn name(mapping: Mapping) -> &'static str {
    match mapping {
        Mapping::Literature => "literature",
        Mapping::Ec57 => "standard",
    }
}

fn words(mapping: Mapping) -> &'static str {
    match mapping {
        Mapping::Literature => "classes as in the literature: escape beats (e j n) count as N",
        Mapping::Ec57 => "classes as the standard's scorer has them: escape beats (e j n) count as S",
    }
}

/// All tables of one mapping and period.
pub fn section(cases: &[Case], mapping: Mapping, (_, heading, rules): Period) -> String {
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

/// Writes a line a mapping, period and record, then gross and average.
pub fn write_csv(path: &Path, cases: &[Case], mappings: &[Mapping]) -> anyhow::Result<()> {
    let context = || format!("could not write {}", path.display());
    let mut table = csv::Writer::from_path(path).with_context(context)?;
    let heads = |figures: &[Figure]| figures.iter().map(|f| f.0.clone()).collect::<Vec<_>>();
    let empty = Score::default();
    let mut head: Vec<String> = ["mapping", "period", "record"].map(str::to_owned).into();
    head.extend(heads(&empty.counts()));
    head.extend(heads(&empty.figures()));
    table.write_record(&head).with_context(context)?;
    for mapping in mappings {
        for (period, _, rules) in PERIODS {
            let scores: Vec<Score> = cases.iter().map(|c| c.score(*mapping, &rules)).collect();
            let gross = Score::gross(&scores);
            let mut row = |record: &str, counts: Vec<Figure>, figures: Vec<Figure>| {
                let start = [name(*mapping), period, record].map(str::to_owned);
                let cells = counts.into_iter().chain(figures).map(|f| cell(f.1));
                table.write_record(start.into_iter().chain(cells))
            };
            for score in &scores {
                row(&score.line.record, score.counts(), score.figures()).with_context(context)?;
            }
            row("gross", gross.counts(), gross.figures()).with_context(context)?;
            let none = gross.counts().into_iter().map(|c| (c.0, None)).collect();
            row("average", none, Score::average(&scores)).with_context(context)?;
        }
    }
    table.flush().with_context(context)
}

/// Empty where undefined.
fn cell(value: Option<f64>) -> String {
    value.map_or(String::new(), |v| if v.fract() == 0.0 { format!("{v:.0}") } else { format!("{v:.4}") })
}
