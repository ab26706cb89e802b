//! Values, proofs and places of all figures, a function a family, in the order of the catalogue.

use std::sync::Arc;

use super::rows::Rows;
use super::sheet::{Sheet, by_events, by_span, first_place};
use super::{heart, waves};
use crate::measure::ectopy::{Ectopy, fastest_run, longest_run};
use crate::measure::intervals::Intervals;
use crate::measure::{Day, burden, premature, rate};
use crate::model::{BeatClass, Event, EventKind, Figure, Proof, RrCause, Span};

const NO_BEATS: &str = "no readable interval between two beats";
const NO_START: &str = "the recording has no start time";
const V_RUNS: [EventKind; 2] = [EventKind::VentricularTachycardia, EventKind::IdioventricularRun];

/// All figures of a day.
pub fn figures(day: &Day<'_>, ectopic: &Ectopy, rows: &Rows) -> Vec<Figure> {
    let mut sheet = Sheet::default();
    let readable = burden::readable_time(day);
    let rates = rate::mean_rates(day);
    let share = 100.0 * readable.readable_samples as f64 / readable.worn_samples.max(1) as f64;
    let rest_on_time = |sheet: &mut Sheet| {
        sheet.rest_on((readable.worn_samples > 0).then_some(share), "of recorded time readable")
    };
    rest_on_time(&mut sheet);
    readable_time(day, &readable, &mut sheet);
    rates_of(day, ectopic, &rates, &mut sheet);
    let hours = day.reading().recording.rate.seconds_from_samples(readable.readable_samples) / 3600.0;
    ventricular(day, ectopic, hours, &mut sheet);
    supraventricular(day, ectopic, hours, &mut sheet);
    timing(day, &rows.intervals, &mut sheet);
    rhythm(day, readable.readable_samples, &mut sheet);
    pauses_of(day, rows, &mut sheet);
    heart::variability_of(day, &rows.normal, &mut sheet);
    rest_on_time(&mut sheet);
    heart::intervals_of(day, &rows.intervals, &rows.conduction, &mut sheet);
    waves::st_of(rows, &mut sheet);
    waves::alternans_of(rows, &mut sheet);
    rest_on_time(&mut sheet);
    waves::symptoms_of(rows, &mut sheet);
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
    let beyond = [
        (rate::time_beyond(day, |bpm| bpm > settings.tachy_bpm), EventKind::Tachycardia),
        (rate::time_beyond(day, |bpm| bpm < settings.brady_bpm), EventKind::Bradycardia),
    ];
    let reason = "no stretch of consecutive intervals is long enough";
    for (key, ((inside, all), kind)) in ["above_tachy_percent", "below_brady_percent"].into_iter().zip(beyond)
    {
        let share = (all > 0).then(|| 100.0 * inside as f64 / all as f64);
        sheet.number(key, share, 1, reason, Proof::Kind(kind), None);
    }
    for (key, ((inside, all), kind)) in ["above_tachy_min", "below_brady_min"].into_iter().zip(beyond) {
        let minutes = day.reading().recording.rate.seconds_from_samples(inside) / 60.0;
        sheet.number(key, (all > 0).then_some(minutes), 1, reason, Proof::Kind(kind), None);
    }
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

/// Beats of a class per readable hour.
fn per_hour(ectopic: &Ectopy, key: &'static str, class: BeatClass, hours: f64, sheet: &mut Sheet) {
    let rate = (hours > 0.0).then(|| ectopic.of(class) as f64 / hours);
    sheet.number(key, rate, 1, "no readable time", Proof::Class(class), None);
}

/// V and F beats inside the counting events of `kind`.
fn beats_inside(day: &Day<'_>, key: &'static str, kind: EventKind, sheet: &mut Sheet) {
    let events = day.events_of(&[kind]);
    let ranges = events.iter().map(|i| {
        let beats = day.events[*i as usize].beats;
        beats.0 as usize..beats.1 as usize
    });
    let inside = day.columns.marks(ranges);
    let beats: Vec<u32> = (0..inside.len())
        .filter(|i| inside[*i] && day.columns.is_ventricular(*i))
        .map(|i| i as u32)
        .collect();
    singles(day, key, &beats, sheet);
}

fn ventricular(day: &Day<'_>, ectopic: &Ectopy, hours: f64, sheet: &mut Sheet) {
    class(day, ectopic, "v_beats", BeatClass::V, sheet);
    percent(ectopic, "v_percent", BeatClass::V, sheet);
    per_hour(ectopic, "v_per_hour", BeatClass::V, hours, sheet);
    singles(day, "v_singles", &ectopic.v_singles, sheet);
    sheet.events("v_couplets", day, EventKind::VentricularCouplet);
    let runs = day.events_of(&V_RUNS);
    sheet.count("v_runs", runs.len() as u64, by_events(&runs), first_place(day, &runs));
    let keys = ["v_longest_run_beats", "v_fastest_run_bpm"];
    run_extremes(day, keys, &runs, "no ventricular run", sheet);
    sheet.events("v_bigeminy_episodes", day, EventKind::VentricularBigeminy);
    sheet.events("v_trigeminy_episodes", day, EventKind::VentricularTrigeminy);
    beats_inside(day, "v_bigeminy_beats", EventKind::VentricularBigeminy, sheet);
    beats_inside(day, "v_trigeminy_beats", EventKind::VentricularTrigeminy, sheet);
    class(day, ectopic, "f_beats", BeatClass::F, sheet);
}

fn supraventricular(day: &Day<'_>, ectopic: &Ectopy, hours: f64, sheet: &mut Sheet) {
    class(day, ectopic, "s_beats", BeatClass::S, sheet);
    percent(ectopic, "s_percent", BeatClass::S, sheet);
    per_hour(ectopic, "s_per_hour", BeatClass::S, hours, sheet);
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
    sheet.number("v_coupling_sd_ms", coupling.sd_ms, 0, few, proof.clone(), None);
    sheet.number("v_coupling_min_ms", coupling.range_ms.map(|r| r.0), 0, none, proof.clone(), None);
    sheet.number("v_coupling_max_ms", coupling.range_ms.map(|r| r.1), 0, none, proof, None);
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
    sheet.number("af_longest_min", Some(longest_min), 1, "", proof.clone(), longest);
    let none = "no readable interval in atrial fibrillation";
    sheet.number("af_mean_bpm", rate::fibrillation_bpm(day), 0, none, proof, longest);
    sheet.events("dropped_candidates", day, EventKind::DroppedBeatCandidate);
}

fn pauses_of(day: &Day<'_>, rows: &Rows, sheet: &mut Sheet) {
    sheet.events("pauses", day, EventKind::Pause);
    for (key, setting) in [("pauses_middle", "pause_middle_ms"), ("pauses_critical", "critical_pause_ms")] {
        let tier = rows.pause_tiers.iter().find(|t| t.setting == setting);
        let events = tier.map_or(&[][..], |t| &t.events);
        sheet.count(key, events.len() as u64, by_events(events), first_place(day, events));
    }
    for longest in &rows.longest_rr {
        let (key, reason) = match longest.cause {
            None => ("longest_rr_ms", NO_BEATS),
            Some(RrCause::Sinus) => ("longest_rr_sinus_ms", "no readable interval in sinus rhythm"),
            Some(RrCause::AfterEctopy) => ("longest_rr_ectopy_ms", "no readable interval after ectopy"),
            Some(RrCause::Fibrillation) => {
                ("longest_rr_af_ms", "no readable interval in atrial fibrillation")
            }
        };
        let proof = match longest.cause {
            None => proof_at(day, EventKind::LongestRr, longest.place),
            Some(_) => by_span(longest.place),
        };
        sheet.number(key, longest.ms, 0, reason, proof, longest.place);
    }
}
