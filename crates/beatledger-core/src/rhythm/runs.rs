//! Couplets and runs, ventricular and supraventricular.
//!
//! ANSI/AAMI EC57: a ventricular run is consecutive V or F beats, a supraventricular run consecutive S beats;
//! any other beat and unreadable time end it. A couplet is exactly two, a run is [`run_beats`] or more. A run
//! is ventricular tachycardia when its mean rate lies above [`run_rate_bpm`] (2017 AHA/ACC/HRS: three or more
//! beats, cycle length below 600 ms), else idioventricular (2019 HRS/EHRA/APHRS/LAHRS consensus, Table 2).
//!
//! [`run_beats`]: crate::settings::Settings::run_beats
//! [`run_rate_bpm`]: crate::settings::Settings::run_rate_bpm

use std::ops::Range;

use super::{columns::Columns, event::ectopic_event};
use crate::model::{BeatClass, Event, EventKind};

/// Beats that make a ventricular run, whatever is set for others: no setting may hide ventricular tachycardia (2017
/// AHA/ACC/HRS: three or more).
const VENTRICULAR_RUN: usize = 3;

/// Appends ventricular couplets and runs.
pub fn ventricular(columns: &Columns<'_>, events: &mut Vec<Event>) {
    for chain in columns.chains(|i| columns.is_ventricular(i)) {
        if chain.len() >= 2 && (columns.is_doubtful(chain.clone()) || columns.is_edge_of_waves(&chain)) {
            continue;
        }
        if chain.len() >= VENTRICULAR_RUN {
            events.push(ventricular_run(columns, chain));
        } else if chain.len() == 2 {
            events.push(ectopic_event(columns, EventKind::VentricularCouplet, chain));
        }
    }
}

fn ventricular_run(columns: &Columns<'_>, chain: Range<usize>) -> Event {
    let settings = columns.reading.settings;
    let bpm = columns.mean_bpm(chain.clone()).unwrap_or(0.0);
    if bpm <= settings.run_rate_bpm {
        let mut event = ectopic_event(columns, EventKind::IdioventricularRun, chain);
        if bpm > settings.accelerated_bpm {
            event.note.push_str("accelerated");
        }
        return event;
    }
    let mut event = ectopic_event(columns, EventKind::VentricularTachycardia, chain);
    event.critical = true;
    let seconds = columns.reading.recording.rate.seconds_from_samples(event.span.len() - 1);
    event.note.push_str(if seconds > settings.sustained_s { "sustained" } else { "non-sustained" });
    event
}

/// Appends supraventricular couplets and runs. A chain that touches a beat of `in_af` is left out: inside
/// atrial fibrillation every beat is early or late, and an S label says nothing about a run.
pub fn supraventricular(columns: &Columns<'_>, in_af: &[bool], events: &mut Vec<Event>) {
    for chain in supraventricular_chains(columns, in_af) {
        if chain.len() >= columns.reading.settings.run_beats as usize {
            events.push(ectopic_event(columns, EventKind::SupraventricularRun, chain));
        } else if chain.len() == 2 {
            events.push(ectopic_event(columns, EventKind::SupraventricularCouplet, chain));
        }
    }
}

/// Chains of S beats outside atrial fibrillation, single ones included.
pub fn supraventricular_chains<'s>(
    columns: &'s Columns<'_>,
    in_af: &'s [bool],
) -> impl Iterator<Item = Range<usize>> + 's {
    columns
        .chains(|i| columns.classes[i] == BeatClass::S)
        .filter(|chain| !in_af[chain.clone()].iter().any(|inside| *inside))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{Made, kinds, made};
    use super::*;

    fn runs_of(day: &Made) -> Vec<Event> {
        let reading = day.reading();
        let columns = Columns::new(&reading);
        let mut events = Vec::new();
        ventricular(&columns, &mut events);
        supraventricular(&columns, &vec![false; columns.len()], &mut events);
        events
    }

    #[test]
    fn chains_become_couplets_and_runs_by_their_length_as_in_ec57() {
        use EventKind::*;
        for (letters, expected) in [
            ("NNVNN", vec![]),
            ("NNVVNN", vec![VentricularCouplet]),
            ("NVFNN", vec![VentricularCouplet]),
            ("NVVVNN", vec![VentricularTachycardia]),
            ("NVFVFN", vec![VentricularTachycardia]),
            ("NVSVN", vec![]),
            ("NVQVN", vec![]),
            ("NSSN", vec![SupraventricularCouplet]),
            ("SSSN", vec![SupraventricularRun]),
            ("NSSVVV", vec![SupraventricularCouplet, VentricularTachycardia]),
        ] {
            let mut found = kinds(&runs_of(&made(letters, &[500])));
            found.sort();
            let mut expected = expected;
            expected.sort();
            assert_eq!(found, expected, "{letters}");
        }
    }

    /// 2017 AHA/ACC/HRS: VT is three or more beats above 100/min; a cycle of 600 ms exactly is not.
    #[test]
    fn three_beats_at_600_ms_are_idioventricular_and_at_599_ms_tachycardia() {
        for (rr, kind, critical) in [
            (600, EventKind::IdioventricularRun, false),
            (599, EventKind::VentricularTachycardia, true),
            (1500, EventKind::IdioventricularRun, false),
        ] {
            let found = runs_of(&made("NVVVN", &[rr]));
            assert_eq!((kinds(&found), found[0].critical), (vec![kind], critical), "{rr} ms");
        }
        assert_eq!(runs_of(&made("NVVVN", &[600]))[0].note, "accelerated");
        assert_eq!(runs_of(&made("NVVVN", &[1500]))[0].note, "");
    }

    #[test]
    fn a_run_spans_its_beats_and_states_their_rate() {
        let found = runs_of(&made("NVVVVN", &[1000, 400, 400, 400, 1000]));
        assert_eq!((found[0].span.start, found[0].span.end, found[0].beats), (1000, 2201, (1, 5)));
        assert_eq!(found[0].rate_bpm, Some(150.0));
    }

    #[test]
    fn unreadable_time_breaks_a_run() {
        let day = made("NVVVVN", &[400]).with_hole(900, 1100);
        assert_eq!(kinds(&runs_of(&day)), [EventKind::VentricularCouplet; 2]);
    }

    #[test]
    fn a_run_of_doubtful_beats_beside_unreadable_time_is_not_told_and_any_other_is() {
        let day = made("NNNNNNVVVNNN", &[400]).with_hole(4100, 4300);
        assert_eq!(runs_of(&day).len(), 1, "sure of it");
        let unsure = |mut day: Made| {
            day.beats.iter_mut().filter(|b| b.class == BeatClass::V).for_each(|b| b.confidence = 0.7);
            day
        };
        assert!(runs_of(&unsure(day)).is_empty());
        assert_eq!(runs_of(&unsure(made("NNNNNNVVVNNN", &[400]))).len(), 1, "nothing unreadable near");
    }

    #[test]
    fn a_longer_shortest_run_hides_no_ventricular_triplet() {
        let mut day = made("NVVVNVVVVN", &[400]);
        day.settings.run_beats = 4.0;
        assert_eq!(runs_of(&day).iter().map(Event::beat_count).collect::<Vec<_>>(), [3, 4]);
    }

    #[test]
    fn a_longer_shortest_run_leaves_supraventricular_triplets_out() {
        let day = |run_beats: f64| {
            let mut day = made("NSSSNNSSSSNSS", &[400]);
            day.settings.run_beats = run_beats;
            runs_of(&day).iter().map(|e| (e.kind, e.beats)).collect::<Vec<_>>()
        };
        let (run, couplet) = (EventKind::SupraventricularRun, EventKind::SupraventricularCouplet);
        assert_eq!(day(3.0), [(run, (1, 4)), (run, (6, 10)), (couplet, (11, 13))]);
        assert_eq!(day(4.0), [(run, (6, 10)), (couplet, (11, 13))]);
        assert_eq!(day(5.0), [(couplet, (11, 13))]);
    }

    #[test]
    fn tachycardia_of_more_than_thirty_seconds_is_sustained() {
        for (beats, note) in [(76, "non-sustained"), (77, "sustained")] {
            assert_eq!(runs_of(&made(&"V".repeat(beats), &[400]))[0].note, note);
        }
    }

    #[test]
    fn inside_atrial_fibrillation_s_labels_make_no_run() {
        let day = made("NSSSNNNNSSSN", &[500]);
        let reading = day.reading();
        let columns = Columns::new(&reading);
        let mut events = Vec::new();
        supraventricular(&columns, &columns.marks(std::iter::once(0..5)), &mut events);
        assert_eq!(events.len(), 1);
        assert_eq!(events[0].beats, (8, 11));
    }
}
