//! Everything that writes an entry into the ledger: edits, undo and redo, signatures.
//!
//! What must be asked first (who reads, a yes to a large edit) waits in [`crate::app::waiting`].

use beatledger_core::review::{Action, Edit};

use crate::app::act::Act;
use crate::app::consequence::event_changes;
use crate::app::desk::Desk;
use crate::app::selection::Selection;
use crate::app::waiting::Pending;
use crate::commands::table::Command;
use crate::outside::services::{SignRequest, stamp};
use crate::outside::sign_rules;
use crate::paint::words::{capital, edit_words};
use crate::sheets::cards::Card;
use crate::sheets::sheet::Sheet;

/// Edits that touch more beats than this show their effect and wait for a yes (design choice: more than a handful).
pub const ASK_FROM_BEATS: usize = 5;

impl Desk {
    /// Makes an edit, unless something must be asked first.
    pub(crate) fn edit(&mut self, edit: Edit) {
        let Some(day) = &self.open.day else { return };
        if let Some(why) = day.read_only() {
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
            self.waiting.for_name = Some(Act::Edit(edit));
            return self.show(Some(Sheet::Reader));
        }
        match self.to_ask(&edit) {
            Some(pending) => self.waiting.for_yes = Some(pending),
            None => self.make(edit),
        }
    }

    /// The edit with its effect where a yes is wanted first: it touches more than a handful of beats, or beats that are not on
    /// the screen, or changes an event.
    fn to_ask(&self, edit: &Edit) -> Option<Pending> {
        let day = self.open.day.as_ref()?;
        let but = match edit {
            Edit::Relabel { .. }
            | Edit::InsertBeat { .. }
            | Edit::RemoveBeats { .. }
            | Edit::MoveBeat { .. } => None,
            Edit::MarkNoise { .. } | Edit::UnmarkNoise { .. } => None,
            Edit::DropEvent { kind, span } => Some((*kind, *span)),
            _ => return None,
        };
        let all_seen = match edit {
            Edit::Relabel { beats, .. } | Edit::RemoveBeats { beats } if beats.len() > 1 => {
                self.are_on_screen(beats)
            }
            _ => true,
        };
        let after = day.session().preview_first(edit);
        let events = event_changes(&day.snapshot, &after, but);
        let asks = edit.beat_count() > ASK_FROM_BEATS || !all_seen || !events.is_empty();
        asks.then(|| Pending { edit: edit.clone(), events, after: Box::new(after.whole()) })
    }

    /// Makes the edit that waited for a yes.
    pub(crate) fn confirm(&mut self) {
        if let Some(pending) = self.waiting.for_yes.take() {
            let events = pending.events;
            let before = self.entry_count();
            self.make(pending.edit);
            if self.entry_count() > before && !events.is_empty() {
                let words = format!("{}; {}", self.shown.notice.words, events.join(", "));
                self.say(words);
            }
        }
    }

    fn entry_count(&self) -> usize {
        self.open.day.as_ref().map_or(0, |day| day.entries.len())
    }

    fn make(&mut self, edit: Edit) {
        if self.finds_again(Action::Do(edit.clone())) {
            return;
        }
        let Some(reader) = self.reader.clone() else { return };
        let Some(day) = &mut self.open.day else { return };
        let words = edit_words(&edit);
        let stamp = stamp(&*self.services.clock, &reader);
        match day.act(Action::Do(edit.clone()), &stamp) {
            Ok(()) => {
                self.say(capital(&words));
                self.after_edit(&edit);
            }
            Err(error) => self.say_wrong(format!("Not made: {words}. {error}")),
        }
    }

    /// Keeps the selection true to the day after an edit, and closes the card that asked for it.
    fn after_edit(&mut self, edit: &Edit) {
        let selection = &mut self.pointed.selection;
        match edit {
            Edit::RemoveBeats { beats } => {
                let gone = |s: &i64| beats.binary_search(s).is_ok();
                let left: Vec<i64> = selection.beats.iter().copied().filter(|s| !gone(s)).collect();
                selection.beats = left.into();
            }
            Edit::InsertBeat { sample, class } => {
                *selection = Selection::of_beats(vec![*sample], format!("inserted {}", class.letter()));
            }
            Edit::ChangeEvent { new_kind, new_span, .. }
            | Edit::AddEvent { kind: new_kind, span: new_span } => {
                selection.event = Some((*new_kind, *new_span));
            }
            Edit::Relabel { .. } => self.card_done(Card::Relabel),
            _ => {}
        }
        self.keep_selection_true();
    }

    /// Takes the reader's name; an act that waited for it is applied.
    pub(crate) fn take_reader(&mut self, name: String) {
        let name = name.trim().to_owned();
        if name.is_empty() {
            return self.say_wrong("A name is needed: every edit is kept with who made it.");
        }
        self.reader = Some(name);
        self.shown.sheet = None;
        if let Some(act) = self.waiting.for_name.take() {
            self.apply(act);
        }
    }

    /// Takes the last edit back.
    pub(crate) fn undo(&mut self) {
        // What was seen to happen last is the question, not the edit before it.
        if self.waiting.for_yes.take().is_some() || std::mem::take(&mut self.waiting.for_class) {
            return self.say("Nothing was changed: what waited for an answer is left.");
        }
        self.step_ledger(true);
    }

    /// Makes the edit that was taken back again.
    pub(crate) fn redo(&mut self) {
        self.step_ledger(false);
    }

    fn step_ledger(&mut self, back: bool) {
        let Some(day) = &self.open.day else { return };
        let fold = &day.snapshot.fold;
        let Some((seq, edit)) = (if back { fold.next_undo() } else { fold.next_redo() }) else {
            return self.say(if back {
                "There is nothing to take back."
            } else {
                "There is nothing to make again."
            });
        };
        let words = edit_words(edit);
        let action = if back { Action::Undo { seq: *seq } } else { Action::Redo { seq: *seq } };
        let Some(reader) = self.reader.clone() else {
            self.waiting.for_name = Some(Act::Run(if back { Command::Undo } else { Command::Redo }));
            return self.show(Some(Sheet::Reader));
        };
        if self.finds_again(action) {
            return;
        }
        let Some(day) = &mut self.open.day else { return };
        let stamp = stamp(&*self.services.clock, &reader);
        let done = if back { day.undo(&stamp) } else { day.redo(&stamp) };
        match done {
            Ok(_) => {
                self.say(format!("{}: {words}", if back { "Taken back" } else { "Made again" }));
                self.keep_selection_true();
            }
            Err(error) => self.say_wrong(error),
        }
    }

    /// Signs the day as it stands, once every critical event has been read.
    pub(crate) fn sign(&mut self, request: &SignRequest) {
        let Some(day) = &mut self.open.day else { return };
        if let Some(why) = day.read_only() {
            let words = format!("Not signed: {why}");
            return self.say_wrong(words);
        }
        if let Some(why) = sign_rules::hindrance(request, &day.snapshot) {
            return self.say_wrong(format!("Not signed: {why}"));
        }
        day.finish();
        let stamp = stamp(&*self.services.clock, &request.reader);
        let signed = self
            .services
            .sign
            .sign(request, &stamp, &day.snapshot, &day.entries, day.path.as_deref())
            .and_then(|signed| match day.act(Action::Sign(signed.signature.clone()), &stamp) {
                Ok(()) => Ok(signed.words),
                // Without its entry in the ledger a signed folder would say what never was.
                Err(why) => Err(match self.services.sign.take_back(&signed) {
                    Ok(()) => format!("Not signed: {why}"),
                    Err(left) => format!("Not signed: {why} {left}"),
                }),
            });
        match signed {
            Ok(words) => {
                self.reader.get_or_insert_with(|| request.reader.clone());
                self.shown.sheet = None;
                self.say(words);
                self.card_done(Card::Sign);
            }
            Err(words) => self.say_wrong(words),
        }
    }
}
