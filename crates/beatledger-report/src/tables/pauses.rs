//! Pauses by reporting tier, and the longest RR interval of each rhythm.

use beatledger_core::model::{FigureId, LongestRr, PauseTier, RrCause, Span};
use beatledger_core::session::Snapshot;

use super::about::{About, Page};
use super::column::{Column, number};
use super::table::Rows;
use super::value::Value;
use crate::document::tree::TableSize;
use crate::values::place_text;

/// Pauses by length and by what they follow.
pub struct PauseTiers;

impl Rows for PauseTiers {
    type Row = PauseTier;

    const ABOUT: About = About {
        key: "pause_tiers",
        title: "Pauses by length and cause",
        shows: "Pauses by length and by what they follow",
        definition: "RR intervals at or above each limit; a longer one stands in every tier below it too (reporting \
                     tiers 2.0, 2.5 and 3.0 s, common practice).",
        settings: &["pause_ms", "pause_middle_ms", "critical_pause_ms"],
        rests_like: FigureId::ReadablePercent,
        file: None,
        in_summary: true,
        page: Page::Intervals,
        size: TableSize::Small,
        groups: &[],
    };

    fn rows(&self, snapshot: &Snapshot) -> Vec<PauseTier> {
        snapshot.summary.pause_tiers.clone()
    }

    fn columns(&self, _: &Snapshot) -> Vec<Column<PauseTier>> {
        type C = Column<PauseTier>;
        vec![
            C::field("limit_ms", |_, t| t.limit_ms.into())
                .own_text("Length", 40.0, |_, t| format!("{:.1} s and longer", t.limit_ms / 1000.0)),
            C::field("setting", |_, t| t.setting.into()),
            C::field("pauses", |_, t| (t.events.len() as u64).into()).count("Pauses", 22.0),
            C::field("sinus", |_, t| t.by_cause[0].into()).count("in sinus rhythm", 30.0),
            C::field("after_ectopy", |_, t| t.by_cause[1].into()).count("after ectopy", 30.0),
            C::field("in_af", |_, t| t.by_cause[2].into()).count("in atrial fibrillation", 34.0),
            C::field("places", |s, t| {
                Value::List(spans(s, t).map(|span| Value::place(&s.recording, span)).collect())
            })
            .own("First at", 24.0, |s, t| {
                spans(s, t).next().map_or(String::new(), |span| place_text(&s.recording, span.start))
            }),
        ]
    }

    fn place(&self, snapshot: &Snapshot, row: &PauseTier) -> Option<Span> {
        spans(snapshot, row).next()
    }
}

fn spans<'a>(snapshot: &'a Snapshot, tier: &'a PauseTier) -> impl Iterator<Item = Span> + 'a {
    tier.events.iter().filter_map(|i| snapshot.events.get(*i as usize)).map(|e| e.span)
}

/// The longest RR interval of all and of each rhythm.
pub struct LongestIntervals;

impl Rows for LongestIntervals {
    type Row = LongestRr;

    const ABOUT: About = About {
        key: "longest_rr",
        title: "Longest RR by rhythm",
        shows: "The longest RR interval of all and of each rhythm",
        definition: "The longest readable RR interval of all, in sinus rhythm, after ectopy and in atrial fibrillation \
                     (common practice).",
        settings: &["pause_ms"],
        ..PauseTiers::ABOUT
    };

    fn rows(&self, snapshot: &Snapshot) -> Vec<LongestRr> {
        snapshot.summary.longest_rr.clone()
    }

    fn columns(&self, _: &Snapshot) -> Vec<Column<LongestRr>> {
        type C = Column<LongestRr>;
        vec![
            C::field("cause", |_, l| key(l.cause).into())
                .own_text("Longest RR", 60.0, |_, l| words(l.cause).to_owned()),
            C::field("ms", |_, l| l.ms.into())
                .own("Length, s", 30.0, |_, l| number(l.ms.map(|ms| ms / 1000.0), 2)),
            C::field("place", |s, l| l.place.map(|span| Value::place(&s.recording, span)).into()).own(
                "At",
                30.0,
                |s, l| l.place.map_or(String::new(), |p| place_text(&s.recording, p.start)),
            ),
        ]
    }

    fn place(&self, _: &Snapshot, row: &LongestRr) -> Option<Span> {
        row.place
    }
}

fn key(cause: Option<RrCause>) -> &'static str {
    match cause {
        None => "any",
        Some(RrCause::Sinus) => "sinus",
        Some(RrCause::AfterEctopy) => "after-ectopy",
        Some(RrCause::Fibrillation) => "fibrillation",
    }
}

fn words(cause: Option<RrCause>) -> &'static str {
    match cause {
        None => "of all",
        Some(RrCause::Sinus) => "in sinus rhythm",
        Some(cause) => cause.words(),
    }
}
