//! What begins in each clock hour, with the day in the last row.

use beatledger_core::model::{FigureId, HourRow, Span};
use beatledger_core::session::Snapshot;

use super::about::{About, Page};
use super::column::{Column, NOTHING};
use super::table::{Rows, record};
use super::value::{Record, Value, clock};
use crate::document::tree::TableSize;
use crate::values::place_text;

/// The table.
pub struct Hours;

impl Rows for Hours {
    type Row = HourRow;

    const ABOUT: About = About {
        key: "hours",
        title: "Hour by hour",
        shows: "Counts and rates of each clock hour, with the day in the last row",
        definition: "What begins in each clock hour; counts add up to those of the day. Rates are 60000 / mean RR and the extreme \
                     windows of RR intervals. S singles, couplets and runs lie outside atrial fibrillation; V beats are of class V, \
                     their singles, couplets and runs of V or F (ANSI/AAMI EC57 runs).",
        settings: &[
            "rate_window_beats",
            "run_beats",
            "pause_ms",
            "af_min_s",
            "prematurity_percent",
            "wide_qrs_ms",
        ],
        rests_like: FigureId::ReadablePercent,
        file: Some("hours.csv"),
        in_summary: false,
        page: Page::Day,
        size: TableSize::Dense,
        groups: &[("", 3), ("Rate, bpm", 3), ("Supraventricular (S)", 4), ("Ventricular (V, F)", 4), ("", 3)],
    };

    fn rows(&self, snapshot: &Snapshot) -> Vec<HourRow> {
        snapshot.summary.hours.clone()
    }

    fn shown_rows(&self, snapshot: &Snapshot) -> Vec<HourRow> {
        let day = HourRow { span: None, ..snapshot.summary.day.clone() };
        snapshot.summary.hours.iter().cloned().chain([day]).collect()
    }

    fn columns(&self, snapshot: &Snapshot) -> Vec<Column<HourRow>> {
        columns(snapshot)
    }

    fn is_strong(&self, row: &HourRow) -> bool {
        row.span.is_none()
    }

    fn place(&self, _: &Snapshot, row: &HourRow) -> Option<Span> {
        row.span
    }
}

#[rustfmt::skip]
fn columns(snapshot: &Snapshot) -> Vec<Column<HourRow>> {
    type C = Column<HourRow>;
    let clock_share = if snapshot.recording.hours() > 24.0 { 22.0 } else { 17.0 };
    vec![
        C::span(|h| h.span),
        C::text("From", clock_share, from),
        C::field("readable_min", |_, h| (h.readable_s / 60.0).into())
            .number("Read. min", 11.0, 0).named("readable minutes"),
        C::field("readable_percent", readable_percent),
        C::field("beats", |_, h| h.beats.into()).count("Beats", 14.0),
        C::field("min_bpm", |_, h| finite(h.min_bpm)).number("slow", 9.5, 0).named("slowest bpm"),
        C::field("min_start_sample", |_, h| h.min_place.map(|s| s.start).into()),
        C::field("min_clock", |s, h| clock(&s.recording, h.min_place)),
        C::field("mean_bpm", |_, h| finite(h.mean_bpm)).number("mean", 10.0, 0).named("mean bpm"),
        C::field("max_bpm", |_, h| finite(h.max_bpm)).number("fast", 9.5, 0).named("fastest bpm"),
        C::field("max_start_sample", |_, h| h.max_place.map(|s| s.start).into()),
        C::field("max_clock", |s, h| clock(&s.recording, h.max_place)),
        C::field("s_beats", |_, h| h.s_beats.into()).count("beats", 10.5).named("S beats"),
        C::field("s_singles", |_, h| h.s_singles.into()).count("single", 10.5).named("S singles"),
        C::field("s_couplets", |_, h| h.s_couplets.into()).count("pair", 8.5).named("S couplets"),
        C::field("s_runs", |_, h| h.s_runs.into()).count("run", 8.0).named("S runs"),
        C::field("v_beats", |_, h| h.v_beats.into()).count("beats", 10.5).named("V beats"),
        C::field("v_singles", |_, h| h.v_singles.into()).count("single", 10.5).named("V singles"),
        C::field("v_couplets", |_, h| h.v_couplets.into()).count("pair", 8.5).named("V couplets"),
        C::field("v_runs", |_, h| h.v_runs.into()).count("run", 8.0).named("V runs"),
        C::field("pauses", |_, h| h.pauses.into()).count("Pauses", 11.5),
        C::field("af_min", |_, h| (h.af_s / 60.0).into())
            .own("AF min", 10.5, |_, h| if h.af_s > 0.0 { format!("{:.1}", h.af_s / 60.0) } else { NOTHING.to_owned() })
            .named("AF minutes"),
        C::field("longest_rr_ms", |_, h| finite(h.longest_rr_ms))
            .own("Longest RR, s", 13.0, |_, h| h.longest_rr_ms.map_or(NOTHING.to_owned(), |ms| format!("{:.2}", ms / 1000.0)))
            .named("longest RR, seconds"),
        C::field("longest_rr_start_sample", |_, h| h.longest_rr_place.map(|s| s.start).into()),
        C::field("longest_rr_clock", |s, h| clock(&s.recording, h.longest_rr_place)),
    ]
}

fn finite(x: Option<f64>) -> Value {
    x.filter(|x| x.is_finite()).into()
}

fn from(snapshot: &Snapshot, row: &HourRow) -> String {
    row.span.map_or_else(|| "Day".to_owned(), |span| hour_name(snapshot, span))
}

fn readable_percent(snapshot: &Snapshot, row: &HourRow) -> Value {
    let length_s = row.span.map_or(0.0, |s| snapshot.recording.rate.seconds_from_samples(s.len()));
    (length_s > 0.0).then(|| 100.0 * row.readable_s / length_s).into()
}

/// The clock of an hour without its seconds, which say nothing.
pub(super) fn hour_name(snapshot: &Snapshot, span: Span) -> String {
    let clock = place_text(&snapshot.recording, span.start);
    clock.rsplit_once(':').map_or(clock.clone(), |(head, _)| head.to_owned())
}

/// Share of an hour that could be read, %: the rows by hour of all tables are those of the same hours.
pub(super) fn readable_of(snapshot: &Snapshot, span: Span) -> Value {
    let hour = snapshot.summary.hours.iter().find(|h| h.span == Some(span));
    hour.map_or(Value::Number(0.0), |row| {
        let length = snapshot.recording.rate.seconds_from_samples(span.len().max(1));
        (100.0 * row.readable_s / length).into()
    })
}

/// The whole day in the fields of an hour.
pub(crate) fn day(snapshot: &Snapshot) -> Record {
    record(&columns(snapshot), snapshot, &snapshot.summary.day)
}
