//! What must have stood on the screen before a reader can say that a day was reviewed.

use crate::model::{DiaryKind, EventKind, Span};
use crate::session::Snapshot;

/// Of a longer event its first and its last part must be shown, s (design choice: where it begins and ends decides what it is).
const PART_S: f64 = 60.0;

/// A place that must be shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ToShow {
    /// An event: index into the events of the snapshot.
    Event(usize),
    /// A symptom: index into the diary of the snapshot.
    Symptom(usize),
}

/// The events that must be read before signing, the extremes of the day and the symptoms that were not shown yet, in order
/// of time.
pub fn not_shown(snapshot: &Snapshot) -> Vec<ToShow> {
    use EventKind::{FastestRate, LongestRr, SlowestRate};
    let events = snapshot
        .events
        .iter()
        .enumerate()
        .filter(|(_, e)| e.critical || matches!(e.kind, FastestRate | LongestRr | SlowestRate));
    let events = events.filter(|(_, e)| !is_shown(snapshot, e.span));
    let mut places: Vec<(i64, ToShow)> = events.map(|(i, e)| (e.span.start, ToShow::Event(i))).collect();
    let symptoms = snapshot.diary.iter().enumerate().filter(|(_, d)| d.kind == DiaryKind::Symptom);
    let inside = symptoms.filter(|(_, d)| snapshot.recording.whole().contains(d.span.start));
    let unseen = inside.filter(|(_, d)| !is_shown(snapshot, Span::new(d.span.start, d.span.start + 1)));
    places.extend(unseen.map(|(i, d)| (d.span.start, ToShow::Symptom(i))));
    places.sort_by_key(|(at, _)| *at);
    places.into_iter().map(|(_, place)| place).collect()
}

/// True when the whole span was on the screen; of a long one its first and its last minute.
pub fn is_shown(snapshot: &Snapshot, span: Span) -> bool {
    let part = snapshot.recording.rate.samples_from_seconds(PART_S);
    let span = span.overlap(snapshot.recording.whole());
    let parts = if span.len() <= 2 * part {
        [span, span]
    } else {
        [Span::new(span.start, span.start + part), Span::new(span.end - part, span.end)]
    };
    parts.iter().all(|part| part.covered_by(&snapshot.read) == part.len())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Event, EventState, Origin};
    use crate::review::Fold;
    use crate::rhythm::testing::made;
    use crate::settings::Settings;
    use std::sync::Arc;

    fn day() -> Snapshot {
        let day = made(&"N".repeat(400), &[1000]);
        let found = Arc::new(day.found());
        Snapshot::new(Arc::new(day.recording), &Settings::default(), found, Fold::default())
    }

    #[test]
    fn the_extremes_of_a_day_must_be_shown_and_are_then_asked_for_no_more() {
        let mut day = day();
        let kinds = |day: &Snapshot| -> Vec<EventKind> {
            let of = |place: &ToShow| match place {
                ToShow::Event(i) => Some(day.events[*i].kind),
                ToShow::Symptom(_) => None,
            };
            not_shown(day).iter().filter_map(of).collect()
        };
        assert!(kinds(&day).contains(&EventKind::LongestRr), "{:?}", kinds(&day));
        day.read = Arc::new(vec![day.recording.whole()]);
        assert_eq!(not_shown(&day), []);
    }

    #[test]
    fn a_long_event_is_shown_by_its_first_and_its_last_minute() {
        let mut day = day();
        let long = Span::new(10_000, 310_000);
        let event = Event {
            kind: EventKind::AtrialFibrillation,
            span: long,
            beats: (0, 0),
            rate_bpm: None,
            state: EventState::Kept,
            origin: Origin::Found,
            critical: true,
            note: String::new(),
            certainty: crate::model::Certainty::sure(),
        };
        day.events = Arc::new(vec![event]);
        let with = |read: &[(i64, i64)]| {
            let mut day = day.clone();
            day.read = Arc::new(read.iter().map(|(a, b)| Span::new(*a, *b)).collect());
            not_shown(&day)
        };
        assert_eq!(with(&[(10_000, 70_000)]), [ToShow::Event(0)], "its end was not on the screen");
        assert_eq!(with(&[(10_000, 70_000), (250_000, 310_000)]), []);
        assert_eq!(with(&[(10_000, 69_000), (250_000, 310_000)]), [ToShow::Event(0)]);
    }
}
