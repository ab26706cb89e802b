//! The figures being filled in, row by row of the catalogue.

use std::sync::Arc;

use super::catalogue::{CATALOGUE, SHORT_NAMES};
use crate::measure::Day;
use crate::model::{Basis, EventKind, Figure, FigureValue, Proof, Span};

/// Figures so far.
#[derive(Debug, Default)]
pub struct Sheet {
    figures: Vec<Figure>,
    basis: Basis,
    short: bool,
}

impl Sheet {
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

    /// Adds the figure of `key`.
    pub fn put(&mut self, key: &'static str, value: FigureValue, proof: Proof, place: Option<Span>) {
        let Some(row) = CATALOGUE.iter().find(|row| row.key == key) else {
            debug_assert!(false, "the catalogue has no figure '{key}'");
            return;
        };
        let short = SHORT_NAMES.iter().find(|(short, _)| self.short && *short == key);
        self.figures.push(Figure {
            key: row.key,
            family: row.family,
            name: short.map_or(row.name, |(_, name)| name),
            value,
            unit: row.unit,
            proof,
            place,
            settings: row.settings,
            definition: row.definition,
            basis: self.basis,
        });
    }

    /// Adds a count.
    pub fn count(&mut self, key: &'static str, count: u64, proof: Proof, place: Option<Span>) {
        self.put(key, FigureValue::Count(count), proof, place);
    }

    /// Adds a number, or why there is none.
    pub fn number(
        &mut self,
        key: &'static str,
        value: Option<f64>,
        decimals: u8,
        reason: &str,
        proof: Proof,
        place: Option<Span>,
    ) {
        let value = match value.filter(|v| v.is_finite()) {
            Some(value) => FigureValue::Number(value, decimals),
            None => FigureValue::NotComputable(reason.to_owned()),
        };
        self.put(key, value, proof, place);
    }

    /// Adds the number of counting events of `kind`; the place is the first of them.
    pub fn events(&mut self, key: &'static str, day: &Day<'_>, kind: EventKind) {
        let found = day.events_of(&[kind]);
        self.count(key, found.len() as u64, Proof::Kind(kind), first_place(day, &found));
    }

    /// All figures, in the order in which they were added.
    pub fn into_figures(self) -> Vec<Figure> {
        self.figures
    }
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
