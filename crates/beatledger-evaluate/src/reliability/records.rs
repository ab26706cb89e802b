//! What is said of each record beside what its reference says.

use std::fmt::Write as _;

use beatledger_core::model::{BeatClass, Doubt, EventKind, FigureId, FigureValue, Span};
use beatledger_formats::wfdb::Mapping;

use crate::case::{Case, Said};

/// A count that is said of a record, and the true one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Counted {
    /// What is said.
    pub said: u64,
    /// How many of them are doubtful.
    pub doubtful: u64,
    /// The range that is printed with it; the count itself where none is.
    pub range: (f64, f64),
    /// What the reference has in readable time.
    pub reference: u64,
}

impl Counted {
    /// True when the true count lies within the printed range.
    pub fn is_inside(&self) -> bool {
        (self.range.0..=self.range.1).contains(&(self.reference as f64))
    }
}

/// The count of V or S of a record; `None` where it is withheld.
pub fn counted(case: &Case, mapping: Mapping, class: BeatClass) -> Option<Counted> {
    let id = if class == BeatClass::V { FigureId::VBeats } else { FigureId::SBeats };
    let figure = case.said.as_ref()?.summary.figure(id)?;
    let FigureValue::Count(said) = figure.value else { return None };
    let doubt: Doubt = figure.doubt.clone().unwrap_or_default();
    let sides = case.sides(mapping);
    let is_read = |sample: i64| !sides.test.shutdown.iter().any(|s| s.contains(sample));
    let reference = sides.reference.beats.iter().filter(|b| b.1 == class && is_read(b.0)).count() as u64;
    let range = doubt.range.unwrap_or((said as f64, said as f64));
    Some(Counted { said, doubtful: doubt.doubtful, range, reference })
}

/// A line a record: QTc by Fridericia, minutes of atrial fibrillation and of AV block, V and S, each as it is said and with
/// what is doubtful, then what the reference says.
pub fn records_table(cases: &[Case], mapping: Mapping) -> String {
    let heads = ["Record", "QTcF", "AF min", "ref", "Block min", "ref", "V", "ref", "S", "ref"];
    let mut rows = vec![heads.map(str::to_owned)];
    for case in cases {
        let Some(said) = &case.said else { continue };
        let reference = &case.sides(mapping).reference;
        let minutes = |spans: &[Span]| match reference.names_rhythms {
            true => format!("{:.1}", minutes(case, spans.iter().copied())),
            false => "-".to_owned(),
        };
        let [v, v_reference] = count_cells(case, mapping, BeatClass::V);
        let [s, s_reference] = count_cells(case, mapping, BeatClass::S);
        rows.push([
            case.record.clone(),
            number(said, FigureId::QtcFridericiaMs),
            said_minutes(case, said, &[EventKind::AtrialFibrillation]),
            minutes(&reference.af),
            said_minutes(case, said, &EventKind::BLOCKS),
            minutes(&reference.blocks),
            v,
            v_reference,
            s,
            s_reference,
        ]);
    }
    in_columns(&rows)
}

/// A figure as a whole number, or that it is withheld.
fn number(said: &Said, id: FigureId) -> String {
    match said.summary.figure(id).and_then(|figure| figure.number()) {
        Some(value) => format!("{value:.0}"),
        None => "withheld".to_owned(),
    }
}

fn minutes(case: &Case, spans: impl Iterator<Item = Span>) -> f64 {
    let samples: i64 = Span::merged(spans.collect(), 0).iter().map(|s| s.len()).sum();
    case.rate.seconds_from_samples(samples) / 60.0
}

/// Minutes of events that are told, and of those that are doubtful.
fn said_minutes(case: &Case, said: &Said, kinds: &[EventKind]) -> String {
    let of = |doubtful: bool| {
        let of_kind =
            said.events.iter().filter(|e| kinds.contains(&e.kind) && e.doubt().is_some() == doubtful);
        minutes(case, of_kind.map(|e| e.span))
    };
    match of(true) {
        0.0 => format!("{:.1}", of(false)),
        doubtful => format!("{:.1} + {doubtful:.1} doubtful", of(false)),
    }
}

fn count_cells(case: &Case, mapping: Mapping, class: BeatClass) -> [String; 2] {
    let Some(c) = counted(case, mapping, class) else { return ["withheld".to_owned(), String::new()] };
    let mark = if c.is_inside() { "" } else { " *" };
    let said = format!("{} ({} doubtful, {:.0} to {:.0})", c.said, c.doubtful, c.range.0, c.range.1);
    [said, format!("{}{mark}", c.reference)]
}

/// Rows as text, every column as wide as its widest cell; a star beside a true count outside the printed range.
fn in_columns(rows: &[[String; 10]]) -> String {
    let width = |column: usize| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..10).map(width).collect();
    let mut out = String::new();
    for row in rows {
        let cells = row.iter().zip(&widths).map(|(cell, width)| format!("{cell:>width$}"));
        // Writing into a String cannot fail.
        let _ = writeln!(out, "{}", cells.collect::<Vec<_>>().join("  ").trim_end());
    }
    out
}
