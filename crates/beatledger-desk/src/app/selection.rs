//! The one selection: a set of beats or a span of tracing. Every view shows it, every edit acts on it.

use std::sync::Arc;

use beatledger_core::model::{EventKind, Span};

/// What is selected.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Selection {
    /// Samples of the selected beats, sorted; empty when a bare span or nothing is selected.
    pub beats: Arc<Vec<i64>>,
    /// The span that is selected, or that the beats came from.
    pub span: Option<Span>,
    /// The event that was chosen, when the selection came from one: keep, change and drop act on it.
    pub event: Option<(EventKind, Span)>,
    /// Where it came from, in words, such as `group 3` or `V at night`.
    pub words: String,
}

impl Selection {
    /// A selection of beats; `samples` need not be sorted.
    pub fn of_beats(mut samples: Vec<i64>, words: impl Into<String>) -> Self {
        samples.sort_unstable();
        samples.dedup();
        Self { beats: Arc::new(samples), words: words.into(), ..Self::default() }
    }

    /// A selection of a bare span.
    pub fn of_span(span: Span, words: impl Into<String>) -> Self {
        Self { span: Some(span), words: words.into(), ..Self::default() }
    }

    /// True when nothing is selected.
    pub fn is_empty(&self) -> bool {
        self.beats.is_empty() && self.span.is_none() && self.event.is_none()
    }

    /// True when the beat at `sample` is selected.
    pub fn contains(&self, sample: i64) -> bool {
        self.beats.binary_search(&sample).is_ok()
    }

    /// Samples of the selected beats inside `span`.
    pub fn within(&self, span: Span) -> &[i64] {
        let from = self.beats.partition_point(|s| *s < span.start);
        let to = self.beats.partition_point(|s| *s < span.end);
        &self.beats[from..to]
    }

    /// First sample of whatever is selected.
    pub fn first(&self) -> Option<i64> {
        self.beats.first().copied().or(self.span.map(|s| s.start)).or(self.event.map(|(_, s)| s.start))
    }
}
