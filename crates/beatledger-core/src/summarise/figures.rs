//! Values, proofs and places of all figures, a function a family, in the order of the catalogue.

use super::figure_list::{FigureList, by_events, by_span, doubt_of, first_place, singles};
use super::rates::{proof_at, rates_of, readable_time};
use super::reasons::NO_BEATS;
use super::rows::Rows;
use super::{heart, timing, waves};
use crate::measure::day::AF_KINDS;
use crate::measure::ectopy::{Ectopy, fastest_run, longest_run};
use crate::measure::{Day, burden, count_range, rate};
use crate::model::{BeatClass, Doubt, Event, EventKind, Figure, FigureId, Proof, RrCause, Span};

const V_RUNS: [EventKind; 2] = [EventKind::VentricularTachycardia, EventKind::IdioventricularRun];

/// All figures of a day. None looks at another, so that parts of them are made side by side.
pub fn figures(day: &Day<'_>, ectopic: &Ectopy, rows: &Rows) -> Vec<Figure> {
    let readable = burden::readable_time(day);
    let share = 100.0 * readable.readable_samples as f64 / readable.worn_samples.max(1) as f64;
    let rest_on_time = |list: &mut FigureList| {
        list.rest_on((readable.worn_samples > 0).then_some(share), "of recorded time readable")
    };
    let on_time = |fill: &(dyn Fn(&mut FigureList) + Sync)| {
        let mut list = FigureList::default();
        rest_on_time(&mut list);
        fill(&mut list);
        list.into_figures()
    };
    let rates = |list: &mut FigureList| {
        readable_time(day, &readable, list);
        rates_of(day, ectopic, &rate::mean_rates(day), list);
    };
    let ectopy = |list: &mut FigureList| {
        let hours = day.reading().recording.rate.seconds_from_samples(readable.readable_samples) / 3600.0;
        ventricular(day, ectopic, hours, list);
        supraventricular(day, ectopic, hours, list);
        timing::timing(day, &rows.intervals, list);
    };
    let rest = |list: &mut FigureList| {
        rhythm(day, readable.readable_samples, list);
        pauses_of(day, rows, list);
        heart::variability_of(day, &rows.normal, list);
        rest_on_time(list);
        heart::intervals_of(day, &rows.intervals, &rows.conduction, list);
        waves::st_of(day, rows, list);
        waves::alternans_of(rows, list);
        rest_on_time(list);
        waves::symptoms_of(rows, list);
    };
    let (mut all, (ectopy, rest)) =
        rayon::join(|| on_time(&rates), || rayon::join(|| on_time(&ectopy), || on_time(&rest)));
    all.extend(ectopy);
    all.extend(rest);
    all
}

fn class(
    day: &Day<'_>,
    ectopic: &Ectopy,
    id: FigureId,
    class: BeatClass,
    doubt: Option<Doubt>,
    list: &mut FigureList,
) {
    let first = day.columns.classes.iter().position(|c| *c == class);
    list.count(id, ectopic.of(class), Proof::Class(class), first.map(|i| day.span_of_beats(i, i)));
    list.doubt(doubt);
}

fn percent(ectopic: &Ectopy, id: FigureId, class: BeatClass, doubt: &Option<Doubt>, list: &mut FigureList) {
    let total = ectopic.total();
    let share = (total > 0).then(|| 100.0 * ectopic.of(class) as f64 / total as f64);
    list.number(id, share, "no beats", Proof::Class(class), None);
    list.doubt(doubt.as_ref().map(|d| d.times(100.0 / total as f64)));
}

/// Longest and fastest of `runs`.
fn run_extremes(
    day: &Day<'_>,
    ids: [FigureId; 2],
    runs: &[u32],
    reason: &'static str,
    list: &mut FigureList,
) {
    let proof = |event: Option<&Event>| {
        let is_it = |i: &&u32| event.is_some_and(|e| std::ptr::eq(e, &day.events[**i as usize]));
        by_events(&runs.iter().find(is_it).copied().into_iter().collect::<Vec<_>>())
    };
    let longest = longest_run(day, runs);
    let beats = longest.map_or(0, |e| u64::from(e.beat_count()));
    list.count(ids[0], beats, proof(longest), longest.map(|e| e.span));
    let fastest = fastest_run(day, runs);
    let bpm = fastest.and_then(|e| day.rate_of(e));
    list.number(ids[1], bpm, reason, proof(fastest), fastest.map(|e| e.span));
}

/// Beats of a class per readable hour.
fn per_hour(
    ectopic: &Ectopy,
    id: FigureId,
    class: BeatClass,
    hours: f64,
    doubt: &Option<Doubt>,
    list: &mut FigureList,
) {
    let rate = (hours > 0.0).then(|| ectopic.of(class) as f64 / hours);
    list.number(id, rate, "no readable time", Proof::Class(class), None);
    list.doubt(doubt.as_ref().map(|d| d.times(1.0 / hours)));
}

/// Ectopic beats inside the counting events of `kind`.
fn beats_inside(
    day: &Day<'_>,
    id: FigureId,
    kind: EventKind,
    is_ectopic: impl Fn(usize) -> bool,
    list: &mut FigureList,
) {
    let events = day.events_of(&[kind]);
    let ranges = events.iter().map(|i| day.events[*i as usize].beats);
    // A reader may add an event over another: no beat counts twice.
    let mut beats: Vec<u32> = ranges.flat_map(|(from, to)| from..to.min(day.columns.len() as u32)).collect();
    beats.retain(|i| is_ectopic(*i as usize));
    beats.sort_unstable();
    beats.dedup();
    singles(day, id, &beats, list);
}

fn ventricular(day: &Day<'_>, ectopic: &Ectopy, hours: f64, list: &mut FigureList) {
    let doubt = count_range::of_class(day, BeatClass::V);
    class(day, ectopic, FigureId::VBeats, BeatClass::V, doubt.clone(), list);
    percent(ectopic, FigureId::VPercent, BeatClass::V, &doubt, list);
    per_hour(ectopic, FigureId::VPerHour, BeatClass::V, hours, &doubt, list);
    singles(day, FigureId::VSingles, &ectopic.v_singles, list);
    list.events(FigureId::VCouplets, day, EventKind::VentricularCouplet);
    let runs = day.events_of(&V_RUNS);
    list.count(FigureId::VRuns, runs.len() as u64, by_events(&runs), first_place(day, &runs));
    let ids = [FigureId::VLongestRunBeats, FigureId::VFastestRunBpm];
    run_extremes(day, ids, &runs, "no ventricular run", list);
    list.events(FigureId::VBigeminyEpisodes, day, EventKind::VentricularBigeminy);
    list.events(FigureId::VTrigeminyEpisodes, day, EventKind::VentricularTrigeminy);
    let is_v = |i: usize| day.columns.is_ventricular(i);
    beats_inside(day, FigureId::VBigeminyBeats, EventKind::VentricularBigeminy, is_v, list);
    beats_inside(day, FigureId::VTrigeminyBeats, EventKind::VentricularTrigeminy, is_v, list);
    class(day, ectopic, FigureId::FBeats, BeatClass::F, None, list);
}

fn supraventricular(day: &Day<'_>, ectopic: &Ectopy, hours: f64, list: &mut FigureList) {
    let doubt = count_range::of_class(day, BeatClass::S);
    class(day, ectopic, FigureId::SBeats, BeatClass::S, doubt.clone(), list);
    percent(ectopic, FigureId::SPercent, BeatClass::S, &doubt, list);
    per_hour(ectopic, FigureId::SPerHour, BeatClass::S, hours, &doubt, list);
    singles(day, FigureId::SSingles, &ectopic.s_singles, list);
    list.events(FigureId::SCouplets, day, EventKind::SupraventricularCouplet);
    list.events(FigureId::SRuns, day, EventKind::SupraventricularRun);
    let runs = day.events_of(&[EventKind::SupraventricularRun]);
    let ids = [FigureId::SLongestRunBeats, FigureId::SFastestRunBpm];
    run_extremes(day, ids, &runs, "no supraventricular run", list);
    let limit = day.reading().settings.s_run_rate_bpm;
    let is_fast = |i: &u32| day.rate_of(&day.events[*i as usize]).is_some_and(|bpm| bpm > limit);
    let fast: Vec<u32> = runs.iter().copied().filter(is_fast).collect();
    list.count(FigureId::SvtRuns, fast.len() as u64, by_events(&fast), first_place(day, &fast));
    list.events(FigureId::SBigeminyEpisodes, day, EventKind::SupraventricularBigeminy);
    list.events(FigureId::STrigeminyEpisodes, day, EventKind::SupraventricularTrigeminy);
    let is_s = |i: usize| day.columns.classes[i] == BeatClass::S;
    beats_inside(day, FigureId::SBigeminyBeats, EventKind::SupraventricularBigeminy, is_s, list);
    beats_inside(day, FigureId::STrigeminyBeats, EventKind::SupraventricularTrigeminy, is_s, list);
    class(day, ectopic, FigureId::QBeats, BeatClass::Q, None, list);
}

fn rhythm(day: &Day<'_>, readable_samples: i64, list: &mut FigureList) {
    list.events(FigureId::VtRuns, day, EventKind::VentricularTachycardia);
    ventricular_waves(day, list);
    let events = day.events_of(&AF_KINDS);
    list.count(FigureId::AfEpisodes, events.len() as u64, by_events(&events), first_place(day, &events));
    list.doubt(Some(doubt_of(day, &AF_KINDS, &events)));
    let rate = day.reading().recording.rate;
    let in_af = burden::fibrillation_samples(day, day.reading().recording.whole());
    let minutes = |samples: i64| rate.seconds_from_samples(samples) / 60.0;
    let proof = || by_events(&events);
    let longest = day.fibrillation.iter().rev().max_by_key(|s| day.reading().readable_samples(**s)).copied();
    list.number(FigureId::AfMin, Some(minutes(in_af)), "", proof(), longest);
    let share = (readable_samples > 0).then(|| 100.0 * in_af as f64 / readable_samples as f64);
    list.number(FigureId::AfPercent, share, "no readable time", proof(), longest);
    let longest_min = minutes(longest.map_or(0, |s| day.reading().readable_samples(s)));
    list.number(FigureId::AfLongestMin, Some(longest_min), "", proof(), longest);
    let none = "no readable interval in atrial fibrillation";
    list.number(FigureId::AfMeanBpm, rate::fibrillation_bpm(day), none, proof(), longest);
    let flutter = EventKind::AtrialFlutter;
    let place = first_place(day, &day.events_of(&[flutter]));
    list.number(
        FigureId::FlutterMin,
        Some(burden::minutes_of(day, flutter)),
        "",
        Proof::Kind(flutter),
        place,
    );
    list.events(FigureId::DroppedCandidates, day, EventKind::DroppedBeatCandidate);
}

fn ventricular_waves(day: &Day<'_>, list: &mut FigureList) {
    let kind = EventKind::VentricularFibrillation;
    list.events(FigureId::VfEpisodes, day, kind);
    let spans: Vec<Span> = day.events_of(&[kind]).iter().map(|i| day.events[*i as usize].span).collect();
    let seconds = |spans: &[Span]| {
        let samples: i64 = Span::merged(spans.to_vec(), 0).iter().map(|s| s.len()).sum();
        day.reading().recording.rate.seconds_from_samples(samples)
    };
    let longest = spans.iter().rev().max_by_key(|s| s.len()).copied();
    list.number(FigureId::VfS, Some(seconds(&spans)), "", Proof::Kind(kind), longest);
    let longest_s = seconds(longest.as_slice());
    list.number(FigureId::VfLongestS, Some(longest_s), "", by_span(longest), longest);
}

fn pauses_of(day: &Day<'_>, rows: &Rows, list: &mut FigureList) {
    list.events(FigureId::Pauses, day, EventKind::Pause);
    for (id, setting) in
        [(FigureId::PausesMiddle, "pause_middle_ms"), (FigureId::PausesCritical, "critical_pause_ms")]
    {
        let tier = rows.pause_tiers.iter().find(|t| t.setting == setting);
        let events = tier.map_or(&[][..], |t| &t.events);
        list.count(id, events.len() as u64, by_events(events), first_place(day, events));
    }
    for longest in &rows.longest_rr {
        let (id, reason) = match longest.cause {
            None => (FigureId::LongestRrMs, NO_BEATS),
            Some(RrCause::Sinus) => (FigureId::LongestRrSinusMs, "no readable interval in sinus rhythm"),
            Some(RrCause::AfterEctopy) => (FigureId::LongestRrEctopyMs, "no readable interval after ectopy"),
            Some(RrCause::Fibrillation) => {
                (FigureId::LongestRrAfMs, "no readable interval in atrial fibrillation")
            }
        };
        let proof = match longest.cause {
            None => proof_at(day, EventKind::LongestRr, longest.place),
            Some(_) => by_span(longest.place),
        };
        list.number(id, longest.ms, reason, proof, longest.place);
    }
}
