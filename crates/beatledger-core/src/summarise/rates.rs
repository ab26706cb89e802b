//! Figures of readable time and of rate, in the order of the catalogue.

use std::sync::Arc;

use super::sheet::{Sheet, by_events, by_span, first_place};
use super::{NO_BEATS, NO_START};
use crate::measure::ectopy::Ectopy;
use crate::measure::{Day, burden, rate};
use crate::model::{EventKind, Proof, Span};

const NO_WINDOW: &str = "no stretch of consecutive intervals is long enough";

/// Worn and readable time.
pub fn readable_time(day: &Day<'_>, time: &burden::ReadableTime, sheet: &mut Sheet) {
    let hours = |samples: i64| day.reading().recording.rate.seconds_from_samples(samples) / 3600.0;
    let holes = Proof::Spans(Arc::from(day.reading().unreadable));
    sheet.number("worn_h", Some(hours(time.worn_samples)), 2, "", Proof::Whole, None);
    sheet.number("readable_h", Some(hours(time.readable_samples)), 2, "", holes.clone(), None);
    let share =
        (time.worn_samples > 0).then(|| 100.0 * time.readable_samples as f64 / time.worn_samples as f64);
    sheet.number("readable_percent", share, 1, "the file holds no samples", holes, None);
    let longest = time.longest_hole.map_or(0, Span::len);
    sheet.number(
        "longest_gap_min",
        Some(60.0 * hours(longest)),
        1,
        "",
        by_span(time.longest_hole),
        time.longest_hole,
    );
}

/// Mean, slowest and fastest rates, and time beyond the limits.
pub fn rates_of(day: &Day<'_>, ectopic: &Ectopy, rates: &rate::MeanRates, sheet: &mut Sheet) {
    sheet.count("beats_total", ectopic.total(), Proof::AllBeats, None);
    sheet.number("mean_bpm", rates.all.mean_bpm(day), 0, NO_BEATS, Proof::AllBeats, None);
    for (key, window, kind) in [
        ("min_bpm", rate::slowest_that_counts(day), EventKind::SlowestRate),
        ("max_bpm", rate::fastest_that_counts(day), EventKind::FastestRate),
    ] {
        let place = window.map(|w| day.span_of_window(&w));
        let proof = proof_at(day, kind, place);
        sheet.number(key, window.map(|w| w.bpm), 0, NO_WINDOW, proof, place);
    }
    by_the_clock(day, rates, sheet);
    for (key, kind) in [("tachy_min", EventKind::Tachycardia), ("brady_min", EventKind::Bradycardia)] {
        let place = first_place(day, &day.events_of(&[kind]));
        sheet.number(key, Some(burden::minutes_of(day, kind)), 1, "", Proof::Kind(kind), place);
    }
    beyond_limits(day, sheet);
}

/// Mean, slowest and fastest rate of the waking hours and of the night.
fn by_the_clock(day: &Day<'_>, rates: &rate::MeanRates, sheet: &mut Sheet) {
    let has_start = day.reading().recording.start.is_some();
    let why = |none: &'static str| if has_start { none } else { NO_START };
    for (key, part) in [("day_mean_bpm", &rates.waking), ("night_mean_bpm", &rates.night)] {
        let value = part.mean_bpm(day).filter(|_| has_start);
        sheet.number(key, value, 0, why("no readable interval in these hours"), Proof::AllBeats, None);
    }
    let (waking, night) = rate::extremes_by_clock(day);
    for (keys, part) in
        [(["day_min_bpm", "day_max_bpm"], waking), (["night_min_bpm", "night_max_bpm"], night)]
    {
        for (key, window) in keys.into_iter().zip(part) {
            let window = window.filter(|_| has_start);
            let place = window.map(|w| day.span_of_window(&w));
            let none = why("no stretch of consecutive intervals in these hours is long enough");
            sheet.number(key, window.map(|w| w.bpm), 0, none, by_span(place), place);
        }
    }
}

/// Time above the fast and below the slow limit, in any rhythm.
fn beyond_limits(day: &Day<'_>, sheet: &mut Sheet) {
    let settings = day.reading().settings;
    let above = rate::time_beyond(day, |bpm| bpm > settings.tachy_bpm);
    let below = rate::time_beyond(day, |bpm| bpm < settings.brady_bpm);
    let proof = |beyond: &rate::Beyond| Proof::Spans(Arc::from(beyond.spans.as_slice()));
    for (key, beyond) in [("above_tachy_percent", &above), ("below_brady_percent", &below)] {
        let share = (beyond.all > 0).then(|| 100.0 * beyond.inside as f64 / beyond.all as f64);
        sheet.number(key, share, 1, NO_WINDOW, proof(beyond), beyond.longest());
    }
    for (key, beyond) in [("above_tachy_min", &above), ("below_brady_min", &below)] {
        let minutes = day.reading().recording.rate.seconds_from_samples(beyond.inside) / 60.0;
        sheet.number(key, (beyond.all > 0).then_some(minutes), 1, NO_WINDOW, proof(beyond), beyond.longest());
    }
}

/// The counting event of `kind` at `place` proves a figure; the stretch itself does when there is no such event.
pub fn proof_at(day: &Day<'_>, kind: EventKind, place: Option<Span>) -> Proof {
    let event = day.events_of(&[kind]).into_iter().find(|i| Some(day.events[*i as usize].span) == place);
    event.map_or_else(|| by_span(place), |i| by_events(&[i]))
}
