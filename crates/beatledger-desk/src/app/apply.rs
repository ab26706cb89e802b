//! The one funnel: every act of every view is applied here, after drawing.

use beatledger_core::model::Span;
use beatledger_core::review::{Action, Edit};

use crate::app::act::Act;
use crate::app::derived::{self, beats_words};
use crate::app::desk::{Desk, Pending};
use crate::app::job::What;
use crate::app::selection::Selection;
use crate::commands::find::{self, Answer};
use crate::lists::items::ItemKey;
use crate::outside::services::{SignRequest, stamp};
use crate::sheets::sheet::Sheet;

/// Edits that touch more beats than this show their effect and wait for a yes (design choice).
pub const ASK_FROM_BEATS: usize = 500;

impl Desk {
    /// Applies one act.
    pub fn apply(&mut self, act: Act) {
        match act {
            Act::Select { selection, go } => self.select(selection, go),
            Act::GoTo(sample) => {
                self.go_to(sample);
                self.card_done(0);
            }
            Act::Edit(edit) => self.edit(edit),
            Act::LensSpan(span) => self.show_in_lens(span),
            Act::Run(command) => self.run(command),
            Act::Confirm => self.confirm(),
            Act::Open(path) => {
                self.sheet = None;
                self.open(What::File(path));
            }
            Act::Sheet(sheet) => self.show(sheet),
            Act::Reader(name) => self.take_reader(name),
            Act::Find(line) => self.find(&line),
            Act::Filter(filter) => {
                self.events.filter = filter;
                self.panels.show_events();
            }
            Act::Event(index) => self.choose_event(index),
            Act::Ask(key) => self.ask(key),
            Act::Item(at) => self.choose_item(at),
            Act::Sign(request) => self.sign(&request),
            Act::NextCard => self.next_card(),
            Act::NoCards => self.card = None,
            Act::CancelOpening => {
                if let Some(job) = &self.job {
                    job.cancel();
                }
            }
        }
    }

    pub(crate) fn show(&mut self, sheet: Option<Sheet>) {
        self.sheet = sheet;
        self.panels.sheet_opened();
    }

    pub(crate) fn select(&mut self, selection: Selection, go: bool) {
        if go && let Some(first) = selection.first() {
            self.go_to(first);
        }
        self.pending = None;
        self.selection = selection;
    }

    pub(crate) fn go_to(&mut self, sample: i64) {
        if let Some(doc) = &self.doc {
            self.place = sample.clamp(0, (doc.snapshot.recording.samples - 1).max(0));
        }
    }

    fn show_in_lens(&mut self, span: Span) {
        if let Some(doc) = &self.doc {
            self.panels.views.set_lens_seconds(doc.snapshot.recording.rate.seconds_from_samples(span.len()));
        }
        self.go_to(span.start.midpoint(span.end));
    }

    /// Makes an edit, unless something must be asked first.
    pub(crate) fn edit(&mut self, edit: Edit) {
        let Some(doc) = &self.doc else { return };
        if let Some(why) = doc.read_only() {
            let words = format!("Nothing was changed: {why}");
            return self.say_wrong(words);
        }
        if let Edit::Relabel { beats, .. } | Edit::RemoveBeats { beats } = &edit
            && beats.is_empty()
        {
            return self
                .say_wrong("No beat is selected. Click a beat, a cell of the grid or an open item first.");
        }
        if self.reader.is_none() {
            self.waiting = Some(Act::Edit(edit));
            return self.show(Some(Sheet::Reader));
        }
        if edit.beat_count() > ASK_FROM_BEATS {
            let after = Box::new(doc.session().preview(&edit));
            self.pending = Some(Pending { edit, after });
            return;
        }
        self.make(edit);
    }

    fn confirm(&mut self) {
        if let Some(pending) = self.pending.take() {
            self.make(pending.edit);
        }
    }

    fn make(&mut self, edit: Edit) {
        if self.finds_anew(Action::Do(edit.clone())) {
            return;
        }
        let Some(reader) = self.reader.clone() else { return };
        let Some(doc) = &mut self.doc else { return };
        let words = derived::edit_words(&edit);
        let stamp = stamp(&*self.services.clock, &reader);
        match doc.act(Action::Do(edit.clone()), &stamp) {
            Ok(()) => {
                self.say(capital(&words));
                self.after_edit(&edit);
            }
            Err(error) => self.say_wrong(format!("Not made: {words}. {error}")),
        }
    }

    /// Keeps the selection true to the day after an edit, and closes the cards that asked for it.
    fn after_edit(&mut self, edit: &Edit) {
        match edit {
            Edit::RemoveBeats { beats } => {
                let gone = |s: &i64| beats.binary_search(s).is_ok();
                let left: Vec<i64> = self.selection.beats.iter().copied().filter(|s| !gone(s)).collect();
                self.selection = Selection { beats: left.into(), ..self.selection.clone() };
            }
            Edit::InsertBeat { sample, class } => {
                self.selection = Selection::of_beats(vec![*sample], format!("inserted {}", class.letter()));
            }
            Edit::ChangeEvent { new_kind, new_span, .. }
            | Edit::AddEvent { kind: new_kind, span: new_span } => {
                self.selection.event = Some((*new_kind, *new_span));
            }
            Edit::Relabel { .. } => self.card_done(1),
            _ => {}
        }
    }

    fn take_reader(&mut self, name: String) {
        let name = name.trim().to_owned();
        if name.is_empty() {
            return self.say_wrong("A name is needed: every edit is kept with who made it.");
        }
        self.reader = Some(name);
        self.sheet = None;
        if let Some(act) = self.waiting.take() {
            self.apply(act);
        }
    }

    fn find(&mut self, line: &str) {
        let Some(doc) = &self.doc else { return };
        match find::answer(line, &doc.snapshot, &doc.derived, self.place) {
            Err(words) => self.say_wrong(words),
            Ok(Answer::Place(sample)) => {
                let clock = doc.snapshot.recording.clock(sample);
                self.go_to(sample);
                self.say(format!("Went to {clock}"));
            }
            Ok(Answer::Beats(beats)) if beats.is_empty() => {
                self.say_wrong(format!("No beat matches '{line}'."))
            }
            Ok(Answer::Beats(beats)) => {
                let n = beats.len();
                self.select(Selection::of_beats(beats, line.trim()), true);
                self.say(format!("'{}' selects {}", line.trim(), beats_words(n)));
            }
            Ok(Answer::Events(events)) if events.is_empty() => {
                self.say_wrong(format!("No event matches '{line}'."))
            }
            Ok(Answer::Events(events)) => self.select_events(&events, line.trim()),
        }
    }

    pub(crate) fn choose_event(&mut self, index: usize) {
        let Some(doc) = &self.doc else { return };
        if let Some(event) = doc.snapshot.events.get(index) {
            let selection = derived::selection_of_event(&doc.snapshot, event);
            self.events.reveal = true;
            self.select(selection, true);
        }
    }

    pub(crate) fn choose_item(&mut self, at: usize) {
        let Some(doc) = &self.doc else { return };
        let Some(item) = doc.derived.items.get(at) else { return };
        self.item = Some((item.key, at));
        if item.key == ItemKey::Orphans {
            return self.show(Some(Sheet::History));
        }
        let selection = item.selection(&doc.snapshot);
        self.select(selection, true);
        self.card_done(0);
    }

    fn sign(&mut self, request: &SignRequest) {
        let Some(doc) = &mut self.doc else { return };
        if let Some(why) = doc.read_only() {
            let words = format!("Not signed: {why}");
            return self.say_wrong(words);
        }
        let unread = doc.snapshot.unread_critical().len();
        if unread > 0 {
            return self.say_wrong(format!("Not signed: {unread} critical events have not been read."));
        }
        doc.finish();
        let stamp = stamp(&*self.services.clock, &request.reader);
        let signed = self
            .services
            .sign
            .sign(request, &stamp, &doc.snapshot, &doc.entries, doc.path.as_deref())
            .and_then(|s| {
                doc.act(Action::Sign(s.signature), &stamp)?;
                Ok(s.words)
            });
        match signed {
            Ok(words) => {
                self.reader.get_or_insert_with(|| request.reader.clone());
                self.sheet = None;
                self.say(words);
                self.card_done(3);
            }
            Err(words) => self.say_wrong(words),
        }
    }

    pub(crate) fn next_card(&mut self) {
        self.card = self.card.map(|c| c + 1).filter(|c| *c < crate::sheets::cards::CARDS.len());
    }

    /// Closes card `which` when it is the one that is shown: what it asks for was done.
    pub(crate) fn card_done(&mut self, which: usize) {
        if self.card == Some(which) {
            self.next_card();
        }
    }
}

/// A sentence with its first letter large.
pub fn capital(words: &str) -> String {
    let mut chars = words.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}
