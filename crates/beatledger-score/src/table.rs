//! Results as plain text tables.

use std::fmt::Write;

use beatledger_core::model::BeatClass;

use crate::episodes::EpisodeTally;
use crate::matrix::{BeatFigures, Column, Matrix, Row};
use crate::runs::RunTally;
use crate::score::Score;
use crate::timing::WINDOWS_MS;
use crate::totals::{Line, average, gross, gross_matrix};

/// A percentage with two decimals; `-` where undefined.
fn number(value: Option<f64>) -> String {
    value.map_or("-".to_owned(), |v| format!("{v:.2}"))
}

/// Width of the record column.
fn width<'a>(names: impl Iterator<Item = &'a str>) -> usize {
    names.map(|n| n.chars().count()).max().unwrap_or(0).max("Average".len())
}

// Writing into a String cannot fail, so the results of `write!` below carry nothing.

/// A line a record, then sums, gross and average: QRS, VEB and SVEB sensitivity (Se), positive predictivity
/// (+P) and false positive rate (FPR) in percent, RR error in ms, time unreadable in s.
pub fn beat_table(lines: &[Line]) -> String {
    let w = width(lines.iter().map(|l| l.record.as_str()));
    let mut out = String::new();
    let _ = writeln!(
        out,
        "{:w$} {:>8} {:>7} {:>7} {:>7} {:>7} {:>7} {:>7} {:>7} {:>7} {:>7} {:>8} {:>8}",
        "Record",
        "QRS",
        "VEB",
        "SVEB",
        "Q Se",
        "Q +P",
        "V Se",
        "V +P",
        "V FPR",
        "S Se",
        "S +P",
        "RR ms",
        "Shut s"
    );
    let counts = |m: &Matrix| {
        let of = |c| m.reference_of(c).to_string();
        [m.reference_beats().to_string(), of(BeatClass::V), of(BeatClass::S)]
    };
    let mut row = |name: &str, counts: [String; 3], f: Option<BeatFigures>, shut: String| {
        let figure =
            |of: fn(&BeatFigures) -> Option<f64>| f.as_ref().map_or(String::new(), |f| number(of(f)));
        let _ = writeln!(
            out,
            "{name:w$} {:>8} {:>7} {:>7} {:>7} {:>7} {:>7} {:>7} {:>7} {:>7} {:>7} {:>8} {shut:>8}",
            counts[0],
            counts[1],
            counts[2],
            figure(|f| f.qse_percent),
            figure(|f| f.qpp_percent),
            figure(|f| f.vse_percent),
            figure(|f| f.vpp_percent),
            figure(|f| f.vfpr_percent),
            figure(|f| f.sse_percent),
            figure(|f| f.spp_percent),
            figure(|f| f.rr_error_ms),
        );
    };
    for line in lines {
        row(&line.record, counts(&line.matrix), Some(line.figures()), format!("{:.1}", line.shutdown_s));
    }
    let shutdown_s: f64 = lines.iter().map(|l| l.shutdown_s).sum();
    row("Sum", counts(&gross_matrix(lines)), None, format!("{shutdown_s:.1}"));
    row("Gross", Default::default(), Some(gross(lines)), String::new());
    row("Average", Default::default(), Some(average(lines)), String::new());
    trimmed(&out)
}

/// The seven by seven matrix: reference in rows (capital), test in columns (small).
pub fn matrix_table(matrix: &Matrix) -> String {
    let mut out = String::from(" ");
    for column in Column::ALL {
        let _ = write!(out, " {:>8}", column.letter());
    }
    out.push('\n');
    for row in Row::ALL {
        let _ = write!(out, "{}", row.letter());
        for column in Column::ALL {
            // Nothing against nothing is no cell.
            let is_cell = !(matches!(row, Row::O | Row::X) && matches!(column, Column::O | Column::X));
            let text = if is_cell { matrix.at(row, column).to_string() } else { String::new() };
            let _ = write!(out, " {text:>8}");
        }
        out.push('\n');
    }
    trimmed(&out)
}

/// A line a record and the gross line: couplets, short runs (3 to 5) and long runs (6 and more), sensitivity
/// and positive predictivity in whole percent.
pub fn run_table(records: &[(String, RunTally)]) -> String {
    let w = width(records.iter().map(|r| r.0.as_str()));
    let mut out = String::new();
    let heads = ["2 Se", "2 +P", "3-5 Se", "3-5 +P", "6+ Se", "6+ +P"];
    let cells = |cells: [String; 6]| cells.map(|c| format!(" {c:>7}")).concat();
    let _ = writeln!(out, "{:w$}{}", "Record", cells(heads.map(str::to_owned)));
    let mut all = RunTally::default();
    let line = |name: &str, tally: &RunTally| {
        let f = tally.figures();
        let figures = [
            f.couplet_se_percent,
            f.couplet_pp_percent,
            f.short_se_percent,
            f.short_pp_percent,
            f.long_se_percent,
            f.long_pp_percent,
        ];
        let figures = figures.map(|v| v.map_or("-".to_owned(), |v| format!("{v:.0}")));
        format!("{name:w$}{}\n", cells(figures))
    };
    for (name, tally) in records {
        all.merge(tally);
        out += &line(name, tally);
    }
    out += &line("Gross", &all);
    trimmed(&out)
}

/// A line a record and the gross line: QRS sensitivity and positive predictivity at each match window with
/// the offset as it is, the record's constant offset, and the median distance without it.
pub fn timing_table(scores: &[Score]) -> String {
    let mut heads: Vec<String> =
        WINDOWS_MS.iter().flat_map(|w| [format!("Se {w}"), format!("+P {w}")]).collect();
    heads.extend(["Offset ms", "|Err| ms", "|Err| smp"].map(str::to_owned));
    let cells = |score: &Score| {
        let t = &score.timing;
        let hits = t.at.iter().flat_map(|h| [h.se_percent(), h.pp_percent()]);
        hits.chain([t.offset_ms, t.median_ms(), t.median_samples()]).map(number).collect()
    };
    lines_and_gross(scores, &heads, cells)
}

/// A line a record and the gross line: root mean square error of the heart rate, the same in percent of the
/// mean reference, and that mean, which must be told with it.
pub fn rate_table(scores: &[Score]) -> String {
    let heads = ["RMS bpm", "RMS %", "Mean bpm"].map(str::to_owned);
    lines_and_gross(scores, &heads, |score| {
        let h = score.heart_rate;
        [h.map(|h| h.rms), h.and_then(|h| h.normalised_percent), h.map(|h| h.mean_reference)]
            .map(number)
            .into()
    })
}

/// A line a record and the gross line: time called unreadable, its share, reference beats missed in it and
/// their share of all reference beats.
pub fn shutdown_table(scores: &[Score]) -> String {
    let heads = ["Seconds", "% time", "Missed", "% beats"].map(str::to_owned);
    lines_and_gross(scores, &heads, |score| {
        let (line, period_s) = (&score.line, score.af.period_s);
        let missed = line.matrix.sum(&[Row::N, Row::S, Row::V, Row::F, Row::Q], &[Column::X]);
        let share = (period_s > 0.0).then(|| 100.0 * line.shutdown_s / period_s);
        vec![
            format!("{:.1}", line.shutdown_s),
            number(share),
            missed.to_string(),
            number(line.figures().missed_in_shutdown_percent),
        ]
    })
}

/// A line a record and the gross line: episodes and minutes of the reference and found, episode and duration
/// sensitivity, positive predictivity and specificity in percent, time wrongly found in minutes of 24 h.
pub fn episode_table(scores: &[Score], of: fn(&Score) -> &EpisodeTally) -> String {
    let heads =
        ["Ref", "Found", "Ref min", "Fnd min", "Ep Se", "Ep +P", "Dur Se", "Dur +P", "Dur Sp", "F min/d"];
    lines_and_gross(scores, &heads.map(str::to_owned), |score| {
        let (t, f) = (of(score), of(score).figures());
        let mut cells = vec![t.reference.to_string(), t.test.to_string()];
        cells.extend([t.reference_s, t.test_s].map(|s| format!("{:.1}", s / 60.0)));
        cells.extend(
            [
                f.episode_se_percent,
                f.episode_pp_percent,
                f.duration_se_percent,
                f.duration_pp_percent,
                f.duration_sp_percent,
                f.false_min_per_24h,
            ]
            .map(number),
        );
        cells
    })
}

/// A table of cells, a line a record, and the sums of all records in the last.
fn lines_and_gross(scores: &[Score], heads: &[String], cells: impl Fn(&Score) -> Vec<String>) -> String {
    let w = width(scores.iter().map(|s| s.line.record.as_str()));
    let line = |name: &str, cells: &[String]| {
        let cells: String = cells.iter().map(|c| format!(" {c:>9}")).collect();
        format!("{name:w$}{cells}\n")
    };
    let mut out = line("Record", heads);
    for score in scores {
        out += &line(&score.line.record, &cells(score));
    }
    out += &line("Gross", &cells(&Score::gross(scores)));
    trimmed(&out)
}

/// The same lines without blanks at their ends.
fn trimmed(text: &str) -> String {
    text.lines().map(|l| format!("{}\n", l.trim_end())).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::matrix::tests::{EXAMPLE, matrix};
    use crate::totals::RrError;

    #[test]
    fn the_beat_table_shows_each_record_then_sum_gross_and_average_with_dashes_where_undefined() {
        let lines = [
            Line {
                record: "100".into(),
                matrix: matrix(EXAMPLE),
                rr: RrError { count: 4, sum_ms2: 36.0 },
                shutdown_s: 12.5,
            },
            Line { record: "101".into(), matrix: matrix("Nn 98, No 2"), ..Line::default() },
        ];
        let expected = "\
Record       QRS     VEB    SVEB    Q Se    Q +P    V Se    V +P   V FPR    S Se    S +P    RR ms   Shut s
100         1102     102      30   99.55   99.46   88.24   91.84    0.80   66.67   71.43     3.00     12.5
101          100       0       0   98.00  100.00       -       -    0.00       -       -        -      0.0
Sum         1202     102      30                                                                      12.5
Gross                              99.42   99.50   88.24   91.84    0.73   66.67   71.43     3.00
Average                            98.77   99.73   88.24   91.84    0.40   66.67   71.43     3.00
";
        assert_eq!(beat_table(&lines), expected);
    }

    #[test]
    fn the_matrix_table_leaves_out_nothing_against_nothing() {
        let text = matrix_table(&matrix(EXAMPLE));
        let rows: Vec<&str> = text.lines().collect();
        assert_eq!(rows[3].split_whitespace().collect::<Vec<_>>(), ["V", "6", "2", "90", "1", "0", "1", "2"]);
        assert_eq!(rows[6].split_whitespace().collect::<Vec<_>>(), ["O", "3", "1", "2", "0", "0"]);
    }

    #[test]
    fn every_table_of_scores_ends_with_the_sum_over_records() {
        let score = |record: &str, reference_s, overlap_s| {
            let af = EpisodeTally { reference_s, overlap_s, test_s: overlap_s, ..EpisodeTally::default() };
            Score { line: Line { record: record.into(), ..Line::default() }, af, ..Score::default() }
        };
        let scores = [score("100", 60.0, 30.0), score("101", 180.0, 180.0)];
        let text = episode_table(&scores, |s| &s.af);
        let cells: Vec<Vec<&str>> = text.lines().map(|l| l.split_whitespace().collect()).collect();
        assert_eq!(cells[1][..5], ["100", "0", "0", "1.0", "0.5"]);
        assert_eq!(cells[3], ["Gross", "0", "0", "4.0", "3.5", "-", "-", "87.50", "100.00", "-", "-"]);
        assert_eq!(timing_table(&scores).lines().count(), 4);
        assert!(rate_table(&scores).ends_with("Gross           -         -         -\n"));
    }

    #[test]
    fn the_run_table_prints_whole_percent() {
        let mut tally = RunTally::default();
        tally.by_reference[2] = [1, 0, 2, 0, 0, 0, 0];
        let text = run_table(&[("100".to_owned(), tally)]);
        let last = text.lines().last().unwrap_or_default();
        assert_eq!(last.split_whitespace().collect::<Vec<_>>(), ["Gross", "67", "-", "-", "-", "-", "-"]);
    }
}
