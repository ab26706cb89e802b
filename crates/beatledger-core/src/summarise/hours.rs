//! One row a clock hour, and the day as their sum.
//!
//! An interval, a window or an event belongs to the hour in which it begins, so that nothing counts twice and
//! the hours add up to the day. Without a start time the hours are elapsed ones.

use crate::measure::day::inside_one;
use crate::measure::ectopy::Ectopy;
use crate::measure::rate::Intervals;
use crate::measure::{Day, burden};
use crate::model::{BeatClass, DayRow, EventKind, HourRow, LocalTime, Recording, Span};

const HOUR_MS: i64 = 3_600_000;

/// The rows of the hours, in order, and of the day.
pub fn hours(day: &Day<'_>, ectopic: &Ectopy) -> (Vec<HourRow>, DayRow) {
    let spans = clock_hours(day.reading().recording);
    let mut total = HourRow { span: Some(day.reading().recording.whole()), ..HourRow::default() };
    let mut rows: Vec<HourRow> =
        spans.iter().map(|s| HourRow { span: Some(*s), ..HourRow::default() }).collect();
    if rows.is_empty() {
        return (rows, total);
    }
    // The row of a sample; an event that a reader placed outside the recording goes to the nearest row.
    let of = |sample: i64| spans.partition_point(|s| s.start <= sample).max(1) - 1;
    count_beats(day, ectopic, &of, &mut rows);
    count_events(day, &of, &mut rows);
    find_extremes(day, &spans, &mut rows);
    let means = mean_rates(day, &spans, &mut rows);
    for (row, span) in rows.iter_mut().zip(&spans) {
        times(day, *span, row);
        add(&mut total, row);
    }
    times(day, day.reading().recording.whole(), &mut total);
    total.mean_bpm = means.mean_bpm(day);
    (rows, total)
}

fn times(day: &Day<'_>, span: Span, row: &mut HourRow) {
    let rate = day.reading().recording.rate;
    row.readable_s = rate.seconds_from_samples(day.reading().readable_samples(span));
    row.af_s = rate.seconds_from_samples(burden::fibrillation_samples(day, span));
}

fn count_beats(day: &Day<'_>, singles: &Ectopy, of: &impl Fn(i64) -> usize, rows: &mut [HourRow]) {
    let samples = &day.columns.samples;
    for row in rows.iter_mut() {
        let Some(span) = row.span else { continue };
        let range = day.reading().beats_in(span);
        row.beats = range.len() as u64;
        let of_class =
            |class| day.columns.classes[range.clone()].iter().filter(|c| **c == class).count() as u64;
        row.v_beats = of_class(BeatClass::V);
        row.s_beats = of_class(BeatClass::S);
    }
    singles.v_singles.iter().for_each(|i| rows[of(samples[*i as usize])].v_singles += 1);
    singles.s_singles.iter().for_each(|i| rows[of(samples[*i as usize])].s_singles += 1);
}

fn count_events(day: &Day<'_>, of: &impl Fn(i64) -> usize, rows: &mut [HourRow]) {
    for event in day.events.iter().filter(|e| e.counts()) {
        let row = &mut rows[of(event.span.start)];
        match event.kind {
            EventKind::VentricularTachycardia | EventKind::IdioventricularRun => row.v_runs += 1,
            EventKind::VentricularCouplet => row.v_couplets += 1,
            EventKind::SupraventricularRun => row.s_runs += 1,
            EventKind::SupraventricularCouplet => row.s_couplets += 1,
            EventKind::Pause => row.pauses += 1,
            _ => {}
        }
    }
}

/// Slowest and fastest window and longest interval of each hour, those that a reader dropped left out.
fn find_extremes(day: &Day<'_>, spans: &[Span], rows: &mut [HourRow]) {
    let columns = &day.columns;
    let (slow, fast) = (day.dropped_of(&[EventKind::SlowestRate]), day.dropped_of(&[EventKind::FastestRate]));
    let mut at = 0;
    for window in &day.windows {
        advance(spans, &mut at, columns.samples[window.first]);
        let row = &mut rows[at];
        let span = day.span_of_window(window);
        if row.min_bpm.is_none_or(|min| window.bpm < min) && !inside_one(&slow, span) {
            (row.min_bpm, row.min_place) = (Some(window.bpm), Some(span));
        }
        if row.max_bpm.is_none_or(|max| window.bpm > max) && !inside_one(&fast, span) {
            (row.max_bpm, row.max_place) = (Some(window.bpm), Some(span));
        }
    }
    let long = day.dropped_of(&[EventKind::LongestRr, EventKind::Pause]);
    let mut at = 0;
    for i in (1..columns.len()).filter(|i| columns.joined(*i)) {
        advance(spans, &mut at, columns.samples[i - 1]);
        let row = &mut rows[at];
        let ms = f64::from(columns.rr_ms[i]);
        let span = day.span_of_beats(i - 1, i);
        if row.longest_rr_ms.is_none_or(|max| ms > max) && !inside_one(&long, span) {
            (row.longest_rr_ms, row.longest_rr_place) = (Some(ms), Some(span));
        }
    }
}

/// Moves `at` on to the row of a sample; samples come in rising order.
fn advance(spans: &[Span], at: &mut usize, sample: i64) {
    while spans.get(*at + 1).is_some_and(|next| next.start <= sample) {
        *at += 1;
    }
}

/// Mean rate of each hour; gives the intervals of all hours together.
fn mean_rates(day: &Day<'_>, spans: &[Span], rows: &mut [HourRow]) -> Intervals {
    let columns = &day.columns;
    let mut means = vec![Intervals::default(); rows.len()];
    let mut all = Intervals::default();
    let mut at = 0;
    for i in (1..columns.len()).filter(|i| columns.joined(*i)) {
        let samples = columns.samples[i] - columns.samples[i - 1];
        advance(spans, &mut at, columns.samples[i - 1]);
        means[at].add(samples);
        all.add(samples);
    }
    for (row, mean) in rows.iter_mut().zip(&means) {
        row.mean_bpm = mean.mean_bpm(day);
    }
    all
}

/// Adds the counts of an hour to the day and keeps the extremes.
fn add(day: &mut DayRow, hour: &HourRow) {
    day.beats += hour.beats;
    day.s_beats += hour.s_beats;
    day.s_singles += hour.s_singles;
    day.s_couplets += hour.s_couplets;
    day.s_runs += hour.s_runs;
    day.v_beats += hour.v_beats;
    day.v_singles += hour.v_singles;
    day.v_couplets += hour.v_couplets;
    day.v_runs += hour.v_runs;
    day.pauses += hour.pauses;
    let is_beyond = |new: Option<f64>, old: Option<f64>, sign: f64| {
        new.is_some_and(|new| old.is_none_or(|old| sign * new > sign * old))
    };
    if is_beyond(hour.min_bpm, day.min_bpm, -1.0) {
        (day.min_bpm, day.min_place) = (hour.min_bpm, hour.min_place);
    }
    if is_beyond(hour.max_bpm, day.max_bpm, 1.0) {
        (day.max_bpm, day.max_place) = (hour.max_bpm, hour.max_place);
    }
    if is_beyond(hour.longest_rr_ms, day.longest_rr_ms, 1.0) {
        (day.longest_rr_ms, day.longest_rr_place) = (hour.longest_rr_ms, hour.longest_rr_place);
    }
}

/// The clock hours of a recording, cut to it; elapsed hours without a start time.
pub fn clock_hours(recording: &Recording) -> Vec<Span> {
    let into_hour_ms = recording.start.map_or(0, |LocalTime(ms)| ms.rem_euclid(HOUR_MS));
    let mut spans = Vec::new();
    let (mut at, mut hour) = (0, 1);
    while at < recording.samples {
        // The first sample whose clock shows the next hour.
        let next_ms = (hour * HOUR_MS - into_hour_ms) as f64;
        let next = (next_ms / 1000.0 * recording.rate.hz()).ceil() as i64;
        spans.push(Span::new(at, next.min(recording.samples)));
        at = next.max(at + 1);
        hour += 1;
    }
    spans
}
