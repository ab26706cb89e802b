//! What proves a figure, and what a find line named: selected everywhere at once.

use beatledger_core::model::{Beat, Proof, Span};

use crate::app::derived::{self, beats_words};
use crate::app::desk::Desk;
use crate::app::selection::Selection;
use crate::lists::events::EventFilter;

impl Desk {
    /// Selects the beats of several events and narrows the event list to them.
    pub(crate) fn select_events(&mut self, events: &[u32], words: &str) {
        let Some(doc) = &self.doc else { return };
        let snapshot = doc.snapshot.clone();
        let chosen = || events.iter().filter_map(|i| snapshot.events.get(*i as usize));
        let beats: Vec<i64> = chosen().flat_map(|e| derived::event_beats(&snapshot, e)).collect();
        let these = chosen().map(|e| (e.kind, e.span.start)).collect();
        let mut selection = Selection::of_beats(beats, words);
        if let (1, Some(event)) = (events.len(), chosen().next()) {
            selection = derived::selection_of_event(&snapshot, event);
        }
        if let (true, Some(event)) = (selection.is_empty(), chosen().next()) {
            selection.span = Some(event.span);
        }
        self.select(selection, true);
        self.events.filter = EventFilter::These(std::sync::Arc::new(these), words.to_owned());
        self.panels.show_events();
        self.say(format!(
            "'{words}' selects {} event{}",
            events.len(),
            if events.len() == 1 { "" } else { "s" }
        ));
    }

    /// Selects what proves a figure, and goes to the first place of it.
    pub(crate) fn ask(&mut self, key: &str) {
        let Some(doc) = &self.doc else { return };
        let snapshot = doc.snapshot.clone();
        let Some(figure) = snapshot.summary.figure(key) else { return };
        let words = figure.name;
        let beats = |keep: &dyn Fn(&Beat) -> bool| {
            snapshot.beats.iter().filter(|b| keep(b)).map(|b| b.sample).collect::<Vec<i64>>()
        };
        let of_kind = |kind| -> Vec<u32> {
            let counts =
                |i: &u32| snapshot.events[*i as usize].kind == kind && snapshot.events[*i as usize].counts();
            (0..snapshot.events.len() as u32).filter(counts).collect()
        };
        self.card_done(2);
        let samples = match &figure.proof {
            Proof::AllBeats => beats(&|_| true),
            Proof::Class(class) => beats(&|b| b.class == *class),
            Proof::Beats(list) => {
                list.iter().filter_map(|i| snapshot.beats.get(*i as usize)).map(|b| b.sample).collect()
            }
            Proof::Kind(kind) => return self.prove_by_events(&of_kind(*kind), words, figure.place),
            Proof::Events(list) => return self.prove_by_events(list, words, figure.place),
            Proof::Spans(spans) => return self.prove_by_spans(spans, words, figure.place),
            Proof::Whole => return self.prove_by_spans(&[snapshot.recording.whole()], words, figure.place),
        };
        if samples.is_empty() {
            return self.say(format!("{words}: there is no such beat."));
        }
        let n = samples.len();
        self.select(Selection::of_beats(samples, words), true);
        if let Some(place) = figure.place {
            self.go_to(place.start);
        }
        self.say(format!("{words}: {} selected", beats_words(n)));
    }

    fn prove_by_events(&mut self, events: &[u32], words: &str, place: Option<Span>) {
        if events.is_empty() {
            return self.say(format!("{words}: there is no such event."));
        }
        self.select_events(events, words);
        if let Some(place) = place {
            self.go_to(place.start);
        }
    }

    fn prove_by_spans(&mut self, spans: &[Span], words: &str, place: Option<Span>) {
        let Some(first) = place.or(spans.first().copied()) else {
            return self.say(format!("{words}: no stretch of tracing shows it."));
        };
        self.select(Selection::of_span(first, words), true);
        let n = spans.len();
        self.say(if n == 1 {
            format!("{words}: its stretch is selected")
        } else {
            format!("{words}: the first of {n} stretches is selected")
        });
    }
}
