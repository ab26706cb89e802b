//! How much of each figure is selected: worked out once per selection and snapshot.

use std::sync::Arc;

use beatledger_core::model::{Event, Figure, FigureValue, Proof, Summary};
use beatledger_core::session::Snapshot;

use crate::app::selection::Selection;
use crate::paint::picture_keys::SelectionKey;

/// Selected beats or events of each figure, in the order of the figures.
#[derive(Default)]
pub struct Shares {
    key: Option<(SelectionKey, Arc<Summary>)>,
    counts: Vec<Option<usize>>,
}

impl Shares {
    /// Brings the counts up to date.
    pub fn refresh(&mut self, snapshot: &Snapshot, selection: &Selection) {
        let key = SelectionKey::of(selection);
        let fresh = self
            .key
            .as_ref()
            .is_some_and(|(k, summary)| *k == key && Arc::ptr_eq(summary, &snapshot.summary));
        if !fresh {
            self.counts = counts(snapshot, selection);
            self.key = Some((key, snapshot.summary.clone()));
        }
    }

    /// How much of the figure at `index` is selected; `None` where nothing is or nothing can be counted.
    pub fn of(&self, index: usize) -> Option<usize> {
        self.counts.get(index).copied().flatten().filter(|n| *n > 0)
    }
}

fn counts(snapshot: &Snapshot, selection: &Selection) -> Vec<Option<usize>> {
    if selection.is_empty() {
        return Vec::new();
    }
    let chosen = chosen(snapshot, selection);
    let of = |figure: &Figure| {
        // Only counts have a share: a share of a rate or of a duration has no meaning.
        (matches!(figure.value, FigureValue::Count(_)) && figure.unit.is_empty())
            .then(|| share(snapshot, &figure.proof, &chosen))?
    };
    snapshot.summary.figures.iter().map(of).collect()
}

/// One flag a beat: it is selected, or lies inside the selected span.
fn chosen(snapshot: &Snapshot, selection: &Selection) -> Vec<bool> {
    let span = selection.span.filter(|_| selection.beats.is_empty());
    let mut wanted = selection.beats.iter().peekable();
    let is_chosen = |sample: i64| {
        // Both lists are sorted: one walk over them is enough.
        while wanted.next_if(|s| **s < sample).is_some() {}
        wanted.peek() == Some(&&sample) || span.is_some_and(|s| s.contains(sample))
    };
    snapshot.beats.iter().map(|b| b.sample).map(is_chosen).collect()
}

fn share(snapshot: &Snapshot, proof: &Proof, chosen: &[bool]) -> Option<usize> {
    let touched = |e: &Event| {
        let (from, to) = (e.beats.0 as usize, e.beats.1 as usize);
        chosen.get(from..to.max(from)).is_some_and(|flags| flags.contains(&true))
    };
    let events = &snapshot.events;
    Some(match proof {
        Proof::AllBeats => chosen.iter().filter(|c| **c).count(),
        Proof::Class(class) => {
            snapshot.beats.iter().zip(chosen).filter(|(b, c)| **c && b.class == *class).count()
        }
        Proof::Beats(list) => list.iter().filter(|i| chosen.get(**i as usize) == Some(&true)).count(),
        Proof::Kind(kind) => events.iter().filter(|e| e.kind == *kind && e.counts() && touched(e)).count(),
        Proof::Events(list) => {
            list.iter().filter_map(|i| events.get(*i as usize)).filter(|e| touched(e)).count()
        }
        Proof::Spans(_) | Proof::Whole => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tests::made::MadeDay;
    use beatledger_core::model::{BeatClass, Span};

    #[test]
    fn selected_beats_are_counted_in_their_figure_and_a_span_counts_what_lies_in_it() {
        let day = MadeDay::minutes(20).snapshot();
        let of = |selection: &Selection, key: &str| {
            let mut shares = Shares::default();
            shares.refresh(&day, selection);
            shares.of(day.summary.figures.iter().position(|f| f.key == key).unwrap())
        };
        let v: Vec<i64> = day.beats.iter().filter(|b| b.class == BeatClass::V).map(|b| b.sample).collect();
        assert!(v.len() > 2);
        assert_eq!(of(&Selection::of_beats(v[..2].to_vec(), "two"), "v_beats"), Some(2));
        assert_eq!(of(&Selection::default(), "v_beats"), None);
        let span = Span::new(v[0], v[1]);
        assert_eq!(of(&Selection::of_span(span, "between"), "v_beats"), Some(1));
    }
}
