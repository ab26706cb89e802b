//! The figures being filled in, in the order of the table.

use std::sync::Arc;

use crate::measure::Day;
use crate::model::{Basis, Doubt, Event, EventKind, Figure, FigureId, FigureValue, Proof, SHORT_NAMES, Span};

/// Figures so far.
#[derive(Debug, Default)]
pub struct FigureList {
    figures: Vec<Figure>,
    basis: Basis,
    short: bool,
}

impl FigureList {
    /// What figures rest on now.
    pub fn basis(&self) -> Basis {
        self.basis
    }

    /// From here on, day-long indices carry the mark of a short recording.
    pub fn mark_short(&mut self) {
        self.short = true;
    }

    /// From here on, figures rest on this share of the data.
    pub fn rest_on(&mut self, percent: Option<f64>, of: &'static str) {
        self.basis = Basis { percent, of };
    }

    /// Adds a figure.
    pub fn put(&mut self, id: FigureId, value: FigureValue, proof: Proof, place: Option<Span>) {
        let short = SHORT_NAMES.iter().find(|(short, _)| self.short && *short == id);
        let name = short.map_or(id.row().name, |(_, name)| name);
        self.figures.push(Figure { id, name, value, proof, place, basis: self.basis, doubt: None });
    }

    /// Says what is not certain about the figure that was added last.
    pub fn doubt(&mut self, doubt: Option<Doubt>) {
        if let Some(last) = self.figures.last_mut().filter(|f| f.number().is_some()) {
            last.doubt = doubt.filter(|d| !d.is_none());
        }
    }

    /// Adds a count.
    pub fn count(&mut self, id: FigureId, count: u64, proof: Proof, place: Option<Span>) {
        self.put(id, FigureValue::Count(count), proof, place);
    }

    /// Adds a number, or why there is none.
    pub fn number(
        &mut self,
        id: FigureId,
        value: Option<f64>,
        reason: &str,
        proof: Proof,
        place: Option<Span>,
    ) {
        let value = match value.filter(|v| v.is_finite()) {
            Some(value) => FigureValue::Number(value),
            None => FigureValue::NotComputable(reason.to_owned()),
        };
        self.put(id, value, proof, place);
    }

    /// Adds the number of counting events of `kind`; the place is the first of them.
    pub fn events(&mut self, id: FigureId, day: &Day<'_>, kind: EventKind) {
        let found = day.events_of(&[kind]);
        self.count(id, found.len() as u64, Proof::Kind(kind), first_place(day, &found));
        self.doubt(Some(doubt_of(day, &[kind], &found)));
    }

    /// All figures, in the order in which they were added.
    pub fn into_figures(self) -> Vec<Figure> {
        self.figures
    }
}

/// What is not certain about the number of `counted` events of `kinds`.
pub fn doubt_of(day: &Day<'_>, kinds: &[EventKind], counted: &[u32]) -> Doubt {
    let doubtful = counted.iter().filter(|i| day.events[**i as usize].doubt().is_some()).count() as u64;
    let waits = |e: &&Event| kinds.contains(&e.kind) && e.stands() && !e.counts();
    let reason = match day.events.iter().filter(waits).count() {
        0 => String::new(),
        1 => "1 more is doubtful and must be read".to_owned(),
        n => format!("{n} more are doubtful and must be read"),
    };
    Doubt { doubtful, range: None, reason }
}

/// Place of the first of these events.
pub fn first_place(day: &Day<'_>, events: &[u32]) -> Option<Span> {
    events.first().map(|i| day.events[*i as usize].span)
}

/// A proof by these events.
pub fn by_events(events: &[u32]) -> Proof {
    Proof::Events(Arc::from(events))
}

/// A proof by one stretch of tracing.
pub fn by_span(span: Option<Span>) -> Proof {
    span.map_or(Proof::Whole, |span| Proof::Spans(Arc::from([span])))
}

/// Adds the number of `beats`, which prove it; the place is the first of them.
pub fn singles(day: &Day<'_>, id: FigureId, beats: &[u32], list: &mut FigureList) {
    let place = beats.first().map(|i| day.span_of_beats(*i as usize, *i as usize));
    list.count(id, beats.len() as u64, Proof::Beats(Arc::from(beats)), place);
}
