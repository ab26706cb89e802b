//! A query asked of a day.

use beatledger_core::model::{BeatClass, LocalTime, Origin};
use beatledger_core::session::Snapshot;
use beatledger_report::values::{date_text, day_clock};
use chrono::{DateTime, NaiveDate};

use super::query::{Compare, EventWord, Query, parse};
use super::words::{DateWord, Field};
use crate::app::derived::Derived;

/// What find gives.
#[derive(Clone, Debug, PartialEq)]
pub enum Answer {
    /// Samples of beats.
    Beats(Vec<i64>),
    /// Indices of events.
    Events(Vec<u32>),
    /// A place to go to.
    Place(i64),
}

/// Reads `line` and asks it of the day; an error is one sentence. A clock time that comes more than once
/// is the next one after `place`.
pub fn answer(line: &str, snapshot: &Snapshot, derived: &Derived, place: i64) -> Result<Answer, String> {
    let query = parse(line)?;
    if query.date.is_some() && date_at(snapshot, 0).is_none() {
        return Err("This recording has no date; say a clock time alone.".to_owned());
    }
    if let (Some(date), true) = (query.date, query.is_place()) {
        return date_place(snapshot, date, query.clock).map(Answer::Place);
    }
    if let Some(ms) = query.clock {
        return clock_place(snapshot, ms, place).map(Answer::Place);
    }
    if let Some(EventWord::Kinds(kinds)) = &query.events {
        let hits = (0..snapshot.events.len() as u32).filter(|i| {
            let event = &snapshot.events[*i as usize];
            (kinds.is_empty() || kinds.contains(&event.kind))
                && query.state.is_none_or(|s| s == event.state)
                && (!query.critical || event.critical)
                && in_time(&query, snapshot, event.span.start)
        });
        return Ok(Answer::Events(hits.collect()));
    }
    let beats = (0..snapshot.beats.len())
        .filter(|i| beat_matches(&query, snapshot, derived, *i))
        .map(|i| snapshot.beats[i].sample);
    Ok(Answer::Beats(beats.collect()))
}

fn beat_matches(query: &Query, snapshot: &Snapshot, derived: &Derived, i: usize) -> bool {
    let beat = &snapshot.beats[i];
    (query.classes.is_empty() || query.classes.contains(&beat.class))
        && query.changed.is_none_or(|c| c == (beat.origin == Origin::Reader))
        && query.group.is_none_or(|g| beat.group == g - 1)
        && query.compares.iter().all(|c| compare_holds(c, snapshot, derived, i))
        && in_time(query, snapshot, beat.sample)
}

/// A property that a beat does not have passes no comparison.
fn compare_holds(compare: &Compare, snapshot: &Snapshot, derived: &Derived, i: usize) -> bool {
    let beat = &snapshot.beats[i];
    let rr = derived.rr_ms.get(i).map(|x| f64::from(*x)).filter(|x| x.is_finite());
    let value = match compare.field {
        Field::Coupling => rr.filter(|_| beat.class != BeatClass::N),
        Field::Rr => rr,
        Field::Rate => rr.filter(|x| *x > 0.0).map(|x| 60_000.0 / x),
        Field::Confidence => Some(f64::from(beat.confidence)),
        Field::Width => beat.evidence.width_ms.map(f64::from),
    };
    value.is_some_and(|x| compare.holds(x))
}

/// Elapsed time stands in for the clock when the start is unknown.
fn ms_of_day(snapshot: &Snapshot, sample: i64) -> i64 {
    let recording = &snapshot.recording;
    let elapsed = LocalTime(recording.rate.ms_from_samples(sample).round() as i64);
    recording.local_time(sample).unwrap_or(elapsed).ms_of_day()
}

fn in_time(query: &Query, snapshot: &Snapshot, sample: i64) -> bool {
    if query.date.is_some_and(|date| date_at(snapshot, sample).is_none_or(|at| !date.is(at))) {
        return false;
    }
    if query.night.is_none() && query.between.is_none() {
        return true;
    }
    let ms = ms_of_day(snapshot, sample);
    let hour_ms = |hours: f64| (hours * 3_600_000.0) as i64;
    let night = (hour_ms(snapshot.settings.night_from_h), hour_ms(snapshot.settings.night_to_h));
    query.night.is_none_or(|n| n == within(ms, night)) && query.between.is_none_or(|b| within(ms, b))
}

/// True when `ms` lies from `from` to before `to`, over midnight when `to` is earlier.
fn within(ms: i64, (from, to): (i64, i64)) -> bool {
    if from <= to { (from..to).contains(&ms) } else { ms >= from || ms < to }
}

/// The date at a sample, where it is known.
fn date_at(snapshot: &Snapshot, sample: i64) -> Option<NaiveDate> {
    let time = snapshot.recording.local_time(sample)?;
    Some(DateTime::from_timestamp_millis(time.0)?.date_naive())
}

/// The clock time on a date, or where that date begins in the recording.
fn date_place(snapshot: &Snapshot, date: DateWord, clock: Option<i64>) -> Result<i64, String> {
    let recording = &snapshot.recording;
    let first = ms_of_day(snapshot, 0);
    let days = recording.rate.ms_from_samples(recording.samples) as i64 / LocalTime::DAY_MS + 1;
    // Midnight of each date that the recording touches, then the time asked for, not before the first sample.
    let mut samples = (0..=days).map(|day| {
        let midnight = day * LocalTime::DAY_MS - first;
        (
            recording.rate.samples_from_ms((midnight + LocalTime::DAY_MS / 2) as f64),
            midnight + clock.unwrap_or(0),
        )
    });
    let found = samples.find(|(noon, _)| date_at(snapshot, *noon).is_some_and(|at| date.is(at)));
    let sample = found.map(|(_, at)| recording.rate.samples_from_ms(at as f64));
    let sample = sample.map(|s| if clock.is_none() { s.max(0) } else { s });
    sample.filter(|s| recording.whole().contains(*s)).ok_or_else(|| {
        let (from, to) = (local_words(snapshot, 0), local_words(snapshot, recording.samples));
        format!("That is not in this recording, which runs from {from} to {to}.")
    })
}

/// Date and clock at a sample.
fn local_words(snapshot: &Snapshot, sample: i64) -> String {
    let time = snapshot.recording.local_time(sample);
    time.map_or_else(|| snapshot.recording.clock(sample), |t| format!("{} {}", date_text(t), t.clock()))
}

fn clock_place(snapshot: &Snapshot, ms: i64, place: i64) -> Result<i64, String> {
    let recording = &snapshot.recording;
    let start = ms_of_day(snapshot, 0);
    let first = (ms - start).rem_euclid(LocalTime::DAY_MS);
    let sample_of = |at: i64| recording.rate.samples_from_ms(at as f64);
    let days = recording.rate.ms_from_samples(recording.samples) as i64 / LocalTime::DAY_MS;
    let places: Vec<i64> = (0..=days)
        .map(|d| sample_of(first + d * LocalTime::DAY_MS))
        .filter(|s| recording.whole().contains(*s))
        .collect();
    places.iter().find(|s| **s > place).or(places.first()).copied().ok_or_else(|| {
        let asked = LocalTime(ms).clock();
        let (from, to) = (day_clock(recording, 0), day_clock(recording, recording.samples));
        format!("{asked} is not in this recording, which runs from {from} to {to}.")
    })
}
