//! The day at a glance: rate trend with events, and the hourly table.

use beatledger_core::model::{EventKind, HourRow, Recording, Span};
use beatledger_core::session::Snapshot;

use super::reader::is_landmark;
use super::{Block, Column, Measured, Row, Section, Style, Table, TableSize, TrendChart};
use crate::explain;
use crate::values::{date_text, grouped, place_text};

pub(super) fn section(snapshot: &Snapshot) -> Section {
    let chart = trend(snapshot);
    // The hours of a day stand on one page; the settings that decide them have a page of their own.
    let hours = Measured { note: explain::HOURS.definition.to_owned(), ..hours(snapshot) };
    let settings = &snapshot.settings;
    let note = format!(
        "Line: mean of each minute, band: slowest to fastest. Shaded: night, {} to {} h. Hatched: unreadable. \
         Numbers on top: diary.",
        settings.night_from_h, settings.night_to_h
    );
    Section::new(
        "The day",
        [Block::Trend(Box::new(chart)), Block::Paragraph(Style::Note, note)]
            .into_iter()
            .chain(hours.blocks())
            .collect(),
    )
    .on_new_page()
}

/// The hours with what they are.
pub(crate) fn hours(snapshot: &Snapshot) -> Measured {
    Measured::new(snapshot, &explain::HOURS, Some(hours_table(snapshot)))
}

fn trend(snapshot: &Snapshot) -> TrendChart {
    let recording = &*snapshot.recording;
    let hour = |sample: i64| recording.rate.seconds_from_samples(sample) / 3600.0;
    let both = |s: &Span| (hour(s.start), hour(s.end));
    let points: Vec<_> = snapshot
        .summary
        .trend
        .iter()
        .filter(|p| p.1.is_finite() && p.2.is_finite() && p.3.is_finite())
        // A point stands for the minute that starts at its sample and is drawn in the middle of it.
        .map(|p| (hour(p.0) + 0.5 / 60.0, p.1, p.2, p.3))
        .collect();
    let low = points.iter().map(|p| f64::from(p.1)).fold(60.0, f64::min);
    let high = points.iter().map(|p| f64::from(p.3)).fold(100.0, f64::max);
    let mut pieces: Vec<Vec<_>> = Vec::new();
    for point in &points {
        match pieces.last_mut().and_then(|p| p.last().copied().map(|l: (f64, f32, f32, f32)| (p, l))) {
            // A minute without a rate breaks the line: nothing is drawn where nothing is known.
            Some((piece, last)) if point.0 - last.0 < 1.5 / 60.0 => piece.push(*point),
            _ => pieces.push(vec![*point]),
        }
    }
    let lanes: Vec<_> = EventKind::ALL
        .into_iter()
        .filter(|k| !is_landmark(*k))
        .filter_map(|kind| {
            let of_kind = snapshot.events.iter().filter(|e| e.kind == kind && e.counts());
            let marks: Vec<_> = of_kind.map(|e| both(&e.span)).collect();
            (!marks.is_empty()).then(|| (format!("{} ({})", kind.words(), marks.len()), marks))
        })
        .collect();
    TrendChart {
        hours: recording.hours(),
        range_bpm: ((low / 20.0).floor() * 20.0, ((high / 20.0).ceil() * 20.0).min(320.0)),
        ticks: ticks(recording),
        night: night(snapshot),
        unreadable: snapshot.unreadable.iter().map(both).collect(),
        diary: snapshot.diary.iter().enumerate().map(|(i, d)| (hour(d.span.start), i + 1)).collect(),
        words: trend_words(&points, &lanes),
        lanes,
        pieces,
    }
}

fn trend_words(points: &[(f64, f32, f32, f32)], lanes: &[(String, Vec<(f64, f64)>)]) -> String {
    let names: Vec<&str> = lanes.iter().map(|l| l.0.as_str()).collect();
    let events = if names.is_empty() { "no events".to_owned() } else { names.join(", ") };
    let low = points.iter().map(|p| p.2).fold(f32::MAX, f32::min);
    let high = points.iter().map(|p| p.2).fold(f32::MIN, f32::max);
    match points.is_empty() {
        true => format!("Rate trend of the day: no minute with a rate; {events}"),
        false => format!("Rate trend of the day: minute means from {low:.0} to {high:.0} bpm; {events}"),
    }
}

/// Clock marks at whole hours, as many as a page takes.
pub(super) fn ticks(recording: &Recording) -> Vec<(f64, String)> {
    let hours = recording.hours();
    let step_h: f64 = match hours {
        h if h <= 0.25 => 1.0 / 60.0,
        h if h <= 1.0 => 1.0 / 6.0,
        h if h <= 3.0 => 0.5,
        h if h <= 12.0 => 1.0,
        h if h <= 30.0 => 2.0,
        h if h <= 60.0 => 4.0,
        _ => 24.0,
    };
    // A recording of months would ask for thousands of marks; the step then follows the length.
    let step_h = step_h.max((hours / 40.0 / 24.0).ceil() * if hours > 960.0 { 24.0 } else { 0.0 });
    let start_h = recording.start.map_or(0.0, |s| s.ms_of_day() as f64 / 3_600_000.0);
    let mut out = Vec::new();
    let mut at = (start_h / step_h).ceil() * step_h;
    while at <= start_h + hours + 1e-9 {
        let minutes = (at * 60.0).round() as i64;
        let text = match recording.local_time(recording.rate.samples_from_seconds((at - start_h) * 3600.0)) {
            // Steps of whole days fall on midnight, where the day says more than the hour.
            Some(time) if step_h >= 24.0 => date_text(time).get(5..).unwrap_or_default().to_owned(),
            Some(_) => format!("{:02}:{:02}", minutes / 60 % 24, minutes % 60),
            None => format!("+{}:{:02}", minutes / 60, minutes % 60),
        };
        out.push((at - start_h, text));
        at += step_h;
    }
    out
}

/// Stretches of night in hours from the start; none when the clock is unknown.
fn night(snapshot: &Snapshot) -> Vec<(f64, f64)> {
    let Some(start) = snapshot.recording.start else { return Vec::new() };
    let hours = snapshot.recording.hours();
    let start_h = start.ms_of_day() as f64 / 3_600_000.0;
    let (from, to) = (snapshot.settings.night_from_h, snapshot.settings.night_to_h);
    let days = (hours / 24.0).ceil().min(400.0) as i32 + 1;
    (-1..days)
        .map(|day| {
            let midnight = f64::from(day + 1) * 24.0 - start_h;
            ((midnight - 24.0 + from).max(0.0), (midnight + to).min(hours))
        })
        .filter(|(a, b)| b > a)
        .collect()
}

fn hours_table(snapshot: &Snapshot) -> Table {
    let mut rows: Vec<Row> =
        snapshot.summary.hours.iter().map(|h| Row::plain(hour_cells(hour_name(snapshot, h), h))).collect();
    rows.push(Row::strong(hour_cells("Day".to_owned(), &snapshot.summary.day)));
    let mut columns = vec![
        Column::left("From", if snapshot.recording.hours() > 24.0 { 22.0 } else { 17.0 }),
        Column::right("Read. min", 11.0),
    ];
    columns.push(Column::right("Beats", 14.0));
    for (title, share) in [
        ("slow", 9.5),
        ("mean", 10.0),
        ("fast", 9.5),
        ("beats", 10.5),
        ("single", 10.5),
        ("pair", 8.5),
        ("run", 8.0),
        ("beats", 10.5),
        ("single", 10.5),
        ("pair", 8.5),
        ("run", 8.0),
        ("Pauses", 11.5),
        ("AF min", 10.5),
        ("Longest RR, s", 13.0),
    ] {
        columns.push(Column::right(title, share));
    }
    Table {
        summary: "Counts and rates of each clock hour, with the day in the last row".to_owned(),
        groups: vec![
            (String::new(), 3),
            ("Rate, bpm".to_owned(), 3),
            ("Supraventricular (S)".to_owned(), 4),
            ("Ventricular (V, F)".to_owned(), 4),
            (String::new(), 3),
        ],
        columns,
        rows,
        size: TableSize::Dense,
    }
}

fn hour_name(snapshot: &Snapshot, row: &HourRow) -> String {
    row.span.map_or_else(
        || "–".to_owned(),
        |s| {
            let clock = place_text(&snapshot.recording, s.start);
            // The seconds of a clock hour say nothing.
            clock.rsplit_once(':').map_or(clock.clone(), |(head, _)| head.to_owned())
        },
    )
}

fn hour_cells(name: String, h: &HourRow) -> Vec<String> {
    let count = |n: u64| if n == 0 { "–".to_owned() } else { grouped(n) };
    let rate = |x: Option<f64>| x.filter(|x| x.is_finite()).map_or("–".to_owned(), |x| format!("{x:.0}"));
    let mut cells = vec![name, format!("{:.0}", h.readable_s / 60.0), count(h.beats)];
    cells.extend([h.min_bpm, h.mean_bpm, h.max_bpm].map(rate));
    cells.extend([h.s_beats, h.s_singles, h.s_couplets, h.s_runs].map(count));
    cells.extend([h.v_beats, h.v_singles, h.v_couplets, h.v_runs].map(count));
    cells.push(count(h.pauses));
    cells.push(if h.af_s > 0.0 { format!("{:.1}", h.af_s / 60.0) } else { "–".to_owned() });
    cells.push(h.longest_rr_ms.map_or("–".to_owned(), |ms| format!("{:.2}", ms / 1000.0)));
    cells
}
