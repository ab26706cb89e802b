//! Figures of readable time and of rate, in the order of the catalogue.

use std::sync::Arc;

use super::figure_list::{FigureList, by_events, by_span, first_place};
use super::reasons::{NO_BEATS, NO_START};
use crate::measure::ectopy::Ectopy;
use crate::measure::{Day, burden, rate};
use crate::model::{EventKind, FigureId, Proof, Span};

const NO_WINDOW: &str = "no stretch of consecutive intervals is long enough";

/// Worn and readable time.
pub fn readable_time(day: &Day<'_>, time: &burden::ReadableTime, list: &mut FigureList) {
    let hours = |samples: i64| day.reading().recording.rate.seconds_from_samples(samples) / 3600.0;
    let holes = Proof::Spans(Arc::from(day.reading().unreadable));
    list.number(FigureId::WornH, Some(hours(time.worn_samples)), "", Proof::Whole, None);
    list.number(FigureId::ReadableH, Some(hours(time.readable_samples)), "", holes.clone(), None);
    let share =
        (time.worn_samples > 0).then(|| 100.0 * time.readable_samples as f64 / time.worn_samples as f64);
    list.number(FigureId::ReadablePercent, share, "the file holds no samples", holes, None);
    let longest = time.longest_hole.map_or(0, Span::len);
    list.number(
        FigureId::LongestGapMin,
        Some(60.0 * hours(longest)),
        "",
        by_span(time.longest_hole),
        time.longest_hole,
    );
}

/// Mean, slowest and fastest rates, and time beyond the limits.
pub fn rates_of(day: &Day<'_>, ectopic: &Ectopy, rates: &rate::MeanRates, list: &mut FigureList) {
    list.count(FigureId::BeatsTotal, ectopic.total(), Proof::AllBeats, None);
    list.number(FigureId::MeanBpm, rates.all.mean_bpm(day), NO_BEATS, Proof::AllBeats, None);
    for (id, window, kind) in [
        (FigureId::MinBpm, rate::slowest_that_counts(day), EventKind::SlowestRate),
        (FigureId::MaxBpm, rate::fastest_that_counts(day), EventKind::FastestRate),
    ] {
        let place = window.map(|w| day.span_of_window(&w));
        let proof = proof_at(day, kind, place);
        list.number(id, window.map(|w| w.bpm), NO_WINDOW, proof, place);
    }
    by_the_clock(day, rates, list);
    for (id, kind) in [
        (FigureId::TachyMin, EventKind::Tachycardia),
        (FigureId::RegularTachyMin, EventKind::RegularTachycardia),
        (FigureId::BradyMin, EventKind::Bradycardia),
    ] {
        let place = first_place(day, &day.events_of(&[kind]));
        list.number(id, Some(burden::minutes_of(day, kind)), "", Proof::Kind(kind), place);
    }
    beyond_limits(day, list);
}

/// Mean, slowest and fastest rate of the waking hours and of the night.
fn by_the_clock(day: &Day<'_>, rates: &rate::MeanRates, list: &mut FigureList) {
    let has_start = day.reading().recording.start.is_some();
    let why = |none: &'static str| if has_start { none } else { NO_START };
    for (id, part) in [(FigureId::DayMeanBpm, &rates.waking), (FigureId::NightMeanBpm, &rates.night)] {
        let value = part.mean_bpm(day).filter(|_| has_start);
        list.number(id, value, why("no readable interval in these hours"), Proof::AllBeats, None);
    }
    let (waking, night) = rate::extremes_by_clock(day);
    for (ids, part) in [
        ([FigureId::DayMinBpm, FigureId::DayMaxBpm], waking),
        ([FigureId::NightMinBpm, FigureId::NightMaxBpm], night),
    ] {
        for (id, window) in ids.into_iter().zip(part) {
            let window = window.filter(|_| has_start);
            let place = window.map(|w| day.span_of_window(&w));
            let none = why("no stretch of consecutive intervals in these hours is long enough");
            list.number(id, window.map(|w| w.bpm), none, by_span(place), place);
        }
    }
}

/// Time above the fast and below the slow limit, in any rhythm.
fn beyond_limits(day: &Day<'_>, list: &mut FigureList) {
    let settings = day.reading().settings;
    let above = rate::time_beyond(day, |bpm| bpm > settings.tachy_bpm);
    let below = rate::time_beyond(day, |bpm| bpm < settings.brady_bpm);
    let proof = |beyond: &rate::Beyond| Proof::Spans(Arc::from(beyond.spans.as_slice()));
    for (id, beyond) in [(FigureId::AboveTachyPercent, &above), (FigureId::BelowBradyPercent, &below)] {
        let share = (beyond.all > 0).then(|| 100.0 * beyond.inside as f64 / beyond.all as f64);
        list.number(id, share, NO_WINDOW, proof(beyond), beyond.longest());
    }
    for (id, beyond) in [(FigureId::AboveTachyMin, &above), (FigureId::BelowBradyMin, &below)] {
        let minutes = day.reading().recording.rate.seconds_from_samples(beyond.inside) / 60.0;
        list.number(id, (beyond.all > 0).then_some(minutes), NO_WINDOW, proof(beyond), beyond.longest());
    }
}

/// The counting event of `kind` at `place` proves a figure; the stretch itself does when there is no such event.
pub fn proof_at(day: &Day<'_>, kind: EventKind, place: Option<Span>) -> Proof {
    let event = day.events_of(&[kind]).into_iter().find(|i| Some(day.events[*i as usize].span) == place);
    event.map_or_else(|| by_span(place), |i| by_events(&[i]))
}
