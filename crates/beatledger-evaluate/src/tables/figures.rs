//! Every figure and count of every record as CSV.

use beatledger_formats::wfdb::Mapping;
use beatledger_score::{Figure, Score};

use super::{PERIODS, text_of};
use crate::case::Case;

fn name(mapping: Mapping) -> &'static str {
    match mapping {
        Mapping::Literature => "literature",
        Mapping::Ec57 => "standard",
    }
}

/// A line a mapping, period and record, then gross and average, as CSV.
///
/// # Errors
/// When a row cannot be written, which does not happen in memory.
pub fn figures_csv(cases: &[Case], mappings: &[Mapping]) -> anyhow::Result<String> {
    let mut table = csv::Writer::from_writer(Vec::new());
    let heads = |figures: &[Figure]| figures.iter().map(|f| f.0.clone()).collect::<Vec<_>>();
    let empty = Score::default();
    let mut head: Vec<String> = ["mapping", "period", "record"].map(str::to_owned).into();
    head.extend(heads(&empty.counts()));
    head.extend(heads(&empty.figures()));
    table.write_record(&head)?;
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
                row(&score.line.record, score.counts(), score.figures())?;
            }
            row("gross", gross.counts(), gross.figures())?;
            let none = gross.counts().into_iter().map(|c| (c.0, None)).collect();
            row("average", none, Score::average(&scores))?;
        }
    }
    text_of(table)
}

/// Empty where undefined.
fn cell(value: Option<f64>) -> String {
    value.map_or(String::new(), |v| if v.fract() == 0.0 { format!("{v:.0}") } else { format!("{v:.4}") })
}
