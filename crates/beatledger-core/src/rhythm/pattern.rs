//! Bigeminy and trigeminy: every second or every third beat ectopic, again and again.
//!
//! No standard fixes the shortest stretch; it is `bigeminy_cycles` repeats, printed with the figure.

use std::ops::Range;

use super::{columns::Columns, event::ectopic_event};
use crate::model::{BeatClass, Event, EventKind};

/// Which beats repeat, and which may lie between them.
struct Pattern<'a, E, B> {
    columns: &'a Columns<'a>,
    ectopic: E,
    between: B,
}

/// Appends the stretches of bigeminy and trigeminy, ventricular ones, and supraventricular ones outside atrial
/// fibrillation. A stretch runs from the beat before its first ectopic beat to its last one. Between ventricular beats
/// lie N or S beats, between supraventricular ones N beats, joined by readable intervals.
pub fn repeats(columns: &Columns<'_>, in_af: &[bool], events: &mut Vec<Event>) {
    let class = |i: usize| columns.classes[i];
    let ventricular = Pattern {
        columns,
        ectopic: |i: usize| columns.is_ventricular(i),
        between: |i: usize| matches!(class(i), BeatClass::N | BeatClass::S),
    };
    let supraventricular = Pattern {
        columns,
        ectopic: |i: usize| class(i) == BeatClass::S && !in_af[i],
        between: |i: usize| class(i) == BeatClass::N && !in_af[i],
    };
    ventricular.find(2, EventKind::VentricularBigeminy, events);
    ventricular.find(3, EventKind::VentricularTrigeminy, events);
    supraventricular.find(2, EventKind::SupraventricularBigeminy, events);
    supraventricular.find(3, EventKind::SupraventricularTrigeminy, events);
}

impl<E: Fn(usize) -> bool, B: Fn(usize) -> bool> Pattern<'_, E, B> {
    /// Appends the stretches in which an ectopic beat comes back at `every` beats.
    fn find(&self, every: usize, kind: EventKind, events: &mut Vec<Event>) {
        let columns = self.columns;
        let asked = columns.reading.settings.bigeminy_cycles as usize;
        let mut at = 0;
        while at < columns.len() {
            if !(self.ectopic)(at) {
                at += 1;
                continue;
            }
            let stretch = self.stretch_from(at, every);
            let cycles = (stretch.len() - 1) / every + 1;
            if cycles >= asked && !columns.is_doubtful(stretch.clone()) {
                let before = stretch.start.checked_sub(1);
                let lead_in = before.is_some_and(|b| (self.between)(b) && columns.joined(stretch.start));
                events.push(ectopic_event(columns, kind, stretch.start - usize::from(lead_in)..stretch.end));
            }
            at = stretch.end;
        }
    }

    /// From the ectopic beat `first` to the last one that repeats at `every` beats.
    fn stretch_from(&self, first: usize, every: usize) -> Range<usize> {
        let mut last = first;
        loop {
            let next = last + every;
            let joined = |i: usize| self.columns.joined(i);
            let repeats = next < self.columns.len()
                && (self.ectopic)(next)
                && joined(next)
                && (last + 1..next).all(|i| (self.between)(i) && joined(i));
            if !repeats {
                return first..last + 1;
            }
            last = next;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::made;
    use super::*;

    fn found(letters: &str) -> Vec<(EventKind, u32)> {
        let day = made(letters, &[800, 500]);
        let reading = day.reading();
        let mut events = Vec::new();
        let columns = Columns::new(&reading);
        repeats(&columns, &vec![false; columns.len()], &mut events);
        events.iter().map(|e| (e.kind, e.beat_count())).collect()
    }

    #[test]
    fn three_repeats_make_bigeminy_or_trigeminy_and_two_do_not() {
        use EventKind::{VentricularBigeminy as Bi, VentricularTrigeminy as Tri};
        for (letters, expected) in [
            ("NNNVNVNN", vec![]),
            ("NNNVNVNVNN", vec![(Bi, 6)]),
            ("VNVNV", vec![(Bi, 5)]),
            ("NNVNNVNN", vec![]),
            ("NNVNNVNNVNN", vec![(Tri, 8)]),
            ("NNVQVQVNN", vec![]),
            ("NVVNVNVNN", vec![(Bi, 5)]),
            ("NVNVNVNNNVNVNVN", vec![(Bi, 6), (Bi, 6)]),
            ("NFNVNFN", vec![(Bi, 6)]),
        ] {
            assert_eq!(found(letters), expected, "{letters}");
        }
    }

    #[test]
    fn supraventricular_beats_repeat_among_normal_ones_alone_and_outside_fibrillation() {
        use EventKind::{SupraventricularBigeminy as Bi, SupraventricularTrigeminy as Tri};
        for (letters, expected) in [
            ("NNNSNSNN", vec![]),
            ("NNNSNSNSNN", vec![(Bi, 6)]),
            ("NNSNNSNNSNN", vec![(Tri, 8)]),
            ("NNSVSVSNN", vec![]),
            ("NNSNSVSNSNN", vec![]),
        ] {
            let told: Vec<_> =
                found(letters).into_iter().filter(|(kind, _)| [Bi, Tri].contains(kind)).collect();
            assert_eq!(told, expected, "{letters}");
        }
        let day = made("NNNSNSNSNN", &[800, 500]);
        let reading = day.reading();
        let mut events = Vec::new();
        repeats(&Columns::new(&reading), &[true; 10], &mut events);
        assert!(events.is_empty());
    }

    #[test]
    fn unreadable_time_ends_bigeminy() {
        let day = made("NVNVNVN", &[500]).with_hole(1600, 1700);
        let reading = day.reading();
        let mut events = Vec::new();
        repeats(&Columns::new(&reading), &[false; 7], &mut events);
        assert!(events.is_empty());
    }
}
