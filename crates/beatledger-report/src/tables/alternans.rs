//! T-wave alternans: the highest window of each clock hour, or why it is withheld.

use beatledger_core::model::{AlternansPoint, FigureId, Span};
use beatledger_core::session::Snapshot;

use super::about::{About, Page};
use super::column::{Column, NOTHING};
use super::table::Rows;
use super::value::Value;
use crate::document::tree::TableSize;
use crate::values::place_text;

/// The table.
pub struct Alternans;

/// A window, and whether it is the highest of its hour; if not, it is the highest of all.
type Window = (AlternansPoint, bool);

impl Rows for Alternans {
    type Row = Window;

    const ABOUT: About = About {
        key: "alternans",
        title: "T-wave alternans (research measure)",
        shows: "Highest T-wave alternans of each clock hour",
        definition: "Largest difference of the two modified moving averages between J and the end of T (Nearing and \
                     Verrier 2002); control: the same of beats taken two by two, in which alternans cancels, so that it is \
                     what scatter alone gives; windows with ectopy, noise, fast rate or atrial fibrillation are left out.",
        settings: &["twa_max_bpm", "twa_noise_uv"],
        rests_like: FigureId::TwaUv,
        file: None,
        in_summary: true,
        page: Page::IntervalsInWords,
        size: TableSize::Dense,
        groups: &[],
    };

    fn rows(&self, snapshot: &Snapshot) -> Vec<Window> {
        let Some(Ok(found)) = &snapshot.summary.alternans else { return Vec::new() };
        let hours = found.hours.iter().map(|p| (*p, true));
        std::iter::once((found.highest, false)).chain(hours).collect()
    }

    fn shown_rows(&self, snapshot: &Snapshot) -> Vec<Window> {
        self.rows(snapshot).into_iter().filter(|(_, is_of_hour)| *is_of_hour).collect()
    }

    fn columns(&self, _: &Snapshot) -> Vec<Column<Window>> {
        type C = Column<Window>;
        vec![
            C::field("hour", |_, w| w.1.into()),
            C::span(|w| Some(w.0.span)),
            C::text("At", 30.0, |s, w| place_text(&s.recording, w.0.span.start)),
            C::field("lead", |s, w| s.recording.leads.get(w.0.lead).map_or("", |l| &l.name).into()).own_text(
                "Lead",
                40.0,
                |s, w| lead(s, w.0.lead),
            ),
            C::field("uv", |_, w| Value::single(w.0.uv)).number("Highest of the hour, µV", 50.0, 0),
            C::field("control_uv", |_, w| Value::single(w.0.control_uv)).number("Control, µV", 30.0, 0),
        ]
    }

    fn place(&self, _: &Snapshot, row: &Window) -> Option<Span> {
        Some(row.0.span)
    }

    fn is_shown(&self, snapshot: &Snapshot, _: &[Window]) -> bool {
        snapshot.summary.alternans.is_some()
    }

    fn withheld(&self, snapshot: &Snapshot) -> Option<String> {
        match &snapshot.summary.alternans {
            None => Some("not looked for".to_owned()),
            Some(found) => found.as_ref().err().cloned(),
        }
    }

    fn words(&self, snapshot: &Snapshot) -> String {
        let found = match &snapshot.summary.alternans {
            None => return String::new(),
            Some(Err(reason)) => return format!("Withheld: {reason}."),
            Some(Ok(found)) => found,
        };
        format!(
            "Highest {:.0} µV on {} at {}, control {:.0} µV; {} windows could be used, {:.0} % of the readable time.",
            found.highest.uv,
            lead(snapshot, found.highest.lead),
            place_text(&snapshot.recording, found.highest.span.start),
            found.control.control_uv,
            found.windows,
            found.readable_percent
        )
    }
}

fn lead(snapshot: &Snapshot, index: usize) -> String {
    snapshot.recording.leads.get(index).map_or(NOTHING.to_owned(), |l| l.name.clone())
}
