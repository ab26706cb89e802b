//! Choosing beats and spans: what a click or a drag on tracing asks for.

use std::ops::Range;

use beatledger_core::model::{Beat, Span};
use beatledger_report::values::day_clock;

use crate::app::act::Act;
use crate::app::selection::Selection;
use crate::shell::view_context::ViewContext;

/// Index of the beat nearest to `sample`.
pub fn nearest_beat(beats: &[Beat], sample: i64) -> Option<usize> {
    let after = beats.partition_point(|b| b.sample < sample);
    let before = after.checked_sub(1);
    match (before, beats.get(after)) {
        (Some(b), Some(a)) if a.sample - sample < sample - beats[b].sample => Some(after),
        (Some(b), _) => Some(b),
        (None, Some(_)) => Some(after),
        (None, None) => None,
    }
}

/// Indices of the beats inside `span`.
pub fn beats_in(beats: &[Beat], span: Span) -> Range<usize> {
    let from = beats.partition_point(|b| b.sample < span.start);
    from..beats.partition_point(|b| b.sample < span.end).max(from)
}

/// The new selection after choosing `beats`: with `add` they join what is selected already.
pub fn chosen(old: &Selection, add: bool, beats: Vec<i64>, span: Option<Span>, words: String) -> Selection {
    if !add || old.is_empty() {
        return Selection { span, ..Selection::of_beats(beats, words) };
    }
    let mut all = old.beats.to_vec();
    all.extend(beats);
    Selection::of_beats(all, format!("{} and {words}", old.words))
}

/// Selects the nearest beat within 1.5 s; further away only the place moves.
pub fn select_beat(view: &mut ViewContext<'_>, sample: i64, add: bool) {
    let recording = &view.snapshot.recording;
    let reach = recording.rate.samples_from_seconds(1.5);
    let beats = &view.snapshot.beats;
    let near = nearest_beat(beats, sample).map(|i| beats[i]).filter(|b| (b.sample - sample).abs() <= reach);
    let Some(beat) = near else {
        return view.acts.push(Act::GoTo(sample.clamp(0, (recording.samples - 1).max(0))));
    };
    let words = format!("beat {} at {}", beat.class.letter(), day_clock(recording, beat.sample));
    let selection = chosen(view.selection, add, vec![beat.sample], None, words);
    view.acts.push(Act::Select { selection, go: false });
    view.acts.push(Act::GoTo(beat.sample));
}

/// Selects a span with the beats in it.
pub fn select_span(view: &mut ViewContext<'_>, span: Span, add: bool) {
    if span.is_empty() {
        return;
    }
    let recording = &view.snapshot.recording;
    let beats = &view.snapshot.beats[beats_in(&view.snapshot.beats, span)];
    let words = format!("{} to {}", day_clock(recording, span.start), day_clock(recording, span.end - 1));
    let selection = chosen(view.selection, add, beats.iter().map(|b| b.sample).collect(), Some(span), words);
    view.acts.push(Act::Select { selection, go: false });
    view.acts.push(Act::GoTo(span.start));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn adding_to_a_selection_keeps_what_was_selected() {
        let old = Selection::of_beats(vec![5, 1], "group 1");
        let both = chosen(&old, true, vec![3], None, "beat V".into());
        assert_eq!(*both.beats, [1, 3, 5]);
        assert_eq!(both.words, "group 1 and beat V");
        assert_eq!(*chosen(&old, false, vec![3], None, "beat V".into()).beats, [3]);
    }
}
