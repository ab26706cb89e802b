//! Commands that move through the day or widen the selection; they change nothing.

use beatledger_core::model::Beat;

use crate::app::act::Act;
use crate::app::derived;
use crate::app::desk::Desk;
use crate::app::selection::Selection;

impl Desk {
    pub(crate) fn step_item(&mut self, by: isize) {
        let Some(doc) = &self.doc else { return };
        let items = &doc.derived.items;
        if items.is_empty() {
            return self.say("Nothing is open. Next: write the conclusion (Ctrl+E) and sign (Ctrl+Enter).");
        }
        let n = items.len() as isize;
        let at = match self.item {
            None => 0,
            Some((key, old)) => match items.iter().position(|i| i.key == key) {
                Some(at) => (at as isize + by).rem_euclid(n),
                // The item was settled: the one that took its place is next.
                None if by > 0 => (old as isize).min(n) % n,
                None => (old as isize - 1).rem_euclid(n),
            },
        };
        self.panels.show_items();
        self.apply(Act::Item(at as usize));
    }

    pub(crate) fn step_event(&mut self, by: isize) {
        let Some(doc) = &self.doc else { return };
        let snapshot = doc.snapshot.clone();
        let place = self.selection.event.map_or(self.place, |(_, span)| span.start);
        let chosen = self.selection.event;
        let shown = self.events.shown(&snapshot);
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
                self.panels.show_events();
                self.apply(Act::Event(index as usize));
            }
            None if by > 0 => self.say("That is the last event of the list."),
            None => self.say("That is the first event of the list."),
        }
    }

    pub(crate) fn step_beat(&mut self, by: isize) {
        let Some(doc) = &self.doc else { return };
        let many = self.selection.beats.len() > 1;
        let all: &[i64] = &self.selection.beats;
        let next = if many {
            neighbour(all.len(), |i| all[i], self.place, by)
        } else {
            let beats = &doc.snapshot.beats;
            neighbour(beats.len(), |i| beats[i].sample, self.place, by)
        };
        match next {
            Some(sample) if many => self.go_to(sample),
            Some(sample) => {
                let words = format!("beat at {}", doc.snapshot.recording.clock(sample));
                self.select(Selection::of_beats(vec![sample], words), true);
            }
            None => self.say(if by > 0 { "That is the last beat." } else { "That is the first beat." }),
        }
    }

    pub(crate) fn page(&mut self, by: i64) {
        let Some(doc) = &self.doc else { return };
        let minutes = doc.snapshot.recording.rate.samples_from_seconds(600.0);
        let step = self.panels.views.shown_span(self.stage).map_or(minutes, |s| s.len().max(1));
        self.go_to(self.place + by * step);
    }

    pub(crate) fn select_group(&mut self) {
        self.select_like("group", |beat, one| beat.group == one.group);
    }

    pub(crate) fn select_class(&mut self) {
        self.select_like("class", |beat, one| beat.class == one.class);
    }

    fn select_like(&mut self, what: &str, same: impl Fn(&Beat, &Beat) -> bool) {
        let Some(doc) = &self.doc else { return };
        let snapshot = doc.snapshot.clone();
        let first = self.beats_meant().first().and_then(|s| derived::beat_at(&snapshot, *s));
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
