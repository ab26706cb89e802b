//! Pauses and the longest RR interval.
//!
//! A pause is an RR interval of `pause_ms` or more (reporting tiers of 2.0, 2.5 and 3.0 s, common practice)
//! inside readable time; from `critical_pause_ms` on (3 s notify level) it must be read before signing.
//! The span of a pause runs from the beat before to one past the beat after.

use super::{columns::Columns, dropped_beats, event::event_over};
use crate::model::{Event, EventKind, RrCause};

/// Appends the pauses.
pub fn pauses(columns: &Columns<'_>, in_af: &[bool], events: &mut Vec<Event>) {
    let settings = columns.reading.settings;
    for i in 1..columns.len() {
        let rr = f64::from(columns.rr_ms[i]);
        if rr >= settings.pause_ms {
            let mut event = event_over(columns, EventKind::Pause, i - 1..i + 1);
            event.critical = rr >= settings.critical_pause_ms;
            event.note.push_str(cause_words(columns, in_af, i));
            events.push(event);
        }
    }
}

/// What a long interval that ends at beat `i` follows.
pub fn cause(columns: &Columns<'_>, in_af: &[bool], i: usize) -> RrCause {
    if in_af[i - 1] || in_af[i] {
        RrCause::Fibrillation
    } else if columns.is_ectopic(i - 1) {
        RrCause::AfterEctopy
    } else {
        RrCause::Sinus
    }
}

/// What a long interval that ends at beat `i` follows, in trade words.
pub fn cause_words(columns: &Columns<'_>, in_af: &[bool], i: usize) -> &'static str {
    match cause(columns, in_af, i) {
        RrCause::Sinus if dropped_beats::fits_one_dropped(columns, i) => {
            "sinus, twice the local interval: may hide a beat that was not conducted"
        }
        cause => cause.words(),
    }
}

/// Index of the beat that ends the longest interval among those that `may_count` lets through; the first one
/// when several are equally long.
pub fn longest(columns: &Columns<'_>, may_count: impl Fn(usize) -> bool) -> Option<usize> {
    let mut best: Option<usize> = None;
    for (i, rr) in columns.rr_ms.iter().enumerate() {
        if rr.is_finite() && best.is_none_or(|b| *rr > columns.rr_ms[b]) && may_count(i) {
            best = Some(i);
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::super::testing::{Made, made};
    use super::*;

    fn found(day: &Made) -> Vec<Event> {
        let reading = day.reading();
        let columns = Columns::new(&reading);
        let mut events = Vec::new();
        pauses(&columns, &vec![false; columns.len()], &mut events);
        events
    }

    #[test]
    fn an_interval_of_2000_ms_is_a_pause_and_of_1999_ms_is_not() {
        assert_eq!(found(&made("NNN", &[800, 1999])).len(), 0);
        let pause = &found(&made("NNN", &[800, 2000]))[0];
        assert_eq!((pause.span.start, pause.span.end, pause.beats), (800, 2801, (1, 3)));
        assert_eq!(pause.rate_bpm, Some(30.0));
    }

    #[test]
    fn a_pause_of_3000_ms_must_be_read_before_signing() {
        assert!(!found(&made("NNN", &[800, 2999]))[0].critical);
        assert!(found(&made("NNN", &[800, 3000]))[0].critical);
    }

    #[test]
    fn time_that_cannot_be_read_is_never_a_pause() {
        assert!(found(&made("NNN", &[800, 4000]).with_hole(2000, 2001)).is_empty());
    }

    #[test]
    fn a_pause_says_what_it_follows() {
        let steady = [800; 12];
        for (letters, long_ms, note) in [
            ("NNNNNNNNNNNVN", 2500, "after ectopy"),
            ("NNNNNNNNNNNSN", 2500, "after ectopy"),
            ("NNNNNNNNNNNNN", 2500, "sinus"),
            ("NNNNNNNNNNNNN", 1000 * 2, "sinus"),
        ] {
            let mut rr = steady;
            rr[11] = long_ms;
            assert_eq!(found(&made(letters, &rr))[0].note, note, "{letters} {long_ms}");
        }
        let mut rr = [1100; 12];
        rr[11] = 2200;
        assert!(found(&made("NNNNNNNNNNNNN", &rr))[0].note.contains("may hide a beat"));
    }

    #[test]
    fn a_pause_in_atrial_fibrillation_says_so() {
        let day = made("NNN", &[800, 2400]);
        let reading = day.reading();
        let mut events = Vec::new();
        pauses(&Columns::new(&reading), &[true, true, true], &mut events);
        assert_eq!(events[0].note, "in atrial fibrillation");
    }
}
