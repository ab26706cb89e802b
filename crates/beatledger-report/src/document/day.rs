//! The day at a glance: rate trend with events, and the hourly table.

use beatledger_core::model::{EventKind, Span};
use beatledger_core::session::Snapshot;

use super::clock_marks::ticks;
use super::tables::blocks;
use super::tree::{Block, Section, Style, TrendChart};
use crate::tables::{self, ShownTable};

pub(super) fn section(snapshot: &Snapshot) -> Section {
    let chart = trend(snapshot);
    // The hours of a day stand on one page; the settings that decide them have a page of their own.
    let in_short = |t: ShownTable| ShownTable { note: t.about.definition.to_owned(), ..t };
    let hours = tables::HOURS.shown(snapshot).map(in_short);
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
            .chain(hours.into_iter().flat_map(blocks))
            .collect(),
    )
    .on_new_page()
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
        .filter(|k| !k.is_landmark())
        .filter_map(|kind| {
            let of_kind = snapshot.events.iter().filter(|e| e.kind == kind && e.stands());
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
