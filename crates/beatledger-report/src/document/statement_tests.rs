//! What the report must say, and why: each statement here keeps a reader from taking a page for more than it is.

use beatledger_core::model::{Event, EventKind, EventState, Origin, OtherSignal, Warning};
use beatledger_core::review::{Edit, Orphan};
use beatledger_core::session::Snapshot;

use super::reader::{said, said_short};
use super::{Block, Report, ReportContext, Section, SignOff, SignState, Style, build};
use crate::json;
use crate::made::{self, HOLE, V_AT};
use crate::tables::shown;

pub(super) fn signed() -> SignOff {
    SignOff {
        reader: "A. Reader".into(),
        role: "cardiologist".into(),
        meaning: "reviewed and approved".into(),
        at_utc_ms: 1_709_600_000_000,
        utc_offset_min: 60,
    }
}

pub(super) fn context(sign: SignState) -> ReportContext {
    ReportContext {
        program: "beatledger 0.1.0".into(),
        created_utc_ms: 1_709_700_000_000,
        utc_offset_min: -210,
        sign,
        ledger_head: "ab".repeat(32),
        ledger_entries: 17,
        recorder_utc_offset_min: None,
    }
}

pub(super) fn report(snapshot: &Snapshot, sign: SignState) -> Report {
    build(snapshot, &context(sign))
}

pub(super) fn section<'a>(report: &'a Report, heading: &str) -> Option<&'a Section> {
    report.sections.iter().find(|s| s.heading == heading)
}

fn paragraphs(section: &Section) -> Vec<(Style, &str)> {
    section
        .blocks
        .iter()
        .filter_map(
            |b| if let Block::Paragraph(style, text) = b { Some((*style, text.as_str())) } else { None },
        )
        .collect()
}

/// A printed page leaves the program behind: each limit must stand on it, and in the file that another program reads.
#[test]
fn every_caution_stands_in_the_report_and_in_the_summary_file() {
    let expected = [
        // A page may be taken for that of a medical device.
        "Research and education software. It is not a cleared or certified medical device.",
        // Somebody must be responsible.
        "Every result needs review by a qualified, licensed clinician, who stays responsible for what is concluded and done.",
        // Nobody watches.
        "Not for monitoring, alarms or emergencies: the recording is read after the fact.",
        // A clean page is no proof of health.
        "The absence of a finding does not exclude disease. Unreadable time may hide anything.",
        // Most beats are those of the program alone.
        "Beats and events that no reader has confirmed may be wrong, missed or misnamed.",
        // One day does not settle a burden.
        "Counts vary from day to day; one day is a sample. In published series several days were needed before counts of ectopic beats settled.",
        // A number names no cause.
        "Rate, interval, ST and variability values are measurements, not diagnoses.",
        // Limits differ from house to house.
        "Local rules and the standing orders of the reading service come before anything printed here.",
    ];
    for snapshot in [made::snapshot(&[]), made::empty()] {
        let report = report(&snapshot, SignState::Signed(signed()));
        let cautions = paragraphs(section(&report, "Cautions").unwrap());
        assert_eq!(cautions, expected.map(|text| (Style::Point, text)));
        assert_eq!(json::summary_file(&snapshot).cautions, expected);
        assert_eq!(report.sections.last().unwrap().heading, "Cautions");
    }
}

/// Who reads the first page alone must still meet the main limits.
#[test]
fn the_first_page_names_its_limits_and_an_empty_list_of_events_claims_no_health() {
    let report = report(&made::snapshot(&[]), SignState::Signed(signed()));
    let first = paragraphs(&report.sections[0]);
    let note = "Research and education software, not a cleared medical device. A qualified, licensed clinician reviews \
                and stays responsible; see Cautions.";
    assert_eq!(first.last().unwrap(), &(Style::Note, note));
    let empty = super::build(&made::empty(), &ReportContext::default());
    let events = paragraphs(section(&empty, "Events").unwrap());
    assert_eq!(events, [(Style::Body, "No event was found. That does not exclude disease.")]);
    let diary = paragraphs(section(&empty, "Diary").unwrap());
    assert_eq!(diary, [(Style::Body, "The recording holds no diary entry.")]);
}

/// Where nothing could be read nothing can be found: the reader must see how much and where.
#[test]
fn unreadable_time_is_told_on_the_first_page_in_the_trend_and_in_the_list_of_events() {
    let snapshot = made::snapshot(&[]);
    let report = report(&snapshot, SignState::NotSigned);
    let text = report.to_text().replace('\u{a0}', " ");
    // 170 of 180 s; the gap of 10 s is 0.17 min.
    assert!(text.contains("\nReadable: 94.4 %\nLongest gap: 0.2 min\n"), "{text}");
    assert!(text.contains("\nReadable time: 2 min 50 s (computed)\n"), "{text}");
    let Block::Trend(chart) = &report.sections[1].blocks[0] else { panic!("the day starts with the trend") };
    let [(from, to)] = chart.unreadable[..] else { panic!("{:?}", chart.unreadable) };
    assert!((from - 100.0 / 3600.0).abs() < 1e-12 && (to - 110.0 / 3600.0).abs() < 1e-12);
    let note = "Line: mean of each minute, band: slowest to fastest. Shaded: night, 23 to 7 h. Hatched: unreadable. \
                Numbers on top: diary.";
    assert_eq!(paragraphs(&report.sections[1])[0], (Style::Note, note));
    // 100 s after 23:58:30; no beats and no rate are claimed for it.
    assert!(text.contains("\nUnreadable time | 00:00:10 | 10.0 s | – | – |  | –\n"), "{text}");
    assert_eq!(snapshot.unreadable.as_slice(), [HOLE]);
}

/// A line drawn through a hole would be a rate that nobody measured.
#[test]
fn the_trend_breaks_where_a_minute_has_no_rate_and_its_axis_holds_all_of_it() {
    let mut snapshot = made::snapshot(&[]);
    let mut summary = (*snapshot.summary).clone();
    let minute = 60 * made::HZ;
    summary.trend = vec![
        (0, 52.0, 61.0, 77.0),
        (minute, 55.0, 64.0, 71.0),
        (2 * minute, f32::NAN, 64.0, 71.0),
        (3 * minute, 39.0, 48.0, 121.0),
    ];
    snapshot.summary = summary.into();
    let report = report(&snapshot, SignState::NotSigned);
    let Block::Trend(chart) = &report.sections[1].blocks[0] else { panic!("the day starts with the trend") };
    let rates: Vec<Vec<(f32, f32, f32)>> =
        chart.pieces.iter().map(|p| p.iter().map(|x| (x.1, x.2, x.3)).collect()).collect();
    assert_eq!(rates, [vec![(52.0, 61.0, 77.0), (55.0, 64.0, 71.0)], vec![(39.0, 48.0, 121.0)]]);
    // The middle of the fourth minute.
    assert!((chart.pieces[1][0].0 - 3.5 / 60.0).abs() < 1e-9);
    assert_eq!(chart.range_bpm, (20.0, 140.0), "whole twenties around 39 and 121 bpm");
    assert!(
        chart.words.starts_with("Rate trend of the day: minute means from 48 to 64 bpm; "),
        "{}",
        chart.words
    );
    assert_eq!(chart.hours, 0.05);
}

/// Limits decide counts: a reader must see which were in force, and which were changed.
#[test]
fn the_settings_page_marks_what_differs_from_the_default_and_says_the_default() {
    let edit = Edit::ChangeSetting { key: "pause_ms".into(), value: 1850.5 };
    let snapshot = made::snapshot(&[edit]);
    let report = report(&snapshot, SignState::NotSigned);
    let Block::Table(table) = &section(&report, "Settings").unwrap().blocks[0] else { panic!("a table") };
    let row = |key: &str| table.rows.iter().find(|r| r.cells[0] == key).unwrap();
    assert_eq!(row("pause_ms").cells[2..4], ["1850.5 (default 2000)".to_owned(), "ms".to_owned()]);
    assert_eq!(row("critical_pause_ms").cells[2..4], ["3000".to_owned(), "ms".to_owned()]);
    assert_eq!(row("st_change_mv").cells[2..4], ["0.1".to_owned(), "mV".to_owned()]);
    let strong: Vec<&str> = table.rows.iter().filter(|r| r.strong).map(|r| r.cells[0].as_str()).collect();
    assert_eq!(strong, ["pause_ms"]);
    assert_eq!(row("pause_ms").cells[1], "An RR interval at least this long is a pause.");
    assert_eq!(row("pause_ms").cells[4], "reporting tiers 2.0, 2.5, 3.0 s, common practice");
    assert_eq!(table.rows.len(), beatledger_core::settings::TABLE.len());
    let tiers = shown(&snapshot).into_iter().find(|t| t.about.key == "pause_tiers").unwrap();
    let words = "Settings: pause_ms 1850.5 ms, pause_middle_ms 2500 ms, critical_pause_ms 3000 ms.";
    assert!(tiers.note.ends_with(words), "{}", tiers.note);
}

/// A signal that was left out, a file that was odd or an edit without a target may be why a finding is missing.
#[test]
fn what_was_odd_is_told_and_no_empty_page_is_made_of_nothing() {
    let mut snapshot = made::snapshot(&[]);
    assert!(section(&report(&snapshot, SignState::NotSigned), "What was odd").is_none());
    let mut recording = made::recording();
    recording.warnings = vec![
        Warning::new("cut", "byte 4096", "The file ends early."),
        Warning::new("clock", "", "The clock jumped."),
    ];
    recording.others = vec![OtherSignal { name: "Resp".into(), reason: "it is no ECG".into() }];
    snapshot.recording = recording.into();
    snapshot.orphans = vec![Orphan { seq: 6, words: "2 beats removed".into(), missing: 1 }];
    let report = report(&snapshot, SignState::NotSigned);
    let told = paragraphs(section(&report, "What was odd").unwrap());
    let expected = [
        "byte 4096: The file ends early.",
        "The clock jumped.",
        "Signal 'Resp' is not read: it is no ECG",
        "Edit 6 (2 beats removed) is without a target for 1 of its places",
    ];
    assert_eq!(told, expected.map(|text| (Style::Point, text)));
}

/// What a program found and what a reader said are never told in the same words.
#[test]
fn each_state_of_an_event_has_its_own_words() {
    let mut event = made::snapshot(&[]).events[0].clone();
    event.kind = EventKind::Pause;
    for (state, origin, long, short) in [
        (EventState::Unread, Origin::Found, "found by program, not confirmed", "not confirmed"),
        (EventState::Kept, Origin::Found, "found by program, confirmed by reader", "confirmed"),
        (EventState::Changed, Origin::Found, "changed by reader", "changed by reader"),
        (EventState::Changed, Origin::Reader, "set by reader", "set by reader"),
        (EventState::Dropped, Origin::Found, "dropped by reader", "dropped by reader"),
    ] {
        (event.state, event.origin) = (state, origin);
        assert_eq!((said(&event), said_short(&event)), (long, short));
    }
    (event.state, event.origin) = (EventState::Unread, Origin::Found);
    for kind in [EventKind::SlowestRate, EventKind::FastestRate, EventKind::LongestRr, EventKind::Unreadable]
    {
        event.kind = kind;
        assert_eq!(said_short(&event), "–", "a place of the day is nothing to confirm");
    }
}

/// Beats that nobody changed must not look reviewed.
#[test]
fn the_first_page_says_whether_any_beat_was_changed() {
    let text = |edits: &[Edit]| report(&made::snapshot(edits), SignState::NotSigned).to_text();
    let untouched = "\nBeats: 213 stand as the program found and labelled them; no reader changed any.\n";
    // 225 beats less the 12 of the ten seconds that cannot be read.
    assert_eq!(made::beats().len(), 213);
    assert!(text(&[]).contains(untouched));
    let edits = [
        Edit::RemoveBeats { beats: vec![300, 500, 700] },
        Edit::MoveBeat { from: V_AT, to: V_AT + 3 },
        Edit::MoveBeat { from: 1_100, to: 1_104 },
    ];
    let line = "\nBeats: 210 stand. A reader relabelled 0, placed 0, took away 3, and confirmed or moved 2; all others \
                stand as the program labelled them.\n";
    assert!(text(&edits).contains(line), "{}", text(&edits));
}

/// A reader's tracing is paper: the scale must stand beside it.
#[test]
fn the_strips_say_scale_letters_and_that_the_program_chose_them() {
    let report = report(&made::snapshot(&[]), SignState::NotSigned);
    let first = paragraphs(section(&report, "Tracing").unwrap())[0];
    assert_eq!(first.0, Style::Note);
    for words in [
        "Chosen by the program.",
        "25 mm/s and 10 mm/mV when printed at 100 %: 5 mm are 200 ms and 0.5 mV.",
        "The pulse before each lead is 1 mV and 200 ms.",
        "N normal, S supraventricular ectopic, V ventricular ectopic, F fusion, Q unclassifiable",
        "underlined where a reader set it",
        "Numbers between: RR in ms.",
    ] {
        assert!(first.1.contains(words), "{words}");
    }
}

/// Hours and five minutes give values of the same name that mean other things.
#[test]
fn variability_and_st_carry_their_own_warnings() {
    let report = report(&made::snapshot(&[]), SignState::NotSigned);
    let last = *paragraphs(section(&report, "Heart rate variability").unwrap()).last().unwrap();
    let note = "Measurements, not diagnoses. Values of a day and of five minutes are never compared with each other.";
    assert_eq!(last, (Style::Note, note));
    let st = "Change of position imitates ST change: look at the tracing. A level is a measurement, not a diagnosis, and 'ST \
              change' names no cause.";
    assert!(paragraphs(section(&report, "Intervals, ST and leads").unwrap()).contains(&(Style::Strong, st)));
}

/// A list that is cut must say so: what is not printed is not absent.
#[test]
fn more_than_twelve_events_of_a_kind_are_counted_below_the_list() {
    let mut snapshot = made::snapshot(&[]);
    let event = Event {
        kind: EventKind::VentricularCouplet,
        rate_bpm: Some(133.6),
        beats: (40, 42),
        note: "multiform".into(),
        ..snapshot.events[0].clone()
    };
    let mut rows = |count: usize| {
        snapshot.events = vec![event.clone(); count].into();
        let report = report(&snapshot, SignState::NotSigned);
        let section = section(&report, "Events").unwrap();
        let note = "Found by the program unless the last column says that a reader set them. At most 12 of a kind are \
                    printed, in order of time; the event list file holds all.";
        assert_eq!(paragraphs(section), [(Style::Note, note)]);
        let Some(Block::Table(table)) = section.blocks.last() else { panic!("the events are a table") };
        table.rows.iter().map(|r| r.cells.join(" | ")).collect::<Vec<_>>()
    };
    assert_eq!(rows(12).len(), 12);
    let fifteen = rows(15);
    assert_eq!((fifteen.len(), fifteen[12].as_str()), (13, "and 3 more |  |  |  |  |  | "));
    assert!(
        fifteen[0].starts_with("Ventricular couplet | ")
            && fifteen[0].ends_with(" | 2 | 134 | multiform | not confirmed")
    );
}
