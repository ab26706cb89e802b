//! Commands and acts that change the selection: an event, an item, a figure, a find line, a group, a class.

use beatledger_core::model::{Beat, FigureId, Proof, Span};
use beatledger_report::values::day_clock;

use crate::app::desk::Desk;
use crate::app::lookup;
use crate::app::selection::Selection;
use crate::commands::find::{self, Answer};
use crate::lists::open_items::ItemKey;
use crate::paint::words::beats_words;
use crate::sheets::cards::Card;
use crate::sheets::sheet::Sheet;

impl Desk {
    /// Makes this the selection, and goes to its first beat when `go` is set. An edit that waits for a yes is left.
    pub(crate) fn select(&mut self, selection: Selection, go: bool) {
        if go && let Some(first) = selection.first() {
            self.go_to(first);
        }
        self.waiting.for_yes = None;
        self.pointed.selection = selection;
    }

    /// Leaves what is open, one thing at a time: the sheet, a question, the calipers, the selection.
    pub(crate) fn escape(&mut self) {
        if self.shown.sheet.take().is_some() {
            self.waiting.for_name = None;
        } else if self.waiting.for_yes.take().is_some() || std::mem::take(&mut self.waiting.for_class) {
            self.say("Nothing was changed.");
        } else if self.shown.panels.views.put_calipers_away() {
            self.say("Calipers are put away.");
        } else {
            self.pointed.selection = Selection::default();
        }
    }

    /// Selects an event of the snapshot by index, and goes there.
    pub(crate) fn choose_event(&mut self, index: usize) {
        let Some(day) = &self.open.day else { return };
        if let Some(event) = day.snapshot.events.get(index) {
            let selection = lookup::selection_of_event(&day.snapshot, event);
            self.shown.events.reveal = true;
            self.select(selection, true);
        }
    }

    /// Selects what an open item is about, by its place in the list, and goes there.
    pub(crate) fn choose_item(&mut self, at: usize) {
        let Some(day) = &self.open.day else { return };
        let Some(item) = day.derived.items.get(at) else { return };
        self.pointed.item = Some((item.key, at));
        if item.key == ItemKey::Orphans {
            return self.show(Some(Sheet::History));
        }
        let (selection, place) = (item.selection(&day.snapshot), item.place);
        self.select(selection, true);
        if let Some(place) = place {
            self.go_to(place);
        }
        self.card_done(Card::DayBand);
    }

    /// Selects what a find line names, or goes to the clock time in it.
    pub(crate) fn find(&mut self, line: &str) {
        let Some(day) = &self.open.day else { return };
        match find::answer(line, &day.snapshot, &day.derived, self.pointed.place) {
            Err(words) => self.found_nothing(words),
            Ok(Answer::Place(sample)) => {
                let clock = day_clock(&day.snapshot.recording, sample);
                self.go_to(sample);
                self.say(format!("Went to {clock}"));
            }
            Ok(Answer::Beats(beats)) if beats.is_empty() => {
                self.found_nothing(format!("No beat matches '{line}'; nothing is selected."))
            }
            Ok(Answer::Beats(beats)) => {
                let n = beats.len();
                self.select(Selection::of_beats(beats, line.trim()), true);
                self.say(format!("'{}' selects {}", line.trim(), beats_words(n)));
            }
            Ok(Answer::Events(events)) if events.is_empty() => {
                self.found_nothing(format!("No event matches '{line}'; nothing is selected."))
            }
            Ok(Answer::Events(events)) => self.select_events(&events, line.trim()),
        }
    }

    /// A find that failed leaves nothing selected that a key could act on.
    fn found_nothing(&mut self, words: String) {
        self.select(Selection::default(), false);
        self.say_wrong(words);
    }

    pub(crate) fn select_group(&mut self) {
        self.select_like("group", |beat, one| beat.group == one.group);
    }

    pub(crate) fn select_class(&mut self) {
        self.select_like("class", |beat, one| beat.class == one.class);
    }

    fn select_like(&mut self, what: &str, same: impl Fn(&Beat, &Beat) -> bool) {
        let Some(day) = &self.open.day else { return };
        let snapshot = day.snapshot.clone();
        let first = self.beats_meant().first().and_then(|s| lookup::beat_at(&snapshot, *s));
        let Some(one) = first.map(|at| snapshot.beats[at]) else {
            return self.say_wrong(format!("Select a beat first; then its {what} can be selected."));
        };
        let beats = snapshot.beats.iter().filter(|b| same(b, &one)).map(|b| b.sample).collect();
        let words = match what {
            "group" => format!("group {}", one.group.wrapping_add(1)),
            _ => format!("all {}", one.class.letter()),
        };
        self.select(Selection::of_beats(beats, words), false);
    }

    /// Selects the beats of several events. What the event list is narrowed to stays as the reader set it.
    pub(crate) fn select_events(&mut self, events: &[u32], words: &str) {
        let Some(day) = &self.open.day else { return };
        let snapshot = day.snapshot.clone();
        let chosen = || events.iter().filter_map(|i| snapshot.events.get(*i as usize));
        let beats: Vec<i64> = chosen().flat_map(|e| lookup::event_beats(&snapshot, e)).collect();
        let mut selection = Selection::of_beats(beats, words);
        if let (1, Some(event)) = (events.len(), chosen().next()) {
            selection = lookup::selection_of_event(&snapshot, event);
        }
        if let (true, Some(event)) = (selection.is_empty(), chosen().next()) {
            selection.span = Some(event.span);
        }
        self.select(selection, true);
        self.shown.events.reveal = true;
        self.shown.panels.show_events();
        self.say(format!(
            "'{words}' selects {} event{}",
            events.len(),
            if events.len() == 1 { "" } else { "s" }
        ));
    }

    /// Selects what proves a figure, and goes to the first place of it.
    pub(crate) fn ask(&mut self, id: FigureId) {
        let Some(day) = &self.open.day else { return };
        let snapshot = day.snapshot.clone();
        let Some(figure) = snapshot.summary.figure(id) else { return };
        let words = figure.name;
        let beats = |keep: &dyn Fn(&Beat) -> bool| {
            snapshot.beats.iter().filter(|b| keep(b)).map(|b| b.sample).collect::<Vec<i64>>()
        };
        let of_kind = |kind| -> Vec<u32> {
            let counts =
                |i: &u32| snapshot.events[*i as usize].kind == kind && snapshot.events[*i as usize].counts();
            (0..snapshot.events.len() as u32).filter(counts).collect()
        };
        self.card_done(Card::AskFigure);
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
