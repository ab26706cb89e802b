//! Pauses by reporting tier, and the longest RR interval of each cause.

use std::sync::Arc;

use super::Day;
use super::day::inside_one;
use crate::model::{Event, EventKind, LongestRr, PauseTier, RrCause};
use crate::rhythm::pauses;

/// The tiers of 2.0, 2.5 and 3.0 s as set, the lowest first. A tier below `pause_ms` holds no more than that one, as
/// shorter intervals are no pauses.
pub fn tiers(day: &Day<'_>) -> Vec<PauseTier> {
    let settings = day.reading().settings;
    let mut limits = [
        (settings.pause_ms, "pause_ms"),
        (settings.pause_middle_ms, "pause_middle_ms"),
        (settings.critical_pause_ms, "critical_pause_ms"),
    ];
    limits.sort_by(|a, b| a.0.total_cmp(&b.0));
    let all = day.events_of(&[EventKind::Pause]);
    let tier = |(limit_ms, setting): (f64, &'static str)| {
        let long = |i: &u32| day.interval_ms(&day.events[*i as usize]) >= limit_ms;
        let events: Arc<[u32]> = all.iter().copied().filter(long).collect();
        let mut by_cause = [0; 3];
        for event in events.iter() {
            by_cause[cause_of(day, &day.events[*event as usize]) as usize] += 1;
        }
        PauseTier { limit_ms, setting, events, by_cause }
    };
    limits.into_iter().map(tier).collect()
}

/// The cause of a pause; sinus for one that a reader put where no interval ends.
fn cause_of(day: &Day<'_>, event: &Event) -> RrCause {
    let last = (event.beats.1 as usize).saturating_sub(1);
    let is_interval = last >= 1 && last < day.columns.len() && event.beat_count() >= 2;
    if is_interval { pauses::cause(&day.columns, &day.in_af, last) } else { RrCause::Sinus }
}

/// Index of the beat that ends the longest interval of `cause` (`None` for any) that no dropped pause or longest RR
/// covers.
pub fn longest_interval(day: &Day<'_>, cause: Option<RrCause>) -> Option<usize> {
    let dropped = day.dropped_of(&[EventKind::LongestRr, EventKind::Pause]);
    pauses::longest(&day.columns, |i| {
        cause.is_none_or(|c| pauses::cause(&day.columns, &day.in_af, i) == c)
            && !inside_one(&dropped, day.span_of_beats(i - 1, i))
    })
}

/// The longest interval of all, then of each cause.
pub fn longest(day: &Day<'_>) -> Vec<LongestRr> {
    let of = |cause| {
        let last = longest_interval(day, cause);
        LongestRr {
            cause,
            ms: last.map(|i| f64::from(day.columns.rr_ms[i])),
            place: last.map(|i| day.span_of_beats(i - 1, i)),
        }
    };
    std::iter::once(None).chain(RrCause::ALL.map(Some)).map(of).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rhythm::{self, testing::made};

    /// Intervals of 2.0, 2.4, 2.5, 2.9, 3.0 and 4.2 s among 0.8 s; the last follows a V beat.
    #[test]
    fn tiers_count_every_pause_at_or_above_their_limit_with_its_cause() {
        let mut rr = vec![800; 70];
        for (at, ms) in [(9, 2000), (19, 2400), (29, 2500), (39, 2900), (49, 3000), (60, 4200)] {
            rr[at] = ms;
        }
        let letters = format!("{}V{}", "N".repeat(60), "N".repeat(10));
        let day = made(&letters, &rr);
        let reading = day.reading();
        let events = rhythm::events(&reading);
        let laid = Day::new(&reading, &events);
        let found = tiers(&laid);
        let counts: Vec<_> = found.iter().map(|t| (t.limit_ms, t.events.len(), t.by_cause)).collect();
        assert_eq!(counts, [(2000.0, 6, [5, 1, 0]), (2500.0, 4, [3, 1, 0]), (3000.0, 2, [1, 1, 0])]);
        let longest: Vec<_> = longest(&laid).iter().map(|l| l.ms).collect();
        assert_eq!(longest, [Some(4200.0), Some(3000.0), Some(4200.0), None]);
    }
}
