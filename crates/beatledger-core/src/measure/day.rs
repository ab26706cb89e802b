//! A day as the figures see it: lean columns, the events that count, and the time in atrial fibrillation.

use crate::model::{Event, EventKind, Reading, Span};
use crate::rhythm::columns::Columns;
use crate::rhythm::rate::{Window, windows};

/// Rhythms of the atria that are neither sinus rhythm nor ectopy.
pub const AF_KINDS: [EventKind; 2] = [EventKind::AtrialFibrillation, EventKind::AtrialFlutter];

/// A day ready to be measured.
#[derive(Clone, Debug)]
pub struct Day<'a> {
    /// The beats.
    pub columns: Columns<'a>,
    /// All events, dropped ones included.
    pub events: &'a [Event],
    /// Time in atrial fibrillation or flutter that counts, sorted and disjoint, unreadable holes included.
    pub fibrillation: Vec<Span>,
    /// One flag a beat: inside fibrillation, told or doubtful.
    pub in_af: Vec<bool>,
    /// One flag a beat: beside a P wave that may not be conducted, told or doubtful; its intervals are not those of the
    /// sinus node.
    pub in_block: Vec<bool>,
    /// Every rate window.
    pub windows: Vec<Window>,
}

impl<'a> Day<'a> {
    /// Lays out a day.
    pub fn new(reading: &'a Reading<'a>, events: &'a [Event]) -> Self {
        let columns = Columns::new(reading);
        let whole = reading.recording.whole();
        let spans = |kinds: &[EventKind], is: &dyn Fn(&Event) -> bool| {
            let of_kinds = events.iter().filter(|e| kinds.contains(&e.kind) && is(e));
            Span::merged(of_kinds.map(|e| e.span.overlap(whole)).collect(), 0)
        };
        let marks = |spans: Vec<Span>| columns.marks(spans.iter().map(|span| reading.beats_in(*span)));
        let fibrillation = spans(&AF_KINDS, &Event::counts);
        // What may be fibrillation is kept out of the measures of other rhythms, and counts as fibrillation only when told.
        let in_af = marks(spans(&AF_KINDS, &Event::stands));
        let blocked =
            [&EventKind::BLOCKS[..], &[EventKind::ExitBlock, EventKind::BlockedAtrialEctopy]].concat();
        let in_block = marks(spans(&blocked, &Event::stands));
        let windows = windows(&columns, &in_af);
        Self { columns, events, fibrillation, in_af, in_block, windows }
    }

    /// What is read.
    pub fn reading(&self) -> &'a Reading<'a> {
        self.columns.reading
    }

    /// Indices of the counting events of `kinds`, in order.
    pub fn events_of(&self, kinds: &[EventKind]) -> Vec<u32> {
        let counts = |e: &Event| e.counts() && kinds.contains(&e.kind);
        (0..self.events.len() as u32).filter(|i| counts(&self.events[*i as usize])).collect()
    }

    /// Spans of dropped events of `kinds`: what lies inside one counts in no figure of these kinds.
    pub fn dropped_of(&self, kinds: &[EventKind]) -> Vec<Span> {
        let dropped = |e: &&Event| !e.stands() && kinds.contains(&e.kind);
        self.events.iter().filter(dropped).map(|e| e.span).collect()
    }

    /// Place of the beats `first` to `last`, one past the last.
    pub fn span_of_beats(&self, first: usize, last: usize) -> Span {
        Span::new(self.columns.samples[first], self.columns.samples[last] + 1)
    }

    /// Place of a window.
    pub fn span_of_window(&self, window: &Window) -> Span {
        self.span_of_beats(window.first, window.last)
    }

    /// Mean rate of an event, worked out where a reader added it, bpm.
    pub fn rate_of(&self, event: &Event) -> Option<f64> {
        let range = event.beats.0 as usize..(event.beats.1 as usize).min(self.columns.len());
        self.columns.mean_bpm(range).or(event.rate_bpm.map(f64::from))
    }

    /// Length of the interval that an event of two beats spans, ms.
    pub fn interval_ms(&self, event: &Event) -> f64 {
        self.reading().recording.rate.ms_from_samples((event.span.len() - 1).max(0))
    }
}

/// True when `outer` holds all of `inner` for one of `spans`.
pub fn inside_one(spans: &[Span], inner: Span) -> bool {
    spans.iter().any(|outer| outer.start <= inner.start && inner.end <= outer.end)
}
