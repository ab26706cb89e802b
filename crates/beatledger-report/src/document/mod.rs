//! The report as a tree of plain blocks: what is said, not how it is set. Free of any PDF type, so that the
//! same tree feeds the pages and tests.

mod back;
mod clock_marks;
mod context;
mod day;
mod events;
#[cfg(test)]
mod figure_tests;
mod figures;
mod front;
mod headlines;
mod plain;
pub(crate) mod reader;
#[cfg(test)]
mod sign_tests;
mod st_chart;
#[cfg(test)]
mod statement_tests;
mod strips;
#[cfg(test)]
mod table_tests;
mod tables;
#[cfg(test)]
mod tests;
pub(crate) mod tree;
#[cfg(test)]
mod wave_tests;

pub use back::CAUTIONS;
pub use context::{ReportContext, SignOff, SignState};
pub(crate) use figures::families;
pub(crate) use reader::said;
pub use reader::{ReaderShare, reader_share};
pub use st_chart::st_chart;
pub use tree::{
    Align, Block, Column, KeyFigure, Report, Row, Section, StChart, StPlot, StripBlock, Style, Table,
    TableSize, TrendChart, Turn,
};

use beatledger_core::session::Snapshot;

/// Builds the report of a snapshot.
pub fn build(snapshot: &Snapshot, context: &ReportContext) -> Report {
    let recording = &*snapshot.recording;
    let mut sections = vec![front::section(snapshot, context), day::section(snapshot)];
    sections.extend(strips::section(snapshot));
    sections.push(figures::section(snapshot));
    sections.extend(tables::section(snapshot));
    sections.push(figures::variability(snapshot));
    sections.push(events::diary(snapshot));
    sections.push(events::list(snapshot));
    sections.extend(back::sections(snapshot, context));
    let state = context.sign.short_text();
    let short: String = recording.sha256.chars().take(12).collect();
    let hash = if short.is_empty() { "no file hash".to_owned() } else { format!("SHA-256 {short}…") };
    Report {
        title: format!("Ambulatory ECG of a day: {}", recording.name),
        authors: context.sign.sign_off().map(|s| s.reader.clone()).into_iter().collect(),
        created_utc_ms: context.created_utc_ms,
        utc_offset_min: context.utc_offset_min,
        document_id: format!("{}/{}/{}", recording.sha256, context.ledger_head, context.created_utc_ms),
        foot: format!("{} · {hash} · {state}", recording.name),
        program: context.program.clone(),
        sections,
    }
}
