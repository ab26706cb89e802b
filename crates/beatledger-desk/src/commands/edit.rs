//! Commands that make an edit: which beats, span or event they act on, and the edit that follows.

use beatledger_core::model::{BeatClass, EventKind, Span};
use beatledger_core::review::Edit;
use beatledger_report::values::day_clock;

use crate::app::desk::Desk;
use crate::app::lookup;
use crate::sheets::sheet::Sheet;

impl Desk {
    /// Labels the beats meant, or inserts a beat of this class where one was asked for.
    pub(crate) fn label(&mut self, class: BeatClass) {
        if std::mem::take(&mut self.waiting.for_class) {
            return self.edit(Edit::InsertBeat { sample: self.pointed.place, class });
        }
        if self.brought_into_view(&format!("labels it {}", class.letter())) {
            return;
        }
        let beats = self.beats_meant();
        self.edit(Edit::Relabel { beats, class });
    }

    /// Asks for the class of a beat that is inserted at the place in the day.
    pub(crate) fn ask_class(&mut self) {
        let day = self.open.day.as_ref();
        let at = day.map_or(String::new(), |d| day_clock(&d.snapshot.recording, self.pointed.place));
        self.waiting.for_class = day.is_some();
        self.say(format!("Insert a beat at {at}: press its class N, S, V, F or Q; Esc leaves it."));
    }

    pub(crate) fn remove_beats(&mut self) {
        if self.brought_into_view("removes its beats") {
            return;
        }
        let beats = self.beats_meant();
        self.edit(Edit::RemoveBeats { beats });
    }

    /// Confirms the labels of the selected beats as they stand; beats of several classes ask for a choice.
    pub(crate) fn agree(&mut self) {
        if self.brought_into_view("agrees with its labels") {
            return;
        }
        let beats = self.beats_meant();
        let Some(day) = &self.open.day else { return };
        let mut classes: Vec<BeatClass> = beats
            .iter()
            .filter_map(|s| lookup::beat_at(&day.snapshot, *s))
            .map(|at| day.snapshot.beats[at].class)
            .collect();
        classes.sort_unstable();
        classes.dedup();
        match classes[..] {
            [class] => self.edit(Edit::Relabel { beats, class }),
            [] => self.edit(Edit::Relabel { beats: Vec::new(), class: BeatClass::N }),
            _ => self.say_wrong(
                "The selected beats have several classes; select beats of one class to agree with it.",
            ),
        }
    }

    /// Makes an edit of the selected span, or of that of the chosen event.
    pub(crate) fn edit_span(&mut self, edit: impl FnOnce(Span) -> Edit) {
        if self.brought_into_view("marks its span") {
            return;
        }
        let selection = &self.pointed.selection;
        match selection.span.or(selection.event.map(|(_, s)| s)) {
            Some(span) => self.edit(edit(span)),
            None => self.say_no_span(),
        }
    }

    /// Makes an edit of the chosen event.
    pub(crate) fn edit_event(&mut self, edit: impl FnOnce(EventKind, Span) -> Edit) {
        if self.pointed.selection.event.is_some() && self.brought_into_view("answers it") {
            return;
        }
        match self.pointed.selection.event {
            Some((kind, span)) => self.edit(edit(kind, span)),
            None => self.say_no_event(),
        }
    }

    pub(crate) fn ask_event_change(&mut self) {
        match self.pointed.selection.event {
            Some(_) => self.show(Some(Sheet::ChangeEvent)),
            None => self.say_no_event(),
        }
    }

    pub(crate) fn ask_event_kind(&mut self) {
        match self.span_meant() {
            Some(_) => self.show(Some(Sheet::AddEvent)),
            None => self.say_no_span(),
        }
    }

    /// Samples of the beats that an edit acts on: the selected ones, or those inside the selected span.
    pub(crate) fn beats_meant(&self) -> Vec<i64> {
        let Some(day) = &self.open.day else { return Vec::new() };
        let selection = &self.pointed.selection;
        if !selection.beats.is_empty() {
            return selection.beats.to_vec();
        }
        selection.span.map_or_else(Vec::new, |span| lookup::beats_in(&day.snapshot, span))
    }

    pub(crate) fn span_meant(&self) -> Option<Span> {
        let selection = &self.pointed.selection;
        let (_, event) = selection.event.unzip();
        let of_beats = || {
            let (first, last) = (selection.beats.first()?, selection.beats.last()?);
            Some(Span::new(*first, last + 1))
        };
        selection.span.or(event).or_else(of_beats)
    }

    fn say_no_span(&mut self) {
        self.say_wrong("No span is selected. Drag over the tracing, or choose an event, first.");
    }

    fn say_no_event(&mut self) {
        self.say_wrong("No event is chosen. Choose one in the event list, or press E.");
    }
}
