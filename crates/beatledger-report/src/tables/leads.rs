//! Readable time of each lead, and whether the recording is long enough for each family of figures.

use beatledger_core::model::{Enough, FigureId, LeadTime, Span};
use beatledger_core::session::Snapshot;

use super::about::{About, Page};
use super::column::{Column, NOTHING};
use super::table::Rows;
use super::value::Value;
use crate::document::tree::TableSize;
use crate::values::{duration_text, place_text, short_number};

/// Readable time by lead.
pub struct Leads;

impl Rows for Leads {
    type Row = LeadTime;

    const ABOUT: About = About {
        key: "leads",
        title: "Readable time by lead",
        shows: "Readable time of each lead",
        definition: "Seconds of the recording in which each lead is good or noisy, hides beats, is flat, at the limits of \
                     the recorder, or has no samples (common practice).",
        settings: &["flat_mv"],
        rests_like: FigureId::ReadablePercent,
        file: None,
        in_summary: true,
        page: Page::Intervals,
        size: TableSize::Small,
        groups: &[],
    };

    fn rows(&self, snapshot: &Snapshot) -> Vec<LeadTime> {
        snapshot.summary.leads.clone()
    }

    fn columns(&self, _: &Snapshot) -> Vec<Column<LeadTime>> {
        type C = Column<LeadTime>;
        vec![
            C::field("lead", |_, l| l.name.clone().into()).own_text("Lead", 20.0, |_, l| l.name.clone()),
            C::field("readable_s", |_, l| l.readable_s.into()).duration("Readable", 22.0),
            C::field("noisy_s", |_, l| l.noisy_s.into()).duration("of it noisy", 22.0),
            C::field("unreadable_s", |_, l| l.unreadable_s.into()).duration("Hides beats", 22.0),
            C::field("flat_s", |_, l| l.flat_s.into()).duration("Flat", 18.0),
            C::field("railed_s", |_, l| l.railed_s.into()).duration("At limits", 18.0),
            C::field("missing_s", |_, l| l.missing_s.into()).duration("No samples", 20.0),
            C::field("longest_hole", |s, l| {
                l.longest_hole.map(|span| Value::place(&s.recording, span)).into()
            })
            .own("Longest not readable", 38.0, hole_words),
        ]
    }

    fn place(&self, _: &Snapshot, row: &LeadTime) -> Option<Span> {
        row.longest_hole
    }
}

fn hole_words(snapshot: &Snapshot, lead: &LeadTime) -> String {
    lead.longest_hole.map_or(NOTHING.to_owned(), |hole| {
        let length_s = snapshot.recording.rate.seconds_from_samples(hole.len());
        format!("{} at {}", duration_text(length_s), place_text(&snapshot.recording, hole.start))
    })
}

/// Whether there is enough for each family of figures.
pub struct LongEnough;

impl Rows for LongEnough {
    type Row = Enough;

    const ABOUT: About = About {
        key: "enough",
        title: "Is the recording long enough?",
        shows: "Whether the recording is long enough for each family of figures",
        definition: "What each family of figures asks for, and what there is.",
        settings: &[
            "hrv_min_hours",
            "nn_min_share_percent",
            "night_from_h",
            "night_to_h",
            "af_min_s",
            "hrt_min_beats",
            "qt_min_beats",
        ],
        ..Leads::ABOUT
    };

    fn rows(&self, snapshot: &Snapshot) -> Vec<Enough> {
        snapshot.summary.enough.clone()
    }

    fn columns(&self, _: &Snapshot) -> Vec<Column<Enough>> {
        type C = Column<Enough>;
        vec![
            C::field("what", |_, e| e.what.into()).own_text("For", 50.0, |_, e| e.what.to_owned()),
            C::field("unit", |_, e| e.unit.into()),
            C::field("asked", |_, e| e.asked.into()).own("Asked", 24.0, |_, e| amount(e, e.asked)),
            C::field("have", |_, e| e.have.into()).own("There is", 24.0, |_, e| amount(e, e.have)),
            C::field("enough", |_, e| e.is_enough().into())
                .own_text("", 20.0, |_, e| if e.is_enough() { "enough" } else { "too little" }.to_owned()),
            C::field("source", |_, e| e.source.into()).own_text("Source", 62.0, |_, e| e.source.to_owned()),
        ]
    }

    fn is_strong(&self, row: &Enough) -> bool {
        !row.is_enough()
    }
}

/// `1 hour`, `18.5 hours`.
fn amount(enough: &Enough, x: f64) -> String {
    let unit = if x == 1.0 { enough.unit.trim_end_matches('s') } else { enough.unit };
    format!("{} {unit}", short_number((x * 10.0).round() / 10.0)).trim_end().to_owned()
}
