//! Ventricular bigeminy and trigeminy: every second or every third beat ventricular, again and again.
//!
//! No standard fixes the shortest stretch; it is `bigeminy_cycles` repeats, printed with the figure.

use std::ops::Range;

use super::{columns::Columns, event_over};
use crate::model::{BeatClass, Event, EventKind};

/// Appends the stretches of bigeminy and trigeminy. A stretch runs from the beat before its first ventricular
/// beat to its last ventricular beat; the beats between are N or S, joined by readable intervals.
pub fn repeats(columns: &Columns<'_>, events: &mut Vec<Event>) {
    for (every, kind) in [(2, EventKind::VentricularBigeminy), (3, EventKind::VentricularTrigeminy)] {
        let mut at = 0;
        while at < columns.len() {
            if !columns.is_ventricular(at) {
                at += 1;
                continue;
            }
            let stretch = stretch_from(columns, at, every);
            let cycles = (stretch.len() - 1) / every + 1;
            let is_long = cycles >= columns.reading.settings.bigeminy_cycles as usize;
            if is_long && !columns.is_doubtful(stretch.clone()) {
                let lead_in =
                    usize::from(stretch.start > 0 && is_between(columns, stretch.start - 1, stretch.start));
                events.push(event_over(columns, kind, stretch.start - lead_in..stretch.end));
            }
            at = stretch.end;
        }
    }
}

/// From the ventricular beat `first` to the last one that repeats at `every` beats.
fn stretch_from(columns: &Columns<'_>, first: usize, every: usize) -> Range<usize> {
    let mut last = first;
    loop {
        let next = last + every;
        let repeats = next < columns.len()
            && columns.is_ventricular(next)
            && columns.joined(next)
            && (last + 1..next).all(|i| is_between(columns, i, i));
        if !repeats {
            return first..last + 1;
        }
        last = next;
    }
}

/// True when beat `i` is N or S and an interval ends at beat `joint`.
fn is_between(columns: &Columns<'_>, i: usize, joint: usize) -> bool {
    matches!(columns.classes[i], BeatClass::N | BeatClass::S) && columns.joined(joint)
}

#[cfg(test)]
mod tests {
    use super::super::testing::made;
    use super::*;

    fn found(letters: &str) -> Vec<(EventKind, u32)> {
        let day = made(letters, &[800, 500]);
        let reading = day.reading();
        let mut events = Vec::new();
        repeats(&Columns::new(&reading), &mut events);
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
    fn unreadable_time_ends_bigeminy() {
        let day = made("NVNVNVN", &[500]).with_hole(1600, 1700);
        let reading = day.reading();
        let mut events = Vec::new();
        repeats(&Columns::new(&reading), &mut events);
        assert!(events.is_empty());
    }
}
