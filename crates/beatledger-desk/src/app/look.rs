//! What the screen shows becomes part of the record: which tracing a reader had before the eyes.

use beatledger_core::model::Span;
use beatledger_report::values::day_clock;

use crate::app::act::Act;
use crate::app::desk::Desk;
use crate::app::lookup;
use crate::app::selection::Selection;
use crate::commands::table::Command;
use crate::outside::services::stamp;
use crate::sheets::sheet::Sheet;
use crate::shell::stage::Stage;

impl Desk {
    /// Takes in what this frame shows; a frame is asked for when the next stretch has been there long enough.
    pub(crate) fn look(&mut self) {
        if self.selection_is_on_screen() != self.shown.panels.said_on_screen {
            // The bar was drawn before the tracing was.
            self.ctx().request_repaint();
        }
        let Some(day) = &self.open.day else { return };
        if day.read_only().is_some() {
            return;
        }
        let covered = self.shown.sheet.is_some_and(|sheet| !sheet.is_line()) || self.open.job.is_some();
        let spans = if covered { Vec::new() } else { self.readable_on_screen() };
        let snapshot = &day.snapshot;
        let (settings, rate) = (&snapshot.settings, snapshot.recording.rate);
        let least_s =
            |span: Span| settings.seen_min_s.max(rate.seconds_from_samples(span.len()) / settings.seen_pace);
        let now_s = self.ctx().input(|input| input.time);
        let soonest = self.watch.see(&spans, &snapshot.read, now_s, least_s);
        if let Some(soonest) = soonest {
            self.ctx().request_repaint_after(std::time::Duration::from_secs_f64(soonest + 0.01));
        }
        self.note_what_was_shown();
    }

    /// Stretches of tracing on the screen at a scale that can be read.
    fn readable_on_screen(&self) -> Vec<Span> {
        let views = &self.shown.panels.views;
        let rows = views.shown_span(self.shown.stage).filter(|_| views.rows_can_be_read());
        views.lens_span().into_iter().chain(rows).filter(|span| !span.is_empty()).collect()
    }

    /// Writes down what was shown, once it is known who looks.
    fn note_what_was_shown(&mut self) {
        let (true, Some(reader)) = (self.watch.has_new(), &self.reader) else { return };
        let stamp = stamp(&*self.services.clock, reader);
        let spans = self.watch.take();
        let Some(day) = &mut self.open.day else { return };
        if let Err(error) = day.looked(&spans, &stamp) {
            self.say_wrong(format!("What was shown could not be written down. {error}"));
        }
    }

    /// Counts as read what is selected and on the screen, or else what the stage or the lens shows.
    pub(crate) fn mark_read(&mut self) {
        if let Some(why) = self.open.day.as_ref().and_then(|day| day.read_only()) {
            let words = format!("Nothing was changed: {why}");
            return self.say_wrong(words);
        }
        if self.reader.is_none() {
            self.waiting.for_name = Some(Act::Run(Command::MarkRead));
            return self.show(Some(Sheet::Reader));
        }
        let shown = self.readable_on_screen();
        let widest = shown.iter().copied().max_by_key(|s| s.len());
        let span = match self.span_meant() {
            Some(meant) => {
                let inside = shown.iter().map(|s| s.overlap(meant)).filter(|s| !s.is_empty());
                inside.max_by_key(|s| s.len())
            }
            None => widest,
        };
        match span {
            Some(span) => {
                self.watch.count(span);
                self.note_what_was_shown();
                self.say("Stretch marked as read");
            }
            None => {
                self.say_wrong("Nothing of the selection is on the screen, so that it cannot have been read.")
            }
        }
    }

    /// True when what an edit of the selection would change is on the screen. Cells and points of the grid and the scatter
    /// show all of their beats.
    pub(crate) fn selection_is_on_screen(&self) -> bool {
        let selection = &self.pointed.selection;
        let by_cells =
            matches!(self.shown.stage, Stage::Grid | Stage::Scatter) && !selection.beats.is_empty();
        by_cells || self.on_screen().iter().any(|shown| touches(selection, *shown))
    }

    fn on_screen(&self) -> Vec<Span> {
        let views = &self.shown.panels.views;
        views.lens_span().into_iter().chain(views.shown_span(self.shown.stage)).collect()
    }

    /// True when every one of these beats is on the screen.
    pub(crate) fn are_on_screen(&self, beats: &[i64]) -> bool {
        let shown = Span::merged(self.on_screen(), 0);
        matches!(self.shown.stage, Stage::Grid | Stage::Scatter)
            || beats.iter().all(|b| shown.iter().any(|s| s.contains(*b)))
    }

    /// A key acts on what is seen: brings a selection that is not on the screen into view and says so, instead of `doing`.
    pub(crate) fn brought_into_view(&mut self, doing: &str) -> bool {
        let selection = &self.pointed.selection;
        if selection.is_empty() || self.selection_is_on_screen() {
            return false;
        }
        let (Some(first), Some(day)) = (selection.first(), &self.open.day) else { return false };
        let at = day_clock(&day.snapshot.recording, first);
        let words = format!(
            "Nothing was changed. The selection is now in view, at {at}; the same key again {doing}."
        );
        self.go_to(first);
        self.say(words);
        true
    }

    /// Takes out of the selection what is no longer there.
    pub(crate) fn keep_selection_true(&mut self) {
        let Some(day) = &self.open.day else { return };
        let (snapshot, selection) = (&day.snapshot, &mut self.pointed.selection);
        let stands = |sample: &i64| lookup::beat_at(snapshot, *sample).is_some();
        if !selection.beats.iter().all(stands) {
            selection.beats = selection.beats.iter().copied().filter(stands).collect::<Vec<_>>().into();
            if selection.beats.is_empty() && selection.span.is_none() && selection.event.is_none() {
                *selection = Selection::default();
            }
        }
        if let Some((kind, span)) = selection.event
            && !snapshot.events.iter().any(|e| e.kind == kind && e.span == span)
        {
            *selection = Selection::default();
        }
    }
}

fn touches(selection: &Selection, shown: Span) -> bool {
    let spans = selection.span.into_iter().chain(selection.event.map(|(_, span)| span));
    if selection.beats.is_empty() {
        spans.into_iter().any(|span| span.touches(shown))
    } else {
        !selection.within(shown).is_empty()
    }
}
