//! What every table can give: its part of the summary file, its list of comma-separated values, and its rows in words for
//! window, pages and terminal.

use std::io::Write;

use beatledger_core::model::Span;
use beatledger_core::session::Snapshot;
use beatledger_core::settings::TABLE;
use serde::Serialize;

use super::about::About;
use super::column::Column;
use super::value::{Named, Record};
use crate::ReportError;
use crate::document::tree;
use crate::values::short_number;

/// A table: what it is, its rows and its columns. Everything else follows from them.
pub(super) trait Rows: Sync {
    /// One row.
    type Row;
    /// What it is.
    const ABOUT: About;
    /// Its rows in files.
    fn rows(&self, snapshot: &Snapshot) -> Vec<Self::Row>;
    /// Its columns in files and print, in the order of both.
    fn columns(&self, snapshot: &Snapshot) -> Vec<Column<Self::Row>>;
    /// The stretch of tracing that shows a row, where there is one.
    fn place(&self, _: &Snapshot, _: &Self::Row) -> Option<Span> {
        None
    }
    /// True for a row that is set in bold.
    fn is_strong(&self, _: &Self::Row) -> bool {
        false
    }
    /// Its rows in window and print, where they differ from those in files.
    fn shown_rows(&self, snapshot: &Snapshot) -> Vec<Self::Row> {
        self.rows(snapshot)
    }
    /// False where nobody needs to see it.
    fn is_shown(&self, _: &Snapshot, shown: &[Self::Row]) -> bool {
        !shown.is_empty()
    }
    /// Why the whole of it is withheld in files.
    fn withheld(&self, _: &Snapshot) -> Option<String> {
        None
    }
    /// A result in one sentence, or why it is withheld; empty when the rows say it all.
    fn words(&self, _: &Snapshot) -> String {
        String::new()
    }
    /// What must be said beside it; empty when nothing must.
    fn caution(&self) -> &'static str {
        ""
    }
}

/// Any table, whatever its rows are.
pub trait Table: Sync {
    /// What it is.
    fn about(&self) -> &'static About;
    /// Its part of the summary file.
    fn part(&self, snapshot: &Snapshot) -> TablePart;
    /// In words; `None` where there is nothing to show.
    fn shown(&self, snapshot: &Snapshot) -> Option<ShownTable>;
    /// Writes comma-separated values: UTF-8, comma, LF, header row, quoted by RFC 4180.
    ///
    /// # Errors
    /// When the writer fails.
    fn write_csv(&self, snapshot: &Snapshot, to: &mut dyn Write) -> Result<(), ReportError>;
}

/// A table in the summary file.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TablePart {
    /// Definition.
    pub definition: &'static str,
    /// Keys of the settings that decide it.
    pub settings: &'static [&'static str],
    /// Share of the data that it rests on, %; null where there is nothing to take a share of.
    pub basis_percent: Option<f64>,
    /// What of what that share is.
    pub basis_of: &'static str,
    /// Why it is withheld.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
    /// The rows.
    pub rows: Vec<Record>,
}

/// A table in words.
#[derive(Clone, Debug, PartialEq)]
pub struct ShownTable {
    /// What it is.
    pub about: &'static About,
    /// A result in one sentence, or why it is withheld; empty when the rows say it all.
    pub words: String,
    /// The table; `None` when it is withheld.
    pub table: Option<tree::Table>,
    /// What must be said beside it; empty when nothing must.
    pub caution: &'static str,
    /// Definition with its source, and the settings in force that decide it.
    pub note: String,
}

impl<T: Rows> Table for T {
    fn about(&self) -> &'static About {
        const { &T::ABOUT }
    }

    fn part(&self, snapshot: &Snapshot) -> TablePart {
        let about = Table::about(self);
        let basis = snapshot.summary.figure(about.rests_like).map(|f| f.basis);
        let columns = self.columns(snapshot);
        TablePart {
            definition: about.definition,
            settings: about.settings,
            basis_percent: basis.and_then(|b| b.percent).filter(|x| x.is_finite()),
            basis_of: basis.map_or("", |b| b.of),
            reason: self.withheld(snapshot),
            rows: self.rows(snapshot).iter().map(|row| record(&columns, snapshot, row)).collect(),
        }
    }

    fn shown(&self, snapshot: &Snapshot) -> Option<ShownTable> {
        let about = Table::about(self);
        let rows = self.shown_rows(snapshot);
        let note = format!("{}{}", about.definition, settings_words(snapshot, about.settings));
        self.is_shown(snapshot, &rows).then(|| ShownTable {
            about,
            words: self.words(snapshot),
            table: (!rows.is_empty()).then(|| in_words(self, snapshot, &rows)),
            caution: self.caution(),
            note,
        })
    }

    fn write_csv(&self, snapshot: &Snapshot, to: &mut dyn Write) -> Result<(), ReportError> {
        let mut out = crate::csv::writer(to);
        let columns = self.columns(snapshot);
        out.write_record(columns.iter().flat_map(Column::keys))?;
        for row in self.rows(snapshot) {
            out.write_record(record(&columns, snapshot, &row).0.iter().map(|(_, value)| value.cell()))?;
        }
        out.flush()?;
        Ok(())
    }
}

/// The fields of a row.
pub(crate) fn record<R>(columns: &[Column<R>], snapshot: &Snapshot, row: &R) -> Record {
    Named(columns.iter().flat_map(|c| c.fields(snapshot, row)).collect())
}

fn in_words<T: Rows>(table: &T, snapshot: &Snapshot, rows: &[T::Row]) -> tree::Table {
    let columns = table.columns(snapshot);
    let row = |row: &T::Row| tree::Row {
        cells: columns.iter().filter_map(|c| c.cell(snapshot, row)).collect(),
        strong: table.is_strong(row),
        place: table.place(snapshot, row),
    };
    let heads = columns.iter().filter_map(|c| c.head.as_ref());
    tree::Table {
        summary: T::ABOUT.shows.to_owned(),
        groups: T::ABOUT.groups.iter().map(|(name, n)| ((*name).to_owned(), *n)).collect(),
        columns: heads
            .map(|h| tree::Column { title: h.title.to_owned(), name: h.name, align: h.align, share: h.share })
            .collect(),
        rows: rows.iter().map(row).collect(),
        size: T::ABOUT.size,
    }
}

/// ` Settings: pause_ms 2000 ms, …` of what decides a table or a figure.
pub(crate) fn settings_words(snapshot: &Snapshot, keys: &[&str]) -> String {
    let words: Vec<String> = keys
        .iter()
        .filter_map(|key| TABLE.iter().find(|row| row.key == *key))
        .map(|row| {
            format!("{} {} {}", row.key, short_number(row.value(&snapshot.settings)), row.unit)
                .trim_end()
                .to_owned()
        })
        .collect();
    if words.is_empty() { String::new() } else { format!(" Settings: {}.", words.join(", ")) }
}
