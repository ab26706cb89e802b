//! Strips that belong in the report: the extremes, one of each kind of event, and what the diary says.

use crate::measure::Day;
use crate::model::{DiaryEntry, DiaryKind, Event, EventKind, Span, Strip, StripReason};

/// Length of a strip: 180 mm at 25 mm/s.
const STRIP_S: f64 = 7.2;
/// An event longer than a strip is shown from this long before its onset.
const LEAD_IN_S: f64 = 1.2;

/// Chooses the strips: for each kind, most consequential first, its most telling event; then every symptom
/// and every press of the button.
pub fn strips(day: &Day<'_>, diary: &[DiaryEntry]) -> Vec<Strip> {
    let mut strips = Vec::new();
    for kind in EventKind::ALL.into_iter().filter(|k| *k != EventKind::Unreadable) {
        let found = day.events_of(&[kind]);
        if let Some(index) = found.iter().rev().max_by_key(|i| weight(day, &day.events[**i as usize])) {
            let event = &day.events[*index as usize];
            strips.push(Strip {
                span: place(day, event),
                caption: caption(day, event),
                reason: StripReason::Event(*index),
            });
        }
    }
    for (index, entry) in diary.iter().enumerate() {
        if matches!(entry.kind, DiaryKind::Symptom | DiaryKind::Button) {
            strips.push(Strip {
                span: around(day, entry.span.start),
                caption: diary_caption(entry),
                reason: StripReason::Diary(index as u32),
            });
        }
    }
    strips
}

/// What makes one event of a kind more telling than another: length in beats for runs, then rate; time for the rest.
fn weight(day: &Day<'_>, event: &Event) -> (i64, i64) {
    let rate = (day.rate_of(event).unwrap_or(0.0) * 1000.0) as i64;
    match event.kind {
        EventKind::VentricularTachycardia
        | EventKind::IdioventricularRun
        | EventKind::SupraventricularRun => (i64::from(event.beat_count()), rate),
        EventKind::VentricularCouplet | EventKind::SupraventricularCouplet => (rate, 0),
        _ => (event.span.len(), rate),
    }
}

/// Where the strip lies: centred on a short event, from just before the onset of a long run, in the middle of a
/// long rhythm.
fn place(day: &Day<'_>, event: &Event) -> Span {
    let rate = day.reading().recording.rate;
    let middle = event.span.start + event.span.len() / 2;
    let is_run = matches!(
        event.kind,
        EventKind::VentricularTachycardia
            | EventKind::IdioventricularRun
            | EventKind::SupraventricularRun
            | EventKind::VentricularBigeminy
            | EventKind::VentricularTrigeminy
            | EventKind::SupraventricularBigeminy
            | EventKind::SupraventricularTrigeminy
    );
    if is_run && rate.seconds_from_samples(event.span.len()) > STRIP_S - 2.0 * LEAD_IN_S {
        let half = rate.samples_from_seconds(STRIP_S / 2.0 - LEAD_IN_S);
        return around(day, event.span.start + half);
    }
    around(day, middle)
}

/// A strip around `sample`, moved inside the recording where it would stick out.
fn around(day: &Day<'_>, sample: i64) -> Span {
    let recording = day.reading().recording;
    let length = recording.rate.samples_from_seconds(STRIP_S).min(recording.samples);
    let start = (sample - length / 2).clamp(0, recording.samples - length);
    Span::new(start, start + length)
}

fn caption(day: &Day<'_>, event: &Event) -> String {
    let words = event.kind.words();
    let bpm = day.rate_of(event).map(|bpm| format!("{bpm:.0} bpm"));
    let at = bpm.as_ref().map(|bpm| format!(" at {bpm}")).unwrap_or_default();
    let beats = event.beat_count();
    let text = match event.kind {
        EventKind::Pause | EventKind::LongestRr | EventKind::DroppedBeatCandidate => {
            format!("{words} {:.2} s", day.interval_ms(event) / 1000.0)
        }
        EventKind::SlowestRate | EventKind::FastestRate => {
            let intervals = beats.saturating_sub(1);
            format!("{words} {}, mean of {intervals} RR", bpm.as_deref().unwrap_or("not computable"))
        }
        EventKind::VentricularFibrillation
        | EventKind::AtrialFibrillation
        | EventKind::AtrialFlutter
        | EventKind::Bradycardia
        | EventKind::Tachycardia
        | EventKind::AvBlock1
        | EventKind::AvBlock2To1
        | EventKind::AvBlock3
        | EventKind::RegularTachycardia => {
            format!("{words} {}{at}", duration_words(day.reading().readable_s(event.span)))
        }
        EventKind::ContactUncertain
        | EventKind::StChange
        | EventKind::PositionChange
        | EventKind::PolarityChange => words.to_owned(),
        EventKind::Unreadable => format!("{words} {}", duration_words(day.reading().readable_s(event.span))),
        _ => format!("{words}, {beats} beats{at}"),
    };
    if event.note.is_empty() { text } else { format!("{text}, {}", event.note) }
}

/// A length of time in the largest two units.
fn duration_words(seconds: f64) -> String {
    let s = seconds.round() as i64;
    match s {
        0..60 => format!("{s} s"),
        60..3600 => format!("{} min {} s", s / 60, s % 60),
        _ => format!("{} h {} min", s / 3600, s / 60 % 60),
    }
}

fn diary_caption(entry: &DiaryEntry) -> String {
    let kind = if entry.kind == DiaryKind::Symptom { "Symptom" } else { "Button pressed" };
    if entry.text.is_empty() { kind.to_owned() } else { format!("{kind}: {}", entry.text) }
}
