//! What stands in the row of an hour, at its very edges and after a reader's word.

use super::hours::clock_hours;
use super::*;
use crate::model::{BeatClass, Event, EventKind, EventState, HourRow, Origin, Rate, Span, Summary};
use crate::rhythm::{self, testing::Made, testing::made, testing::sinus};

const HOUR: i64 = 3_600_000;

fn said(kind: EventKind, state: EventState, start: i64, end: i64) -> Event {
    Event {
        kind,
        span: Span::new(start, end),
        beats: (0, 0),
        rate_bpm: None,
        state,
        origin: Origin::Reader,
        critical: false,
        note: String::new(),
        certainty: crate::model::Certainty::sure(),
    }
}

fn with(day: &Made, more: &[Event]) -> Summary {
    let reading = day.reading();
    let mut events = rhythm::events(&reading);
    events.extend_from_slice(more);
    summarise(&reading, &events, &[])
}

/// From 10:59:59.999 at 128.5 Hz: the first sample at or after 11:00 is the first of the next hour.
#[test]
fn an_hour_begins_with_the_first_sample_at_or_after_it() {
    let mut day = sinus(&[1000; 10]).starting_at(11 * HOUR - 4);
    day.recording.samples = HOUR + 10;
    let edges = |day: &Made| clock_hours(&day.recording).iter().map(|s| (s.start, s.end)).collect::<Vec<_>>();
    assert_eq!(edges(&day), [(0, 4), (4, HOUR + 4), (HOUR + 4, HOUR + 10)]);
    // 4 ms are 0.514 samples: sample 0 lies before the hour, sample 1 behind it.
    day.recording.rate = Rate::new(257, 2).unwrap();
    day.recording.samples = 100;
    assert_eq!(edges(&day), [(0, 1), (1, 100)]);
}

/// V beats at 11:00:00.000 and one before it; an interval and a pause that begin in the first hour end in the second.
#[test]
fn what_begins_at_the_edge_of_an_hour_belongs_to_the_hour_it_begins_in() {
    // Beats every second from 10:59:00; beat 60 stands at 11:00:00.
    let mut letters = vec!['N'; 121];
    (letters[59], letters[60]) = ('S', 'N');
    letters[61] = 'V';
    let day = made(&letters.iter().collect::<String>(), &[1000]).starting_at(11 * HOUR - 60_000);
    let rows = with(&day, &[]).hours;
    assert_eq!((rows[0].beats, rows[1].beats), (60, 61));
    assert_eq!((rows[0].s_singles, rows[1].s_singles, rows[0].v_singles, rows[1].v_singles), (1, 0, 0, 1));
    let mut at_edge = day.clone();
    at_edge.beats[60].class = BeatClass::V;
    at_edge.beats[61].class = BeatClass::N;
    let rows = with(&at_edge, &[]).hours;
    assert_eq!(
        (rows[0].v_beats, rows[1].v_beats, rows[1].v_singles),
        (0, 1, 1),
        "a beat on the stroke of the hour"
    );
    // The interval of 2.4 s begins 1 s before the hour and ends in it.
    let mut rr = vec![1000; 100];
    rr[59] = 2400;
    let rows = with(&sinus(&rr).starting_at(11 * HOUR - 60_000), &[]).hours;
    assert_eq!((rows[0].pauses, rows[1].pauses), (1, 0));
    assert_eq!((rows[0].longest_rr_ms, rows[1].longest_rr_ms), (Some(2400.0), Some(1000.0)));
    assert!((rows[0].mean_bpm.unwrap() - 60.0 * 60.0 / 61.4).abs() < 1e-9);
    assert_eq!(rows[1].mean_bpm, Some(60.0));
    let at_hour = said(EventKind::SupraventricularRun, EventState::Changed, 60_000, 62_000);
    let rows = with(&day, &[at_hour]).hours;
    assert_eq!((rows[0].s_runs, rows[1].s_runs), (0, 1));
}

/// A window belongs to the hour in which it begins: of beats at 1000 ms before the hour and 500 ms after it, the last
/// window of the first hour holds seven of 500 ms.
#[test]
fn a_rate_window_belongs_to_the_hour_in_which_it_begins() {
    let rr = [vec![1000; 60], vec![500; 60]].concat();
    let rows = with(&sinus(&rr).starting_at(11 * HOUR - 60_000), &[]).hours;
    let bpm = |b: Option<f64>| b.map(|b| (10.0 * b).round() / 10.0);
    assert_eq!((bpm(rows[0].min_bpm), bpm(rows[0].max_bpm)), (Some(60.0), Some(106.7)));
    assert_eq!((bpm(rows[1].min_bpm), bpm(rows[1].max_bpm)), (Some(120.0), Some(120.0)));
}

/// Fibrillation from 10:50 to 11:20 with the five minutes from 11:05 unreadable.
#[test]
fn fibrillation_and_readable_time_stand_in_the_hours_that_they_lie_in() {
    let day = sinus(&vec![1000; 7200]).starting_at(10 * HOUR).with_hole(65 * 60_000, 70 * 60_000);
    let af = said(EventKind::AtrialFibrillation, EventState::Changed, 50 * 60_000, 80 * 60_000);
    let found = with(&day, std::slice::from_ref(&af));
    let row = |h: usize| (found.hours[h].af_s, found.hours[h].readable_s);
    assert_eq!((row(0), row(1)), ((600.0, 3600.0), (900.0, 3300.0)));
    assert!((found.day.af_s - 1500.0).abs() < 1e-9 && (found.day.readable_s - 6900.001).abs() < 1e-6);
    let dropped = with(&day, &[Event { state: EventState::Dropped, ..af }]);
    assert_eq!((dropped.hours[0].af_s, dropped.day.af_s), (0.0, 0.0));
}

/// Two hours, the first with a minute at 50 bpm and one at 100 bpm, the second with a pause.
#[test]
fn extremes_that_a_reader_drops_leave_the_row_of_their_hour_and_no_other() {
    let mut rr = vec![800; 4500];
    rr.splice(1000..1010, [1200; 10]);
    rr.splice(2000..2010, [600; 10]);
    rr.extend(vec![800; 4000]);
    rr[6000] = 2700;
    let day = sinus(&rr);
    let plain = with(&day, &[]);
    let row = |s: &Summary, h: usize| {
        let HourRow { min_bpm, max_bpm, longest_rr_ms, .. } = s.hours[h];
        (min_bpm.map(f64::round), max_bpm.map(f64::round), longest_rr_ms)
    };
    assert_eq!(row(&plain, 0), (Some(50.0), Some(100.0), Some(1200.0)));
    assert_eq!(row(&plain, 1), (Some(75.0), Some(75.0), Some(2700.0)));
    let slow = said(EventKind::SlowestRate, EventState::Dropped, 780_000, 830_000);
    let fast = said(EventKind::FastestRate, EventState::Dropped, 1_580_000, 1_640_000);
    let pause = said(EventKind::Pause, EventState::Dropped, 4_700_000, 4_900_000);
    assert_eq!(row(&with(&day, &[slow]), 0), (Some(75.0), Some(100.0), Some(1200.0)));
    assert_eq!(row(&with(&day, &[fast]), 0), (Some(50.0), Some(75.0), Some(1200.0)));
    assert_eq!(row(&with(&day, std::slice::from_ref(&pause)), 1), (Some(75.0), Some(75.0), Some(800.0)));
    assert_eq!(with(&day, &[pause]).day.longest_rr_ms, Some(1200.0));
    let mean = 60_000.0 * 8500.0 / (8479.0 * 800.0 + 12_000.0 + 6_000.0 + 2700.0);
    assert!((plain.day.mean_bpm.unwrap() - mean).abs() < 1e-9);
    assert_ne!(plain.hours[0].mean_bpm, plain.hours[1].mean_bpm);
}

/// A minute of 600 and 1000 ms in turn of eight each; an interval belongs to the minute in which it begins.
#[test]
fn a_point_of_the_trend_holds_the_slowest_mean_and_fastest_rate_of_its_minute() {
    let rr = [vec![1000; 30], vec![600; 50], vec![800; 74], vec![1600; 1], vec![800; 75]].concat();
    let trend = with(&sinus(&rr), &[]).trend;
    assert_eq!(trend[0], (0, 60.0, (60.0 * 80.0 / 60.0) as f32, 100.0));
    // 74 of 800 ms and one of 1600 ms begin in the second minute, which the last one leaves at 120.8 s.
    assert!((trend[1].2 - (60.0 * 75.0 / 60.8) as f32).abs() < 1e-4, "{:?}", trend[1]);
    assert_eq!(trend[2].2, 75.0);
}
