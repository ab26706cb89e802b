//! Slowest and fastest rate, longest RR, and slow and fast sinus rate that is held.
//!
//! No standard fixes the window of the slowest and the fastest rate; it is the mean of `rate_window_beats`
//! consecutive RR intervals, printed with the figure. Left out of every window are intervals that touch a
//! ventricular beat, lie inside a supraventricular run, are pauses, or cross unreadable time: the extremes are
//! those of the underlying rhythm, not of ectopy or of a hole.

use super::calibration::RATE_BRIDGE_S;
use super::{columns::Columns, event::event_over, origin::against_sinus, pauses, runs};
use crate::model::{Event, EventKind};

/// Mean rate of the intervals between beats `first` and `last`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// First beat.
    pub first: usize,
    /// Last beat.
    pub last: usize,
    /// Mean rate, bpm.
    pub bpm: f64,
}

/// Every window of the day, in order.
pub fn windows(columns: &Columns<'_>, in_af: &[bool]) -> Vec<Window> {
    let settings = columns.reading.settings;
    let width = (settings.rate_window_beats as usize).max(1);
    let run_beats = settings.run_beats as usize;
    let in_run =
        columns.marks(runs::supraventricular_chains(columns, in_af).filter(|chain| chain.len() >= run_beats));
    let mut windows = Vec::with_capacity(columns.len());
    let mut held = 0;
    for last in 1..columns.len() {
        let in_one_run = in_run[last] && in_run[last - 1];
        let ventricular = columns.is_ventricular(last) || columns.is_ventricular(last - 1);
        let usable = f64::from(columns.rr_ms[last]) < settings.pause_ms && !ventricular && !in_one_run;
        held = if usable { held + 1 } else { 0 };
        if held >= width {
            let first = last - width;
            let samples = columns.samples[last] - columns.samples[first];
            if samples > 0 {
                windows.push(Window { first, last, bpm: columns.bpm_from_samples(width, samples) });
            }
        }
    }
    windows
}

/// Slowest of `windows` that `may_count` lets through; the first when several are equal.
pub fn slowest(windows: &[Window], may_count: impl Fn(&Window) -> bool) -> Option<Window> {
    pick(windows, may_count, |new, best| new < best)
}

/// Fastest of `windows` that `may_count` lets through; the first when several are equal.
pub fn fastest(windows: &[Window], may_count: impl Fn(&Window) -> bool) -> Option<Window> {
    pick(windows, may_count, |new, best| new > best)
}

fn pick(
    windows: &[Window],
    may_count: impl Fn(&Window) -> bool,
    better: impl Fn(f64, f64) -> bool,
) -> Option<Window> {
    let mut best: Option<Window> = None;
    for window in windows {
        if best.is_none_or(|b| better(window.bpm, b.bpm)) && may_count(window) {
            best = Some(*window);
        }
    }
    best
}

/// Appends the slowest and the fastest window and the longest RR of the day.
pub fn extremes(columns: &Columns<'_>, in_af: &[bool], windows: &[Window], events: &mut Vec<Event>) {
    for (kind, window) in [
        (EventKind::SlowestRate, slowest(windows, |_| true)),
        (EventKind::FastestRate, fastest(windows, |_| true)),
    ] {
        let Some(window) = window else { continue };
        let mut event = event_over(columns, kind, window.first..window.last + 1);
        if in_af[window.first] && in_af[window.last] {
            event.note.push_str("in atrial fibrillation");
        }
        events.push(event);
    }
    if let Some(i) = pauses::longest(columns, |_| true) {
        let mut event = event_over(columns, EventKind::LongestRr, i - 1..i + 1);
        event.note.push_str(pauses::cause_words(columns, in_af, i));
        events.push(event);
    }
}

/// Appends sinus bradycardia and tachycardia: outside atrial fibrillation, windows below `brady_bpm` or above
/// `tachy_bpm` that hold for `rate_episode_s` or more. Excursions and ectopy of up to ten seconds do not end
/// an episode; unreadable time does.
pub fn episodes(columns: &Columns<'_>, in_af: &[bool], windows: &[Window], events: &mut Vec<Event>) {
    let settings = columns.reading.settings;
    hold(columns, in_af, windows, EventKind::Bradycardia, |bpm| bpm < settings.brady_bpm, events);
    hold(columns, in_af, windows, EventKind::Tachycardia, |bpm| bpm > settings.tachy_bpm, events);
}

fn hold(
    columns: &Columns<'_>,
    in_af: &[bool],
    windows: &[Window],
    kind: EventKind,
    beyond: impl Fn(f64) -> bool,
    events: &mut Vec<Event>,
) {
    let bridge = columns.reading.recording.rate.samples_from_seconds(RATE_BRIDGE_S);
    let mut open: Option<(usize, usize)> = None;
    for window in windows {
        if !beyond(window.bpm) || in_af[window.first] || in_af[window.last] {
            continue;
        }
        open = match open {
            Some((first, last)) if reaches(columns, in_af, last, window.first, bridge) => {
                Some((first, window.last))
            }
            other => {
                close(columns, kind, &beyond, other, events);
                Some((window.first, window.last))
            }
        };
    }
    close(columns, kind, &beyond, open, events);
}

/// True when nothing but a short excursion or ectopy lies between beats `from` and `to`.
fn reaches(columns: &Columns<'_>, in_af: &[bool], from: usize, to: usize, bridge_samples: i64) -> bool {
    to <= from
        || (columns.samples[to] - columns.samples[from] <= bridge_samples
            && (from + 1..=to).all(|i| columns.joined(i) && !in_af[i]))
}

fn close(
    columns: &Columns<'_>,
    kind: EventKind,
    beyond: impl Fn(f64) -> bool,
    open: Option<(usize, usize)>,
    events: &mut Vec<Event>,
) {
    let Some((first, last)) = open else { return };
    let samples = columns.samples[last] - columns.samples[first];
    let held_s = columns.reading.recording.rate.seconds_from_samples(samples);
    let mean_bpm = columns.mean_bpm(first..last + 1);
    if held_s >= columns.reading.settings.rate_episode_s && mean_bpm.is_some_and(beyond) {
        let beats = first..last + 1;
        let against = (kind == EventKind::Tachycardia).then(|| against_sinus(columns, &beats)).flatten();
        events.push(match against {
            None => event_over(columns, kind, beats),
            Some(reason) => {
                Event { note: reason.to_owned(), ..event_over(columns, EventKind::RegularTachycardia, beats) }
            }
        });
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{Made, kinds, made};
    use super::*;

    fn found(day: &Made) -> Vec<Event> {
        let reading = day.reading();
        let columns = Columns::new(&reading);
        let in_af = vec![false; columns.len()];
        let windows = windows(&columns, &in_af);
        let mut events = Vec::new();
        extremes(&columns, &in_af, &windows, &mut events);
        episodes(&columns, &in_af, &windows, &mut events);
        events
    }

    fn rate_of(day: &Made, kind: EventKind) -> Option<f32> {
        found(day).iter().find(|e| e.kind == kind).and_then(|e| e.rate_bpm)
    }

    /// A minute of `rr`, framed by plenty of 75 bpm.
    fn framed(rr: i64, beats: usize) -> Made {
        let mut all = vec![800; 40];
        all.extend(vec![rr; beats]);
        all.extend(vec![800; 40]);
        made(&"N".repeat(all.len() + 1), &all)
    }

    #[test]
    fn the_extremes_are_means_of_eight_intervals() {
        let day = framed(500, 8);
        assert_eq!(rate_of(&day, EventKind::FastestRate), Some(120.0));
        let seven = framed(500, 7);
        assert_eq!(
            rate_of(&seven, EventKind::FastestRate),
            Some((60_000.0 * 8.0 / (7.0 * 500.0 + 800.0)) as f32)
        );
        assert_eq!(rate_of(&day, EventKind::SlowestRate), Some(75.0));
    }

    #[test]
    fn ventricular_beats_pauses_and_holes_move_no_extreme() {
        let mut rr = vec![800; 60];
        rr[20] = 400;
        rr[21] = 1200;
        rr[40] = 2500;
        let mut letters = vec!['N'; 61];
        letters[21] = 'V';
        let day = made(&letters.iter().collect::<String>(), &rr).with_hole(9_000, 9_500);
        assert_eq!(rate_of(&day, EventKind::SlowestRate), Some(75.0));
        assert_eq!(rate_of(&day, EventKind::FastestRate), Some(75.0));
        assert_eq!(rate_of(&day, EventKind::LongestRr), Some(24.0));
    }

    #[test]
    fn a_supraventricular_run_is_not_the_fastest_rate() {
        let day = made(&format!("{}{}{}", "N".repeat(20), "S".repeat(12), "N".repeat(20)), &{
            let mut rr = vec![800; 51];
            rr[19..31].fill(350);
            rr
        });
        assert!(rate_of(&day, EventKind::FastestRate).is_some_and(|bpm| bpm < 85.0));
    }

    /// Four S beats at 400 ms among beats at 800 ms, rates over three intervals: the three between them are the fastest
    /// only where four beats are no run.
    #[test]
    fn supraventricular_beats_that_are_fewer_than_a_run_count_for_the_fastest_rate() {
        let mut rr = [800; 30];
        rr[10..13].fill(400);
        let mut day = made(&format!("{}SSSS{}", "N".repeat(10), "N".repeat(17)), &rr);
        day.settings.rate_window_beats = 3.0;
        for (run_beats, bpm) in [(3.0, 75.0), (4.0, 75.0), (5.0, 150.0)] {
            day.settings.run_beats = run_beats;
            assert_eq!(rate_of(&day, EventKind::FastestRate), Some(bpm), "{run_beats} beats make a run");
        }
    }

    #[test]
    fn a_rate_held_for_a_minute_is_an_episode() {
        for (rr, beats, expected) in [
            (1250, 48, Some(EventKind::Bradycardia)),
            (1250, 40, None),
            (1200, 60, None),
            // A rate that neither breathes nor rises and falls: its mechanism is not told.
            (500, 120, Some(EventKind::RegularTachycardia)),
            (500, 100, None),
            (600, 120, None),
        ] {
            let day = framed(rr, beats);
            let held: Vec<_> = kinds(&found(&day))
                .into_iter()
                .filter(|k| matches!(k, EventKind::Bradycardia | EventKind::RegularTachycardia))
                .collect();
            assert_eq!(held, expected.into_iter().collect::<Vec<_>>(), "{beats} intervals of {rr} ms");
        }
    }

    #[test]
    fn no_beats_no_rate() {
        assert!(found(&made("", &[])).is_empty());
        assert!(found(&made("N", &[])).is_empty());
    }
}
