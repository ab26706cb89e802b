//! Values, proofs and places of all figures, a function a family, in the order of the catalogue.

use std::sync::Arc;

use super::rates::{proof_at, rates_of, readable_time};
use super::rows::Rows;
use super::sheet::{Sheet, by_events, by_span, first_place};
use super::{NO_BEATS, heart, timing, waves};
use crate::measure::day::AF_KINDS;
use crate::measure::ectopy::{Ectopy, fastest_run, longest_run};
use crate::measure::{Day, burden, rate};
use crate::model::{BeatClass, Event, EventKind, Figure, Proof, RrCause, Span};

const V_RUNS: [EventKind; 2] = [EventKind::VentricularTachycardia, EventKind::IdioventricularRun];

/// All figures of a day. None looks at another, so that parts of them are made side by side.
pub fn figures(day: &Day<'_>, ectopic: &Ectopy, rows: &Rows) -> Vec<Figure> {
    let readable = burden::readable_time(day);
    let share = 100.0 * readable.readable_samples as f64 / readable.worn_samples.max(1) as f64;
    let rest_on_time = |sheet: &mut Sheet| {
        sheet.rest_on((readable.worn_samples > 0).then_some(share), "of recorded time readable")
    };
    let on_time = |fill: &(dyn Fn(&mut Sheet) + Sync)| {
        let mut sheet = Sheet::default();
        rest_on_time(&mut sheet);
        fill(&mut sheet);
        sheet.into_figures()
    };
    let rates = |sheet: &mut Sheet| {
        readable_time(day, &readable, sheet);
        rates_of(day, ectopic, &rate::mean_rates(day), sheet);
    };
    let ectopy = |sheet: &mut Sheet| {
        let hours = day.reading().recording.rate.seconds_from_samples(readable.readable_samples) / 3600.0;
        ventricular(day, ectopic, hours, sheet);
        supraventricular(day, ectopic, hours, sheet);
        timing::timing(day, &rows.intervals, sheet);
    };
    let rest = |sheet: &mut Sheet| {
        rhythm(day, readable.readable_samples, sheet);
        pauses_of(day, rows, sheet);
        heart::variability_of(day, &rows.normal, sheet);
        rest_on_time(sheet);
        heart::intervals_of(day, &rows.intervals, &rows.conduction, sheet);
        waves::st_of(rows, sheet);
        waves::alternans_of(rows, sheet);
        rest_on_time(sheet);
        waves::symptoms_of(rows, sheet);
    };
    let (mut all, (ectopy, rest)) =
        rayon::join(|| on_time(&rates), || rayon::join(|| on_time(&ectopy), || on_time(&rest)));
    all.extend(ectopy);
    all.extend(rest);
    all
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

pub(super) fn singles(day: &Day<'_>, key: &'static str, beats: &[u32], sheet: &mut Sheet) {
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

/// Ectopic beats inside the counting events of `kind`.
fn beats_inside(
    day: &Day<'_>,
    key: &'static str,
    kind: EventKind,
    is_ectopic: impl Fn(usize) -> bool,
    sheet: &mut Sheet,
) {
    let events = day.events_of(&[kind]);
    let ranges = events.iter().map(|i| day.events[*i as usize].beats);
    // A reader may add an event over another: no beat counts twice.
    let mut beats: Vec<u32> = ranges.flat_map(|(from, to)| from..to.min(day.columns.len() as u32)).collect();
    beats.retain(|i| is_ectopic(*i as usize));
    beats.sort_unstable();
    beats.dedup();
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
    let is_v = |i: usize| day.columns.is_ventricular(i);
    beats_inside(day, "v_bigeminy_beats", EventKind::VentricularBigeminy, is_v, sheet);
    beats_inside(day, "v_trigeminy_beats", EventKind::VentricularTrigeminy, is_v, sheet);
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
    let limit = day.reading().settings.s_run_rate_bpm;
    let is_fast = |i: &u32| day.rate_of(&day.events[*i as usize]).is_some_and(|bpm| bpm > limit);
    let fast: Vec<u32> = runs.iter().copied().filter(is_fast).collect();
    sheet.count("svt_runs", fast.len() as u64, by_events(&fast), first_place(day, &fast));
    sheet.events("s_bigeminy_episodes", day, EventKind::SupraventricularBigeminy);
    sheet.events("s_trigeminy_episodes", day, EventKind::SupraventricularTrigeminy);
    let is_s = |i: usize| day.columns.classes[i] == BeatClass::S;
    beats_inside(day, "s_bigeminy_beats", EventKind::SupraventricularBigeminy, is_s, sheet);
    beats_inside(day, "s_trigeminy_beats", EventKind::SupraventricularTrigeminy, is_s, sheet);
    class(day, ectopic, "q_beats", BeatClass::Q, sheet);
}

fn rhythm(day: &Day<'_>, readable_samples: i64, sheet: &mut Sheet) {
    sheet.events("vt_runs", day, EventKind::VentricularTachycardia);
    ventricular_waves(day, sheet);
    let events = day.events_of(&AF_KINDS);
    sheet.count("af_episodes", events.len() as u64, by_events(&events), first_place(day, &events));
    let rate = day.reading().recording.rate;
    let in_af = burden::fibrillation_samples(day, day.reading().recording.whole());
    let minutes = |samples: i64| rate.seconds_from_samples(samples) / 60.0;
    let proof = || by_events(&events);
    let longest = day.fibrillation.iter().rev().max_by_key(|s| day.reading().readable_samples(**s)).copied();
    sheet.number("af_min", Some(minutes(in_af)), 1, "", proof(), longest);
    let share = (readable_samples > 0).then(|| 100.0 * in_af as f64 / readable_samples as f64);
    sheet.number("af_percent", share, 1, "no readable time", proof(), longest);
    let longest_min = minutes(longest.map_or(0, |s| day.reading().readable_samples(s)));
    sheet.number("af_longest_min", Some(longest_min), 1, "", proof(), longest);
    let none = "no readable interval in atrial fibrillation";
    sheet.number("af_mean_bpm", rate::fibrillation_bpm(day), 0, none, proof(), longest);
    let flutter = EventKind::AtrialFlutter;
    let place = first_place(day, &day.events_of(&[flutter]));
    sheet.number("flutter_min", Some(burden::minutes_of(day, flutter)), 1, "", Proof::Kind(flutter), place);
    sheet.events("dropped_candidates", day, EventKind::DroppedBeatCandidate);
}

fn ventricular_waves(day: &Day<'_>, sheet: &mut Sheet) {
    let kind = EventKind::VentricularFibrillation;
    sheet.events("vf_episodes", day, kind);
    let spans: Vec<Span> = day.events_of(&[kind]).iter().map(|i| day.events[*i as usize].span).collect();
    let seconds = |spans: &[Span]| {
        let samples: i64 = Span::merged(spans.to_vec(), 0).iter().map(|s| s.len()).sum();
        day.reading().recording.rate.seconds_from_samples(samples)
    };
    let longest = spans.iter().rev().max_by_key(|s| s.len()).copied();
    sheet.number("vf_s", Some(seconds(&spans)), 0, "", Proof::Kind(kind), longest);
    let longest_s = seconds(longest.as_slice());
    sheet.number("vf_longest_s", Some(longest_s), 0, "", by_span(longest), longest);
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
