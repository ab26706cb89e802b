//! PR, QRS and the share of wide QRS by clock hour.

use beatledger_core::model::{ConductionRow, FigureId, Span};
use beatledger_core::session::Snapshot;

use super::about::{About, Page};
use super::column::Column;
use super::hours::{hour_name, readable_of};
use super::table::Rows;
use crate::document::tree::TableSize;

/// The table.
pub struct Conduction;

impl Rows for Conduction {
    type Row = ConductionRow;

    const ABOUT: About = About {
        key: "conduction",
        title: "Conduction by hour",
        shows: "PR, QRS and the share of wide QRS of each clock hour",
        definition: "Medians over the N beats outside atrial fibrillation: PR where a P wave is found, QRS duration, and \
                     the share of wide QRS (wide from 120 ms, AHA/ACCF/HRS 2009, second hand).",
        settings: &["wide_qrs_ms", "qt_min_quality", "qt_min_beats"],
        rests_like: FigureId::PrMs,
        file: Some("conduction.csv"),
        in_summary: true,
        page: Page::Intervals,
        size: TableSize::Dense,
        groups: &[],
    };

    fn rows(&self, snapshot: &Snapshot) -> Vec<ConductionRow> {
        snapshot.summary.conduction.clone()
    }

    fn columns(&self, _: &Snapshot) -> Vec<Column<ConductionRow>> {
        type C = Column<ConductionRow>;
        vec![
            C::span(|c| Some(c.span)),
            C::text("From", 24.0, |s, c| hour_name(s, c.span)),
            C::field("readable_percent", |s, c| readable_of(s, c.span)),
            C::field("pr_ms", |_, c| c.pr_ms.into()).number("PR, ms", 28.0, 0),
            C::field("pr_beats", |_, c| c.pr_beats.into()).count("beats with P", 32.0),
            C::field("qrs_ms", |_, c| c.qrs_ms.into()).number("QRS, ms", 28.0, 0),
            C::field("qrs_beats", |_, c| c.qrs_beats.into()).count("N beats", 32.0),
            C::field("wide_percent", |_, c| c.wide_percent.into()).number("wide QRS, %", 32.0, 1),
        ]
    }

    fn place(&self, _: &Snapshot, row: &ConductionRow) -> Option<Span> {
        Some(row.span)
    }

    fn is_shown(&self, _: &Snapshot, shown: &[ConductionRow]) -> bool {
        shown.iter().any(|c| c.qrs_beats > 0)
    }
}
