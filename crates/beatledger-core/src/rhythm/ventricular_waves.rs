//! Ventricular flutter or fibrillation as events: what was found in the samples, for a reader to confirm.

use super::calibration::DOUBTFUL_WAVES;
use crate::model::{Certainty, DoubtfulWaves, Event, EventKind, EventState, Origin, Reading};

/// Appends every stretch of waves without beats. All of them must be read before signing.
pub fn candidates(reading: &Reading<'_>, events: &mut Vec<Event>) {
    for span in reading.ventricular_waves() {
        let inside = reading.beats_in(*span);
        let doubtful = reading.found.and_then(|f| f.doubtful_waves.iter().find(|d| d.span == *span));
        let doubt = |d: &DoubtfulWaves| Certainty::of(DOUBTFUL_WAVES, || d.doubt.words().to_owned());
        events.push(Event {
            kind: EventKind::VentricularFibrillation,
            span: *span,
            beats: (inside.start as u32, inside.end as u32),
            rate_bpm: None,
            state: EventState::Unread,
            origin: Origin::Found,
            critical: true,
            note: "waves without beats".to_owned(),
            certainty: doubtful.map_or_else(Certainty::sure, doubt),
        });
    }
}

#[cfg(test)]
mod tests {
    use super::super::events;
    use super::super::testing::{kinds, made};
    use super::*;
    use crate::model::{Found, Span};

    #[test]
    fn flutter_or_fibrillation_is_told_as_such_and_is_no_pause_and_no_run() {
        let mut day = made(&"N".repeat(60), &[800]);
        let waves = Span::new(16_100, 24_700);
        let found = Found { ventricular_waves: vec![waves], ..Found::default() };
        day.beats.retain(|b| !waves.contains(b.sample));
        let told = events(&day.reading().with_found(&found));
        let fibrillation: Vec<_> =
            told.iter().filter(|e| e.kind == EventKind::VentricularFibrillation).collect();
        assert_eq!((fibrillation.len(), fibrillation[0].span, fibrillation[0].critical), (1, waves, true));
        assert!(!kinds(&told).contains(&EventKind::Pause), "no beat for 8 s is no pause here");
        let longest = told.iter().find(|e| e.kind == EventKind::LongestRr).unwrap();
        assert_eq!(longest.span.len(), 801);
    }

    #[test]
    fn a_few_ventricular_beats_at_its_edge_are_a_part_of_it_and_a_run_before_it_is_told() {
        for (letters, runs) in [("NNNNVVVNNNNNNNNNNNNN", 0), ("VVVVVVVNNNNNNNNNNNNN", 1)] {
            let waves = Span::new(3_100, 9_000);
            let mut day = made(letters, &[500]);
            day.beats.retain(|b| !waves.contains(b.sample));
            let found = Found { ventricular_waves: vec![waves], ..Found::default() };
            let told = events(&day.reading().with_found(&found));
            let is_run = |e: &&Event| e.kind == EventKind::VentricularTachycardia;
            assert_eq!(told.iter().filter(is_run).count(), runs, "{letters}");
        }
    }

    #[test]
    fn beats_inside_are_back_when_a_reader_disagrees_and_their_intervals_count() {
        let day = made(&"N".repeat(60), &[800]);
        let found = Found { ventricular_waves: vec![Span::new(16_100, 24_700)], ..Found::default() };
        let reading = day.reading().with_found(&found);
        assert!(reading.rr_ms[1..].iter().all(|rr| *rr == 800.0));
    }
}
