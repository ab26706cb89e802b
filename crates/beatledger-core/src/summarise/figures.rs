//! Values, proofs and places of all figures, a function a family, in the order of the catalogue.

use std::sync::Arc;

use super::heart;
use super::sheet::{Sheet, by_events, by_span, first_place};
use crate::measure::ectopy::{Ectopy, fastest_run, longest_run};
use crate::measure::intervals::{Intervals, intervals};
use crate::measure::{Day, burden, day::inside_one, premature, rate};
use crate::model::{BeatClass, Event, EventKind, Figure, Proof, Span};
use crate::rhythm::pauses;

const NO_BEATS: &str = "no readable interval between two beats";
const NO_START: &str = "the recording has no start time";
const V_RUNS: [EventKind; 2] = [EventKind::VentricularTachycardia, EventKind::IdioventricularRun];

/// All figures of a day.
pub fn figures(day: &Day<'_>, ectopic: &Ectopy) -> Vec<Figure> {
    let mut sheet = Sheet::default();
    let readable = burden::readable_time(day);
    let rates = rate::mean_rates(day);
    readable_time(day, &readable, &mut sheet);
    rates_of(day, ectopic, &rates, &mut sheet);
    ventricular(day, ectopic, &mut sheet);
    supraventricular(day, ectopic, &mut sheet);
    let waves = intervals(day);
    timing(day, &waves, &mut sheet);
    rhythm(day, readable.readable_samples, &mut sheet);
    pauses_of(day, &mut sheet);
    heart::variability_of(day, rates.all.count, readable.readable_samples, &mut sheet);
    heart::intervals_of(day, &waves, &mut sheet);
    sheet.into_figures()
}

fn readable_time(day: &Day<'_>, time: &burden::ReadableTime, sheet: &mut Sheet) {
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

fn rates_of(day: &Day<'_>, ectopic: &Ectopy, rates: &rate::MeanRates, sheet: &mut Sheet) {
    sheet.count("beats_total", ectopic.total(), Proof::AllBeats, None);
    sheet.number("mean_bpm", rates.all.mean_bpm(day), 0, NO_BEATS, Proof::AllBeats, None);
    let reason = "no stretch of consecutive intervals is long enough";
    for (key, window, kind) in [
        ("min_bpm", rate::slowest_that_counts(day), EventKind::SlowestRate),
        ("max_bpm", rate::fastest_that_counts(day), EventKind::FastestRate),
    ] {
        let place = window.map(|w| day.span_of_window(&w));
        let proof = proof_at(day, kind, place);
        sheet.number(key, window.map(|w| w.bpm), 0, reason, proof, place);
    }
    let has_start = day.reading().recording.start.is_some();
    for (key, part) in [("day_mean_bpm", &rates.waking), ("night_mean_bpm", &rates.night)] {
        let value = part.mean_bpm(day).filter(|_| has_start);
        let reason = if has_start { "no readable interval in these hours" } else { NO_START };
        sheet.number(key, value, 0, reason, Proof::AllBeats, None);
    }
    for (key, kind) in [("tachy_min", EventKind::Tachycardia), ("brady_min", EventKind::Bradycardia)] {
        let place = first_place(day, &day.events_of(&[kind]));
        sheet.number(key, Some(burden::minutes_of(day, kind)), 1, "", Proof::Kind(kind), place);
    }
    let settings = day.reading().settings;
    let (fast, slow) = (
        rate::share_beyond(day, |bpm| bpm > settings.tachy_bpm),
        rate::share_beyond(day, |bpm| bpm < settings.brady_bpm),
    );
    let reason = "no stretch of consecutive intervals is long enough";
    sheet.number("above_tachy_percent", fast, 1, reason, Proof::Kind(EventKind::Tachycardia), None);
    sheet.number("below_brady_percent", slow, 1, reason, Proof::Kind(EventKind::Bradycardia), None);
}

/// The counting event of `kind` at `place` proves a figure; the stretch itself does when there is no such event.
fn proof_at(day: &Day<'_>, kind: EventKind, place: Option<Span>) -> Proof {
    let event = day.events_of(&[kind]).into_iter().find(|i| Some(day.events[*i as usize].span) == place);
    event.map_or_else(|| by_span(place), |i| by_events(&[i]))
}

fn class(day: &Day<'_>, ectopic: &Ectopy, key: &'static str, class: BeatClass, sheet: &mut Sheet) {
    let first = day.columns.classes.iter().position(|c| *c == class);
    sheet.count(key, ectopic.of(class), Proof::Class(class), first.map(|i| day.span_of_beats(i, i)));
}

fn percent(ectopic: &Ectopy, key: &'static str, class: BeatClass, sheet: &mut Sheet) {
    let total = ectopic.total();
    let share = (total > 0).then(|| 100.0 * ectopic.of(class) as f64 / total as f64);
    sheet.number(key, share, 2, "no beats", Proof::Class(class), None);
}

fn singles(day: &Day<'_>, key: &'static str, beats: &[u32], sheet: &mut Sheet) {
    let place = beats.first().map(|i| day.span_of_beats(*i as usize, *i as usize));
    sheet.count(key, beats.len() as u64, Proof::Beats(Arc::from(beats)), place);
}

/// Longest and fastest of `runs`.
fn run_extremes(
    day: &Day<'_>,
    keys: [&'static str; 2],
    runs: &[u32],
    reason: &'static str,
    sheet: &mut Sheet,
) {
    let proof = |event: Option<&Event>| {
        let is_it = |i: &&u32| event.is_some_and(|e| std::ptr::eq(e, &day.events[**i as usize]));
        by_events(&runs.iter().find(is_it).copied().into_iter().collect::<Vec<_>>())
    };
    let longest = longest_run(day, runs);
    let beats = longest.map_or(0, |e| u64::from(e.beat_count()));
    sheet.count(keys[0], beats, proof(longest), longest.map(|e| e.span));
    let fastest = fastest_run(day, runs);
    let bpm = fastest.and_then(|e| day.rate_of(e));
    sheet.number(keys[1], bpm, 0, reason, proof(fastest), fastest.map(|e| e.span));
}

fn ventricular(day: &Day<'_>, ectopic: &Ectopy, sheet: &mut Sheet) {
    class(day, ectopic, "v_beats", BeatClass::V, sheet);
    percent(ectopic, "v_percent", BeatClass::V, sheet);
    singles(day, "v_singles", &ectopic.v_singles, sheet);
    sheet.events("v_couplets", day, EventKind::VentricularCouplet);
    let runs = day.events_of(&V_RUNS);
    sheet.count("v_runs", runs.len() as u64, by_events(&runs), first_place(day, &runs));
    let keys = ["v_longest_run_beats", "v_fastest_run_bpm"];
    run_extremes(day, keys, &runs, "no ventricular run", sheet);
    sheet.events("v_bigeminy_episodes", day, EventKind::VentricularBigeminy);
    sheet.events("v_trigeminy_episodes", day, EventKind::VentricularTrigeminy);
    class(day, ectopic, "f_beats", BeatClass::F, sheet);
}

fn supraventricular(day: &Day<'_>, ectopic: &Ectopy, sheet: &mut Sheet) {
    class(day, ectopic, "s_beats", BeatClass::S, sheet);
    percent(ectopic, "s_percent", BeatClass::S, sheet);
    singles(day, "s_singles", &ectopic.s_singles, sheet);
    sheet.events("s_couplets", day, EventKind::SupraventricularCouplet);
    sheet.events("s_runs", day, EventKind::SupraventricularRun);
    let runs = day.events_of(&[EventKind::SupraventricularRun]);
    let keys = ["s_longest_run_beats", "s_fastest_run_bpm"];
    run_extremes(day, keys, &runs, "no supraventricular run", sheet);
    class(day, ectopic, "q_beats", BeatClass::Q, sheet);
}

/// Ectopy by the clock, and when ventricular beats come.
fn timing(day: &Day<'_>, waves: &Intervals, sheet: &mut Sheet) {
    for (keys, class) in [
        (["v_waking_beats", "v_night_beats"], BeatClass::V),
        (["s_waking_beats", "s_night_beats"], BeatClass::S),
    ] {
        match premature::by_day_and_night(day, class) {
            Some((waking, night)) => {
                singles(day, keys[0], &waking, sheet);
                singles(day, keys[1], &night, sheet);
            }
            None => {
                keys.iter().for_each(|key| sheet.number(key, None, 0, NO_START, Proof::Class(class), None))
            }
        }
    }
    let coupling = premature::coupling(day);
    let proof = Proof::Beats(Arc::from(coupling.beats.as_slice()));
    let none = "no ventricular beat follows a normal one outside atrial fibrillation";
    sheet.number("v_coupling_ms", coupling.mean_ms, 0, none, proof.clone(), None);
    let few = "fewer than two ventricular beats follow a normal one outside atrial fibrillation";
    sheet.number("v_coupling_sd_ms", coupling.sd_ms, 0, few, proof, None);
    match premature::r_on_t(day, waves) {
        Some(beats) => singles(day, "v_r_on_t", &beats, sheet),
        None => sheet.number("v_r_on_t", None, 0, heart::NO_QT, Proof::Class(BeatClass::V), None),
    }
    singles(day, "v_interpolated", &premature::interpolated(day), sheet);
}

fn rhythm(day: &Day<'_>, readable_samples: i64, sheet: &mut Sheet) {
    sheet.events("vt_runs", day, EventKind::VentricularTachycardia);
    sheet.events("af_episodes", day, EventKind::AtrialFibrillation);
    let rate = day.reading().recording.rate;
    let in_af = burden::fibrillation_samples(day, day.reading().recording.whole());
    let minutes = |samples: i64| rate.seconds_from_samples(samples) / 60.0;
    let proof = Proof::Kind(EventKind::AtrialFibrillation);
    let longest = day.fibrillation.iter().rev().max_by_key(|s| day.reading().readable_samples(**s)).copied();
    sheet.number("af_min", Some(minutes(in_af)), 1, "", proof.clone(), longest);
    let share = (readable_samples > 0).then(|| 100.0 * in_af as f64 / readable_samples as f64);
    sheet.number("af_percent", share, 1, "no readable time", proof.clone(), longest);
    let longest_min = minutes(longest.map_or(0, |s| day.reading().readable_samples(s)));
    sheet.number("af_longest_min", Some(longest_min), 1, "", proof, longest);
    sheet.events("dropped_candidates", day, EventKind::DroppedBeatCandidate);
}

fn pauses_of(day: &Day<'_>, sheet: &mut Sheet) {
    sheet.events("pauses", day, EventKind::Pause);
    let limit = day.reading().settings.critical_pause_ms;
    let mut critical = day.events_of(&[EventKind::Pause]);
    critical.retain(|i| day.interval_ms(&day.events[*i as usize]) >= limit);
    sheet.count("pauses_critical", critical.len() as u64, by_events(&critical), first_place(day, &critical));
    let longest = longest_interval(day);
    let place = longest.map(|i| day.span_of_beats(i - 1, i));
    let ms = longest.map(|i| f64::from(day.columns.rr_ms[i]));
    let proof = proof_at(day, EventKind::LongestRr, place);
    sheet.number("longest_rr_ms", ms, 0, NO_BEATS, proof, place);
}

/// Index of the beat that ends the longest interval which no dropped pause or longest RR covers.
pub fn longest_interval(day: &Day<'_>) -> Option<usize> {
    let dropped = day.dropped_of(&[EventKind::LongestRr, EventKind::Pause]);
    pauses::longest(&day.columns, |i| !inside_one(&dropped, day.span_of_beats(i - 1, i)))
}
