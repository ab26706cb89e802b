//! QT and QT for the rate by clock hour.

use beatledger_core::model::{FigureId, QtRow, Span};
use beatledger_core::session::Snapshot;

use super::about::{About, Page};
use super::column::Column;
use super::hours::{hour_name, readable_of};
use super::table::Rows;
use crate::document::tree::TableSize;

/// The table.
pub struct Qt;

impl Rows for Qt {
    type Row = QtRow;

    const ABOUT: About = About {
        key: "qt_hours",
        title: "QT by hour",
        shows: "QT, RR and QT for the rate of each clock hour",
        definition: "Means over the averaged beats of the five-minute windows that begin in the hour, with RR of the same beats beside them; QT for \
                     the rate by Bazett 1920, Fridericia 1920, Sagie 1992 (Framingham) and Hodges 1983. Withheld in atrial \
                     fibrillation, wide QRS and noise, and where the next P wave hides the end of T.",
        settings: &["qt_min_beats", "qt_min_quality", "wide_qrs_ms", "af_min_s"],
        rests_like: FigureId::QtWindows,
        file: None,
        in_summary: true,
        page: Page::Intervals,
        size: TableSize::Dense,
        groups: &[("", 4), ("QT for the rate, ms", 4)],
    };

    fn rows(&self, snapshot: &Snapshot) -> Vec<QtRow> {
        snapshot.summary.qt_hours.clone()
    }

    fn columns(&self, _: &Snapshot) -> Vec<Column<QtRow>> {
        type C = Column<QtRow>;
        vec![
            C::span(|q| Some(q.span)),
            C::text("From", 24.0, |s, q| hour_name(s, q.span)),
            C::field("readable_percent", |s, q| readable_of(s, q.span)),
            C::field("windows", |_, q| q.windows.into()).count("windows", 20.0),
            C::field("beats", |_, q| q.beats.into()),
            C::field("reason", |_, q| q.withheld.clone().into()),
            C::field("qt_ms", |_, q| q.qt_ms.into()).number("QT, ms", 22.0, 0),
            C::field("rr_ms", |_, q| q.rr_ms.into()).number("RR, ms", 22.0, 0),
            C::field("qtc_bazett_ms", |_, q| q.qtc_bazett_ms.into()).number("Bazett", 22.0, 0),
            C::field("qtc_fridericia_ms", |_, q| q.qtc_fridericia_ms.into()).number("Fridericia", 22.0, 0),
            C::field("qtc_framingham_ms", |_, q| q.qtc_framingham_ms.into()).number("Framingham", 24.0, 0),
            C::field("qtc_hodges_ms", |_, q| q.qtc_hodges_ms.into()).number("Hodges", 22.0, 0),
        ]
    }

    fn place(&self, _: &Snapshot, row: &QtRow) -> Option<Span> {
        Some(row.span)
    }

    fn is_shown(&self, _: &Snapshot, shown: &[QtRow]) -> bool {
        shown.iter().any(|q| q.windows > 0)
    }
}
