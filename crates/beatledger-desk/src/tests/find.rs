//! What a line of find selects, beat by beat, on days whose beats are known.

use beatledger_core::model::{BeatClass, EventKind, LocalTime, Span};
use beatledger_core::review::{Edit, Entry};

use super::by_hand::*;
use crate::app::derived::Derived;
use crate::commands::find::{Answer, answer};

fn ask(day: &Day, entries: &[Entry], line: &str, place: i64) -> Result<Answer, String> {
    let snapshot = day.snapshot(entries);
    answer(line, &snapshot, &Derived::of(&snapshot), place)
}

/// Checks each line against the samples of the beats that it names.
fn check(day: &Day, entries: &[Entry], lines: &[(&str, &[i64])]) {
    for (line, samples) in lines {
        assert_eq!(ask(day, entries, line, 0), Ok(Answer::Beats(samples.to_vec())), "{line}");
    }
}

const RUN: [i64; 4] = [8700, 9200, 9700, 10_200];

#[test]
fn intervals_are_compared_to_the_ms() {
    check(
        &mixed_day(),
        &[],
        &[
            ("V", &[3200, 8700, 9200, 9700, 10_200]),
            ("V rr < 550 ms", &RUN),
            ("V rr <= 500 ms", &RUN),
            ("V rr < 500 ms", &[]),
            ("rr > 900 ms", &[4200, 6600]),
            ("rr >= 0.9 s", &[4200, 6600, 11_100]),
            ("coupling < 600 ms", &RUN),
            ("coupling >= 600 ms", &[3200, 5600]),
            ("coupling < 2 s", &[3200, 5600, 8700, 9200, 9700, 10_200]),
            ("rate > 110", &RUN),
            ("rate >= 120 bpm", &RUN),
            ("rate > 120", &[]),
            ("rate < 61", &[4200, 6600]),
        ],
    );
    let Ok(Answer::Beats(with_rr)) = ask(&mixed_day(), &[], "rr < 5 s", 0) else { panic!() };
    assert_eq!((with_rr.len(), with_rr[0]), (17, 1800), "the first beat ends no interval");
}

#[test]
fn confidence_groups_and_what_was_not_measured() {
    let day = mixed_day().sure(4, 0.5).sure(5, 0.6).sure(6, 0.7);
    check(
        &day,
        &[],
        &[
            ("confidence < 0.65", &[4200, 5000]),
            ("confidence < 65 %", &[4200, 5000]),
            ("uncertain", &[4200]),
            ("S confidence > 0.65", &[5600]),
            ("group 2", &[3200, 8700, 9200, 9700, 10_200]),
            ("group 3", &[5600]),
            ("width > 10 ms", &[]),
            ("width < 500 ms", &[]),
        ],
    );
}

#[test]
fn changed_and_found_tell_who_is_behind_the_label() {
    let entries = [entry(1, Edit::Relabel { beats: vec![1800, 3200], class: BeatClass::V })];
    check(
        &mixed_day(),
        &entries,
        &[
            ("changed", &[1800, 3200]),
            ("V changed", &[1800, 3200]),
            ("V found", &RUN),
            ("S V found", &[5600, 8700, 9200, 9700, 10_200]),
        ],
    );
}

#[test]
fn times_of_the_day_start_with_the_first_and_end_before_the_second() {
    check(
        &mixed_day(),
        &[],
        &[
            ("between 21:30:01 and 21:30:02", &[1000, 1800]),
            ("between 21:30:03 and 21:30:06", &[3200, 4200, 5000, 5600]),
            ("V between 21:30:03 and 21:30:09", &[3200, 8700]),
            ("between 23:00 and 21:30:02", &[1000, 1800]),
            ("between 21:30:02 and 21:30:02", &[]),
        ],
    );
}

#[test]
fn night_starts_and_ends_at_the_hours_of_the_settings() {
    // By default the night lasts from 23:00 to 07:00.
    let at = |h: i64, min: i64, s: i64| {
        let mut day = day("NNN", &[800]);
        day.recording.start = Some(LocalTime(((h * 60 + min) * 60 + s) * 1000));
        day
    };
    // Beats 1.0, 1.8 and 2.6 s after the start.
    check(&at(22, 59, 58), &[], &[("at night", &[2600]), ("by day", &[1000, 1800])]);
    check(&at(6, 59, 58), &[], &[("at night", &[1000, 1800]), ("by day", &[2600])]);
    check(&at(23, 59, 58), &[], &[("at night", &[1000, 1800, 2600]), ("by day", &[])]);
    check(&at(12, 0, 0), &[], &[("at night", &[]), ("by day", &[1000, 1800, 2600])]);
}

/// Kinds and starts of the events that a line names.
fn events(entries: &[Entry], line: &str) -> Vec<(EventKind, i64)> {
    let day = mixed_day();
    let snapshot = day.snapshot(entries);
    let Ok(Answer::Events(found)) = ask(&day, entries, line, 0) else { panic!("{line} names no events") };
    found.iter().map(|i| &snapshot.events[*i as usize]).map(|e| (e.kind, e.span.start)).collect()
}

#[test]
fn events_are_told_apart_by_kind_class_and_what_was_said() {
    let run = (EventKind::VentricularTachycardia, 8700);
    for line in ["runs", "V runs", "VT", "critical", "unread runs", "runs between 21:30:08 and 21:30:09"] {
        assert_eq!(events(&[], line), [run], "{line}");
    }
    for line in ["S runs", "pauses", "kept runs", "dropped runs", "runs between 21:30:09 and 21:31"] {
        assert_eq!(events(&[], line), [], "{line}");
    }
    let (kind, span) = (EventKind::VentricularTachycardia, Span::new(8700, 10_201));
    let kept = [entry(1, Edit::KeepEvent { kind, span })];
    assert_eq!((events(&kept, "kept runs"), events(&kept, "unread runs")), (vec![run], vec![]));
    let dropped = [entry(1, Edit::DropEvent { kind, span })];
    assert_eq!((events(&dropped, "dropped"), events(&dropped, "unread runs")), (vec![run], vec![]));
    assert_eq!(events(&[], "events").len(), mixed_day().snapshot(&[]).events.len());
}

#[test]
fn a_clock_time_is_a_place_and_one_outside_says_when_the_recording_runs() {
    let day = mixed_day();
    assert_eq!(ask(&day, &[], "21:30:05", 0), Ok(Answer::Place(5000)));
    assert_eq!(ask(&day, &[], "21:30", 9000), Ok(Answer::Place(0)));
    assert_eq!(
        ask(&day, &[], "21:45", 0),
        Err("21:45:00 is not in this recording, which runs from 21:30:00 to 21:30:14.".into())
    );
    assert!(ask(&day, &[], "21:29:59", 0).is_err());
    // The same time of the next day, and again the first one from there on; two days at one sample a second.
    let mut days = mixed_day();
    days.recording.rate = beatledger_core::model::Rate::whole_hz(1);
    days.recording.samples = 2 * 86_400;
    days.recording.segments = vec![Span::new(0, days.recording.samples)];
    days.found.beats.clear();
    for (place, to) in [(0, 5), (5, 86_405), (86_404, 86_405), (86_405, 5)] {
        assert_eq!(ask(&days, &[], "21:30:05", place), Ok(Answer::Place(to)), "from {place}");
    }
}

/// The day begins at 21:30; its last two beats lie after midnight.
#[test]
fn a_date_is_a_place_and_beats_are_found_on_it() {
    let day = day("NVNV", &[1000, 10_000_000, 1000]);
    let place = |line| ask(&day, &[], line, 0);
    assert_eq!(place("01-02"), Ok(Answer::Place(9_000_000)));
    assert_eq!(place("1970-01-02 00:10"), Ok(Answer::Place(9_600_000)));
    assert_eq!(place("01-01"), Ok(Answer::Place(0)));
    let Ok(Answer::Beats(late)) = place("V on 1970-01-02") else { panic!() };
    assert!(late.len() == 1 && late[0] > 9_000_000, "{late:?}");
    let outside = place("1970-01-05 10:00").unwrap_err();
    assert!(outside.contains("from 1970-01-01 21:30:00 to 1970-01-02"), "{outside}");
}
