//! Dropped-beat candidates: an interval about twice the local one, which may hide a beat that was not conducted.
//!
//! Design rule: an RR interval of `dropped_low_ratio` to `dropped_high_ratio` local medians, in sinus rhythm,
//! not after an ectopic beat, in readable time. It is a candidate and never called block: no P wave was
//! followed through. An interval that is a pause is reported once, as a pause, whose note then says so.

use super::calibration::{FEWEST_FOR_MEDIAN, LONGER_THAN_NEIGHBOUR, MEDIAN_SIDE};
use super::{columns::Columns, event::event_over};
use crate::model::{Event, EventKind};

/// Appends the dropped-beat candidates that are not pauses.
pub fn dropped(columns: &Columns<'_>, in_af: &[bool], events: &mut Vec<Event>) {
    let pause_ms = columns.reading.settings.pause_ms;
    for i in 1..columns.len() {
        let rr = columns.rr_ms[i];
        // The shorter neighbour is a cheap bound that spares nearly every interval its median.
        let longer =
            |at: usize| columns.rr_ms.get(at).is_some_and(|other| rr > LONGER_THAN_NEIGHBOUR * other);
        if (longer(i - 1) || longer(i + 1))
            && f64::from(rr) < pause_ms
            && !in_af[i - 1]
            && !in_af[i]
            && !columns.is_ectopic(i - 1)
            && fits_one_dropped(columns, i)
        {
            events.push(event_over(columns, EventKind::DroppedBeatCandidate, i - 1..i + 1));
        }
    }
}

/// True when the interval that ends at beat `i` lasts about two local intervals.
pub fn fits_one_dropped(columns: &Columns<'_>, i: usize) -> bool {
    let settings = columns.reading.settings;
    local_median_ms(columns, i).is_some_and(|median| {
        let ratio = f64::from(columns.rr_ms[i]) / median;
        (settings.dropped_low_ratio..=settings.dropped_high_ratio).contains(&ratio)
    })
}

/// Median of the intervals around the one that ends at beat `i` that touch no ectopic beat, ms.
fn local_median_ms(columns: &Columns<'_>, i: usize) -> Option<f64> {
    let mut near = [0f32; 2 * MEDIAN_SIDE];
    let mut count = 0;
    for j in i.saturating_sub(MEDIAN_SIDE).max(1)..(i + MEDIAN_SIDE + 1).min(columns.len()) {
        if j != i && columns.joined(j) && !columns.is_ectopic(j - 1) && !columns.is_ectopic(j) {
            near[count] = columns.rr_ms[j];
            count += 1;
        }
    }
    if count < FEWEST_FOR_MEDIAN {
        return None;
    }
    near[..count].sort_unstable_by(f32::total_cmp);
    Some((f64::from(near[(count - 1) / 2]) + f64::from(near[count / 2])) / 2.0)
}

#[cfg(test)]
mod tests {
    use super::super::testing::made;
    use super::*;

    fn count(letters: &str, long_ms: i64, in_af: bool) -> usize {
        let mut rr = vec![700; letters.len() - 1];
        rr[9] = long_ms;
        let day = made(letters, &rr);
        let reading = day.reading();
        let columns = Columns::new(&reading);
        let mut events = Vec::new();
        dropped(&columns, &vec![in_af; columns.len()], &mut events);
        events.len()
    }

    #[test]
    fn about_twice_the_local_interval_is_a_candidate() {
        let sinus = "N".repeat(20);
        for (long_ms, expected) in [(1259, 0), (1260, 1), (1400, 1), (1540, 1), (1541, 0)] {
            assert_eq!(count(&sinus, long_ms, false), expected, "{long_ms} ms");
        }
    }

    /// Of an even number of intervals the local one is the mean of the middle two: 800 and 1000 make 900.
    #[test]
    fn the_local_interval_of_two_kinds_lies_between_them() {
        let mut rr = [800, 1000].repeat(10);
        for (long_ms, fits) in [(1619, false), (1620, true), (1980, true), (1981, false)] {
            rr[9] = long_ms;
            rr.truncate(18);
            let day = made(&"N".repeat(19), &rr);
            let reading = day.reading();
            assert_eq!(fits_one_dropped(&Columns::new(&reading), 10), fits, "{long_ms}");
        }
    }

    #[test]
    fn not_after_an_ectopic_beat_not_in_fibrillation_and_not_a_pause() {
        assert_eq!(count("NNNNNNNNNVNNNNNNNNNN", 1400, false), 0);
        assert_eq!(count("NNNNNNNNNSNNNNNNNNNN", 1400, false), 0);
        assert_eq!(count(&"N".repeat(20), 1400, true), 0);
        assert_eq!(count(&"N".repeat(20), 2000, false), 0);
    }
}
