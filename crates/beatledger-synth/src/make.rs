//! From a request to a recording in memory and its truth.

use std::sync::Arc;

use beatledger_core::model::{DiaryEntry, EventKind, Identity, Lead, LocalTime, Rate, Recording, Span, Unit};

use crate::count;
use crate::course::Course;
use crate::leads::leads;
use crate::motion::{fakes, lost_spans, unreadable_spans};
use crate::noise::Noise;
use crate::plan::Plan;
use crate::render::{ADC_PER_MV, RAILS, Scene, render};
use crate::request::{Request, Scenario};
use crate::script::plan;
use crate::truth::{BeatKind, Truth, TruthBeat, TruthEvent, TruthLimits};
use crate::walk::{Noted, Placed, Trace, walk};

/// A made day.
#[derive(Clone, Debug)]
pub struct Made {
    /// The recording, as a reader gets it.
    pub recording: Recording,
    /// What is truly in it.
    pub truth: Truth,
}

/// 2024-03-04 08:00 on the recorder's clock: every made day starts then.
const START: LocalTime = LocalTime(19_786 * LocalTime::DAY_MS + 8 * 3_600_000);
/// A rate outside these limits makes an event when it holds for a minute: the defaults of the settings.
pub(crate) const RATE_LIMITS_BPM: (f64, f64) = (50.0, 100.0);
pub(crate) const RATE_HOLDS_S: f64 = 60.0;
/// Atrial fibrillation shorter than this is not reported: the default of the settings.
pub(crate) const AF_MIN_S: f64 = 30.0;

/// Makes a day. Values of the request outside their range are held at its nearest end.
pub fn make(request: &Request) -> Made {
    let request = request.held();
    let plan = plan(&request);
    let rate = Rate::whole_hz(request.rate_hz);
    let samples = request.seconds() * i64::from(request.rate_hz);
    let lost = lost_spans(&plan, request.leads, request.rate_hz);
    let unreadable = unreadable_spans(&lost);
    let dark: Vec<(f64, f64)> = unreadable
        .iter()
        .map(|s| (rate.seconds_from_samples(s.start), rate.seconds_from_samples(s.end)))
        .collect();
    let trace = walk(&plan, request.seed, &dark);
    let lines = draw(&request, &plan, &trace, samples);
    let recording = recording(&request, &plan, samples, lines);
    let truth = truth(&recording, &plan.course, &trace, lost, unreadable);
    Made { recording, truth }
}

fn draw(request: &Request, plan: &Plan, trace: &Trace, samples: i64) -> Vec<Vec<i16>> {
    let quiet = request.scenario == Scenario::Quiet;
    let noise = Noise {
        seed: request.seed,
        rate_hz: f64::from(request.rate_hz),
        course: &plan.course,
        muscle: &plan.muscle,
        wander: &plan.wander,
        mains: &plan.mains,
        lost: &plan.lost,
        white_mv: if quiet { 0.004 } else { 0.006 },
        rest_mv: if quiet { 0.015 } else { 0.03 },
    };
    let vectors = leads(request.scenario, request.leads);
    let deflections = fakes(plan, request.leads, request.seed);
    let scene = Scene {
        leads: &vectors,
        waves: &trace.waves,
        fibrillation: &trace.fibrillation,
        ventricular: &trace.ventricular,
        fakes: &deflections,
        noise,
    };
    render(&scene, usize::try_from(samples).unwrap_or(0))
}

fn recording(request: &Request, plan: &Plan, samples: i64, lines: Vec<Vec<i16>>) -> Recording {
    let rate = Rate::whole_hz(request.rate_hz);
    let leads = leads(request.scenario, request.leads)
        .into_iter()
        .zip(lines)
        .map(|(vector, line)| Lead {
            name: vector.name.to_owned(),
            unit: Unit::Millivolt,
            adc_per_mv: ADC_PER_MV,
            adc_zero: 0.0,
            missing: None,
            rails: Some(RAILS),
            prefilter: "HP:DC".to_owned(),
            samples: Arc::new(line),
        })
        .collect();
    let diary = plan.diary.iter().map(|line| DiaryEntry {
        span: Span::new(rate.samples_from_seconds(line.start_s), rate.samples_from_seconds(line.end_s)),
        kind: line.kind,
        text: line.text.to_owned(),
    });
    Recording {
        name: request.scenario.name().to_owned(),
        format: "made in memory".to_owned(),
        sha256: String::new(),
        identity: Identity {
            name: "Demo Day".to_owned(),
            code: "DEMO-7".to_owned(),
            born: String::new(),
            sex: String::new(),
            recorder: format!(
                "made by beatledger: scenario {}, seed {}",
                request.scenario.name(),
                request.seed
            ),
            remarks: String::new(),
        },
        start: Some(START),
        rate,
        samples,
        segments: vec![Span::new(0, samples)],
        leads,
        others: Vec::new(),
        diary: diary.collect(),
        warnings: Vec::new(),
    }
}

fn truth(
    recording: &Recording,
    course: &Course,
    trace: &Trace,
    lost: Vec<Vec<Span>>,
    unreadable: Vec<Span>,
) -> Truth {
    let mut beats: Vec<TruthBeat> = Vec::with_capacity(trace.beats.len());
    // Beats before the start (there is one, for its T wave) are no beats of the recording.
    let before = trace.beats.partition_point(|b| b.at_s < 0.0);
    for placed in &trace.beats[before..] {
        let sample = recording.rate.samples_from_seconds(placed.at_s);
        let readable = !unreadable.iter().any(|s| s.contains(sample));
        let limits = limits(placed, recording.rate.ms_from_samples(sample));
        beats.push(TruthBeat { sample, class: placed.kind.class(), kind: placed.kind, readable, limits });
    }
    let mut noted: Vec<Noted> = trace
        .events
        .iter()
        .filter(|e| e.first >= before)
        .map(|e| Noted { first: e.first - before, last: e.last - before, ..*e })
        .collect();
    noted.extend(rate_events(&beats, course, recording.rate));
    let at = |s: f64| recording.rate.samples_from_seconds(s);
    let ventricular = trace.ventricular.iter().map(|w| Span::new(at(w.from_s), at(w.until_s))).collect();
    let mut truth = Truth { beats, unreadable, ventricular, lost, ..Truth::default() };
    noted.extend(longest_rr(&truth));
    truth.events = noted.iter().map(|n| event(n, &truth.beats)).collect();
    let without_beats = |kind, span: &Span| event_without_beats(kind, *span, &truth.beats);
    let dark = truth.unreadable.iter().map(|s| without_beats(EventKind::Unreadable, s));
    let waves = truth.ventricular.iter().map(|s| without_beats(EventKind::VentricularFibrillation, s));
    let more: Vec<TruthEvent> = dark.chain(waves).collect();
    truth.events.extend(more);
    let rate = recording.rate;
    for event in &mut truth.events {
        if let Some(rate_bpm) = &mut event.rate_bpm {
            *rate_bpm = (60_000.0 / rate.ms_from_samples(1) / f64::from(*rate_bpm)) as f32;
        }
    }
    truth.events.sort_by_key(|e| (e.span, e.kind));
    truth.figures = count::figures(&truth, recording);
    truth
}

/// Limits of the waves of a beat whose sample lies at `sample_ms`.
fn limits(placed: &Placed, sample_ms: f64) -> TruthLimits {
    let (qrs, t, stretch) = placed.forms;
    let at_ms = 1000.0 * placed.at_s - sample_ms;
    let from = |centre_ms: f64, limits: (f64, f64)| (centre_ms + limits.0, centre_ms + limits.1);
    TruthLimits {
        p_ms: placed.p.map(|(at_s, form)| from(1000.0 * at_s - sample_ms, form.limits_ms())),
        qrs_ms: from(at_ms, qrs.limits_ms()),
        t_off_ms: at_ms + stretch * t.limits_ms().1,
    }
}

/// An event of beats; its rate holds the mean RR in samples until the caller turns it.
fn event(noted: &Noted, beats: &[TruthBeat]) -> TruthEvent {
    let (first, last) = (beats[noted.first].sample, beats[noted.last].sample);
    let intervals = noted.last - noted.first;
    TruthEvent {
        kind: noted.kind,
        span: Span::new(first, last + 1),
        beats: (noted.first as u32, noted.last as u32 + 1),
        rate_bpm: (intervals > 0).then(|| ((last - first) as f64 / intervals as f64) as f32),
        counts: noted.counts,
        note: noted.note,
    }
}

fn event_without_beats(kind: EventKind, span: Span, beats: &[TruthBeat]) -> TruthEvent {
    let at = beats.partition_point(|b| b.sample < span.start) as u32;
    TruthEvent { kind, span, beats: (at, at), rate_bpm: None, counts: true, note: "" }
}

/// Stretches of sinus beats in which the course of the rate lies outside the limits for a minute.
fn rate_events(beats: &[TruthBeat], course: &Course, rate: Rate) -> Vec<Noted> {
    let outside = |beat: &TruthBeat| {
        let (bpm, _) = course.plain_bpm(rate.seconds_from_samples(beat.sample));
        match beat.kind {
            BeatKind::Sinus if bpm > RATE_LIMITS_BPM.1 => Some(EventKind::Tachycardia),
            BeatKind::Sinus if bpm < RATE_LIMITS_BPM.0 => Some(EventKind::Bradycardia),
            _ => None,
        }
    };
    let mut out = Vec::new();
    let mut at = 0;
    while at < beats.len() {
        let kind = outside(&beats[at]);
        let end = at + beats[at..].iter().take_while(|b| outside(b) == kind).count();
        let long = rate.seconds_from_samples(beats[end - 1].sample - beats[at].sample) >= RATE_HOLDS_S;
        if let Some(kind) = kind.filter(|_| long) {
            out.push(Noted { kind, first: at, last: end - 1, counts: true, note: "sinus" });
        }
        at = end;
    }
    out
}

fn longest_rr(truth: &Truth) -> Option<Noted> {
    let (first, _) = count::intervals(truth).max_by_key(|(i, rr)| (*rr, std::cmp::Reverse(*i)))?;
    Some(Noted { kind: EventKind::LongestRr, first, last: first + 1, counts: true, note: "" })
}
