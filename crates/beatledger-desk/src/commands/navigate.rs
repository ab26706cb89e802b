//! Commands that move through the day: to the next item, event, beat or page. They change no fact.

use beatledger_core::model::Span;
use beatledger_core::session::Snapshot;
use beatledger_report::values::day_clock;

use crate::app::act::Act;
use crate::app::desk::Desk;
use crate::app::selection::Selection;
use crate::lists::open_items::{Item, ItemKey};

impl Desk {
    /// Moves the place in the day; it stays inside the recording.
    pub(crate) fn go_to(&mut self, sample: i64) {
        if let Some(day) = &self.open.day {
            self.pointed.place = sample.clamp(0, (day.snapshot.recording.samples - 1).max(0));
        }
    }

    /// Shows `span` in the lens, and goes to its middle.
    pub(crate) fn show_in_lens(&mut self, span: Span) {
        if let Some(day) = &self.open.day {
            let seconds = day.snapshot.recording.rate.seconds_from_samples(span.len());
            self.shown.panels.views.set_lens_seconds(seconds);
        }
        self.go_to(span.start.midpoint(span.end));
    }

    /// Goes to the open item `by` places after the one that was chosen last.
    pub(crate) fn step_item(&mut self, by: isize) {
        let Some(day) = &self.open.day else { return };
        let items = &day.derived.items;
        if items.is_empty() {
            return self.say("Nothing is open. Next: write the conclusion (Ctrl+E) and sign (Ctrl+Enter).");
        }
        let n = items.len() as isize;
        let at = match self.pointed.item {
            None => 0,
            Some((key, old)) => match items.iter().position(|i| i.key == key) {
                // Of many of one kind the next that was not shown comes before the next item.
                Some(at) if by > 0 && self.has_moved_on(&items[at], &day.snapshot) => at as isize,
                Some(at) => (at as isize + by).rem_euclid(n),
                // The item was settled: the one that took its place is next.
                None if by > 0 => (old as isize).min(n) % n,
                None => (old as isize - 1).rem_euclid(n),
            },
        };
        self.shown.panels.show_items();
        self.apply(Act::Item(at as usize));
    }

    /// True when an item of several places stands for another one than that which was chosen.
    fn has_moved_on(&self, item: &Item, snapshot: &Snapshot) -> bool {
        let event = item.event.and_then(|i| snapshot.events.get(i as usize));
        let other_event = event.is_some_and(|e| self.pointed.selection.event != Some((e.kind, e.span)));
        let other_place = item.place.is_some_and(|at| self.pointed.place != at);
        matches!(item.key, ItemKey::NotShown(_) | ItemKey::ForReview) && (other_event || other_place)
    }

    /// Goes to the event `by` places after the chosen one, or the first before or after the place.
    pub(crate) fn step_event(&mut self, by: isize) {
        let Some(day) = &self.open.day else { return };
        let snapshot = day.snapshot.clone();
        let place = self.pointed.selection.event.map_or(self.pointed.place, |(_, span)| span.start);
        let chosen = self.pointed.selection.event;
        let shown = self.shown.events.shown(&snapshot);
        let event = |i: u32| &snapshot.events[i as usize];
        let at =
            chosen.and_then(|(k, s)| shown.iter().position(|i| event(*i).kind == k && event(*i).span == s));
        let after = shown.partition_point(|i| event(*i).span.start < place);
        let target = match (at, by > 0) {
            (Some(at), true) => shown.get(at + 1),
            (Some(at), false) => at.checked_sub(1).and_then(|a| shown.get(a)),
            (None, true) => shown.get(after),
            (None, false) => after.checked_sub(1).and_then(|a| shown.get(a)),
        };
        match target.copied() {
            Some(index) => {
                self.shown.panels.show_events();
                self.apply(Act::Event(index as usize));
            }
            None if by > 0 => self.say("That is the last event of the list."),
            None => self.say("That is the first event of the list."),
        }
    }

    /// Goes to the beat next to the place, inside a selection of many beats to the next of them.
    pub(crate) fn step_beat(&mut self, by: isize) {
        let Some(day) = &self.open.day else { return };
        let many = self.pointed.selection.beats.len() > 1;
        let all: &[i64] = &self.pointed.selection.beats;
        let next = if many {
            neighbour(all.len(), |i| all[i], self.pointed.place, by)
        } else {
            let beats = &day.snapshot.beats;
            neighbour(beats.len(), |i| beats[i].sample, self.pointed.place, by)
        };
        match next {
            Some(sample) if many => self.go_to(sample),
            Some(sample) => {
                let words = format!("beat at {}", day_clock(&day.snapshot.recording, sample));
                self.select(Selection::of_beats(vec![sample], words), true);
            }
            None => self.say(if by > 0 { "That is the last beat." } else { "That is the first beat." }),
        }
    }

    /// Goes one page of the day strip later or earlier, ten minutes where no strip is shown.
    pub(crate) fn page(&mut self, by: i64) {
        let Some(day) = &self.open.day else { return };
        let minutes = day.snapshot.recording.rate.samples_from_seconds(600.0);
        let step = self.shown.panels.views.shown_span(self.shown.stage).map_or(minutes, |s| s.len().max(1));
        self.go_to(self.pointed.place + by * step);
    }
}

/// The sample next to `place` among `n` sorted samples, later or earlier.
fn neighbour(n: usize, sample: impl Fn(usize) -> i64, place: i64, by: isize) -> Option<i64> {
    let (mut low, mut high) = (0, n);
    // First index whose sample is after `place` (going later) or not before it (going earlier).
    while low < high {
        let mid = low.midpoint(high);
        let before = if by > 0 { sample(mid) <= place } else { sample(mid) < place };
        if before { low = mid + 1 } else { high = mid }
    }
    let at = if by > 0 { low } else { low.checked_sub(1)? };
    (at < n).then(|| sample(at))
}
