//! Figures and events as observations.

use beatledger_core::model::{Event, EventKind, Figure, FigureValue, Recording};
use beatledger_core::session::Snapshot;
use beatledger_core::settings::TABLE;

use super::Links;
use super::codes::{concept, of_figure, own_concept, quantity, words};
use super::time::period;
use super::types::{Annotation, CodeableConcept, Component, Observation, Value};
use crate::document::said;
use crate::values::{clock_ms, doubt_words, place_text, short_number};

/// Most events of one kind; the note of each says so when there are more.
pub const MOST_PER_KIND: usize = 50;

/// Codes of the parts of an event.
pub const PARTS: [(&str, &str); 5] = [
    ("from-start", "Time from the start of the recording"),
    ("recorder-clock", "Time of day on the recorder's clock, zone unknown unless the period states it"),
    ("beats", "Beats of the event"),
    ("event-rate", "Mean rate of the event"),
    ("said-by", "Who found it and what a reader said"),
];

/// A figure: its value or why there is none, its definition as method, and the settings that decide it.
pub fn figure(snapshot: &Snapshot, figure: &Figure, links: &Links) -> Observation {
    let recording = &*snapshot.recording;
    let (value_quantity, data_absent_reason) = match value(figure, recording) {
        Ok(value) => (Some(value), None),
        Err(reason) => (None, Some(absent(&reason))),
    };
    let mut note: Vec<String> = figure
        .settings()
        .iter()
        .filter_map(|key| TABLE.iter().find(|row| row.key == *key))
        .map(|row| {
            format!("Setting {} = {} {}", row.key, short_number(row.value(&snapshot.settings)), row.unit)
        })
        .map(|text| text.trim_end().to_owned())
        .collect();
    if let Some(place) = figure.place {
        note.push(format!("First at {} (recorder's clock)", place_text(recording, place.start)));
    }
    note.extend(doubt_words(figure).map(|doubt| format!("Doubt: {doubt}")));
    if let Some(percent) = figure.basis.percent.filter(|x| x.is_finite()) {
        note.push(format!("Rests on {percent:.1} % {}", figure.basis.of));
    }
    Observation {
        value_quantity,
        data_absent_reason,
        note: note.into_iter().map(|text| Annotation { text }).collect(),
        method: (!figure.definition().is_empty()).then(|| words(figure.definition())),
        effective_period: period(recording, recording.whole(), links.recorder_utc_offset_min),
        ..blank(of_figure(figure, recording.hours()), links)
    }
}

fn value(figure: &Figure, recording: &Recording) -> Result<super::types::Quantity, String> {
    let number = |x, decimals, unit| quantity(x, decimals, unit).ok_or_else(|| "no finite value".to_owned());
    match &figure.value {
        FigureValue::Count(n) => number(*n as f64, 0, figure.unit()),
        FigureValue::Number(x) => number(*x, figure.decimals(), figure.unit()),
        FigureValue::Place(sample) => number(recording.rate.seconds_from_samples(*sample), 3, "s"),
        FigureValue::NotComputable(reason) => Err(reason.clone()),
    }
}

fn absent(reason: &str) -> CodeableConcept {
    let system = "http://terminology.hl7.org/CodeSystem/data-absent-reason";
    CodeableConcept {
        text: Some(format!("Not computable: {reason}")),
        ..concept(system, "not-performed", "Not Performed")
    }
}

/// The events that stand, kind by kind, at most [`MOST_PER_KIND`] of each.
pub fn events(snapshot: &Snapshot, links: &Links) -> Vec<Observation> {
    let mut out = Vec::new();
    for kind in EventKind::ALL {
        let all: Vec<&Event> = snapshot.events.iter().filter(|e| e.kind == kind && e.stands()).collect();
        out.extend(all.iter().take(MOST_PER_KIND).map(|e| event(snapshot, e, all.len(), links)));
    }
    out
}

fn event(snapshot: &Snapshot, event: &Event, of_kind: usize, links: &Links) -> Observation {
    let recording = &*snapshot.recording;
    let seconds = |samples| recording.rate.seconds_from_samples(samples);
    let mut note = Vec::new();
    let remark = event.remark();
    if !remark.is_empty() {
        note.push(remark);
    }
    if of_kind > MOST_PER_KIND {
        note.push(format!("The first {MOST_PER_KIND} of {of_kind} of this kind are listed"));
    }
    Observation {
        value_quantity: quantity(seconds(event.span.len()), 3, "s"),
        effective_period: period(recording, event.span, links.recorder_utc_offset_min),
        note: note.into_iter().map(|text| Annotation { text }).collect(),
        method: Some(words("Value: length of the event")),
        component: parts(recording, event),
        ..blank(own_concept(event.kind.key(), event.kind.words()), links)
    }
}

fn parts(recording: &Recording, event: &Event) -> Vec<Component> {
    let [from_start, clock, beats, rate, said_by] = PARTS.map(|(code, words)| own_concept(code, words));
    let start_s = recording.rate.seconds_from_samples(event.span.start);
    let mut parts = Vec::new();
    let mut put = |code, value: Option<Value>| parts.extend(value.map(|value| Component { code, value }));
    put(from_start, quantity(start_s, 3, "s").map(Value::ValueQuantity));
    let time = recording.start.map(|_| Value::ValueTime(clock_ms(recording, event.span.start)));
    put(clock, time);
    if event.kind != EventKind::Unreadable {
        put(beats, quantity(f64::from(event.beat_count()), 0, "beats").map(Value::ValueQuantity));
    }
    let bpm = event.rate_bpm.and_then(|bpm| quantity(f64::from(bpm), 0, "bpm"));
    put(rate, bpm.map(Value::ValueQuantity));
    put(said_by, Some(Value::ValueString(said(event).to_owned())));
    parts
}

fn blank(code: CodeableConcept, links: &Links) -> Observation {
    let system = "http://terminology.hl7.org/CodeSystem/observation-category";
    Observation {
        status: links.status,
        category: vec![concept(system, "procedure", "Procedure")],
        code,
        subject: links.patient.clone(),
        effective_period: None,
        performer: links.reader.clone().into_iter().collect(),
        value_quantity: None,
        data_absent_reason: None,
        note: Vec::new(),
        method: None,
        device: links.software.clone(),
        component: Vec::new(),
    }
}
