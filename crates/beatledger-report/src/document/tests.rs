//! What the report says, word for word where it matters.

use beatledger_core::model::{BeatClass, EventKind, FigureId, FigureValue, Proof};
use beatledger_core::review::Edit;
use beatledger_core::session::Snapshot;

use super::{Block, Report, ReportContext, SignOff, SignState, build, reader_share};
use crate::made::{self, V_AT};
use crate::tables::{Page, shown};

fn signed() -> SignOff {
    SignOff {
        reader: "A. Reader".into(),
        role: "cardiologist".into(),
        meaning: "reviewed and approved".into(),
        at_utc_ms: 1_709_600_000_000,
        utc_offset_min: 60,
    }
}

fn report(snapshot: &Snapshot, sign: SignState) -> Report {
    build(snapshot, &ReportContext { program: "beatledger 0".into(), sign, ..Default::default() })
}

#[test]
fn the_first_page_and_every_foot_say_whether_it_is_signed() {
    let snapshot = made::snapshot(&[]);
    for (sign, line, foot) in [
        (SignState::NotSigned, "[Not signed]", "Not signed"),
        (
            SignState::Signed(signed()),
            "[Signed by A. Reader as cardiologist at 2024-03-05 01:53:20 +01:00: reviewed and approved]",
            "Signed",
        ),
        (
            SignState::ChangedSince(signed()),
            "[Changed since signing by A. Reader as cardiologist at 2024-03-05 01:53:20 +01:00]",
            "Changed since signing",
        ),
    ] {
        let report = report(&snapshot, sign);
        let first = report.to_text().split("== The day ==").next().unwrap().to_owned();
        assert!(first.contains(line), "{first}");
        assert_eq!(report.foot, format!("made · SHA-256 0123456789ab… · {foot}"));
    }
}

#[test]
fn a_missing_conclusion_is_said_and_a_written_one_is_printed() {
    let none = report(&made::snapshot(&[]), SignState::NotSigned).to_text();
    assert!(none.contains("No conclusion has been written."));
    let edit = Edit::Conclude { text: "Sinus rhythm.".into() };
    let some = report(&made::snapshot(&[edit]), SignState::NotSigned).to_text();
    assert!(some.contains("Sinus rhythm.") && !some.contains("No conclusion"));
}

#[test]
fn what_a_reader_did_is_counted_apart_from_what_was_found() {
    let edits = [
        Edit::Relabel { beats: vec![V_AT, V_AT - 100], class: BeatClass::S },
        Edit::InsertBeat { sample: 150, class: BeatClass::Q },
        Edit::RemoveBeats { beats: vec![300, 7] },
        Edit::DropEvent { kind: EventKind::LongestRr, span: beatledger_core::model::Span::new(0, 1) },
    ];
    let snapshot = made::snapshot(&edits);
    let share = reader_share(&snapshot);
    // Sample 7 holds no beat, so only one of the two was removed.
    assert_eq!((share.relabelled, share.inserted, share.removed), (2, 1, 1));
    let text = report(&snapshot, SignState::NotSigned).to_text();
    assert!(
        text.contains("A reader relabelled 2, placed 1, took away 1, and confirmed or moved 0"),
        "{text}"
    );
    assert!(text.contains("is without a target for 1 of its places"), "{text}");
}

#[test]
fn a_figure_that_cannot_be_computed_gives_its_reason_and_no_number() {
    let mut snapshot = made::snapshot(&[]);
    let mut summary = (*snapshot.summary).clone();
    let figure = summary.figures.iter_mut().find(|f| f.id == FigureId::MeanBpm).unwrap();
    figure.value = FigureValue::NotComputable("no readable interval".into());
    snapshot.summary = summary.into();
    let text = report(&snapshot, SignState::NotSigned).to_text();
    assert!(text.contains("Mean rate: – (not computable: no readable interval)"), "{text}");
}

#[test]
fn a_confirmed_event_is_told_from_one_that_was_only_found() {
    let kind = EventKind::Pause;
    let span = beatledger_core::model::Span::new(1_000, 2_000);
    let added = Edit::AddEvent { kind, span };
    let snapshot = made::snapshot(&[added]);
    let index = snapshot.events.iter().position(|e| e.kind == kind && e.span == span).unwrap();
    assert_eq!(super::reader::said(&snapshot.events[index]), "set by reader");
    let mut figure = snapshot.summary.figure(FigureId::Pauses).unwrap().clone();
    figure.proof = Proof::Events(vec![index as u32].into());
    assert_eq!(super::reader::provenance(&figure, &snapshot), "confirmed by reader");
}

#[test]
fn the_last_row_of_the_hours_is_the_sum_of_the_others() {
    let snapshot = made::snapshot(&[]);
    let report = report(&snapshot, SignState::NotSigned);
    let tables: Vec<_> = report.sections[1]
        .blocks
        .iter()
        .filter_map(|b| if let Block::Table(t) = b { Some(t) } else { None })
        .collect();
    let (day, hours) = tables[0].rows.split_last().unwrap();
    assert!(hours.len() == 2, "three minutes over midnight lie in two clock hours");
    let number = |cell: &String| cell.replace('\u{a0}', "").parse::<u64>().unwrap_or(0);
    // Beats, and the counts of S, V and pauses.
    for column in [2, 6, 7, 8, 9, 10, 11, 12, 13, 14] {
        let sum: u64 = hours.iter().map(|r| number(&r.cells[column])).sum();
        assert_eq!(number(&day.cells[column]), sum, "column {column}");
    }
    assert_eq!(number(&day.cells[2]), made::beats().len() as u64);
}

#[test]
fn a_diary_entry_shows_rate_and_rhythm_around_it() {
    let snapshot = made::snapshot(&[]);
    let text = report(&snapshot, SignState::NotSigned).to_text();
    assert!(
        text.contains(
            "1 | 23:59:02 | skipped a beat (symptom) | no other rhythm told | 75 / 75 / 75 | 1 | 0 | 93 | none"
        ),
        "{text}"
    );
}

#[test]
fn night_is_shaded_where_the_clock_says_so() {
    let report = report(&made::snapshot(&[]), SignState::NotSigned);
    let Block::Trend(chart) = &report.sections[1].blocks[0] else { panic!("the day starts with the trend") };
    assert_eq!(chart.night, [(0.0, 0.05)], "23:58:30 to 00:01:30 is all night");
    assert_eq!(chart.unreadable.len(), 1);
}

#[test]
fn every_table_beyond_the_hours_is_printed_with_its_definition_settings_and_cautions() {
    let snapshot = made::snapshot(&[]);
    let text = report(&snapshot, SignState::NotSigned).to_text();
    // Five minutes are too many rows for a page; they stand in the window and the files.
    for table in shown(&snapshot).into_iter().filter(|t| ![Page::Day, Page::No].contains(&t.about.page)) {
        assert!(text.contains(&format!("-- {} --", table.about.title)), "{}", table.about.title);
        assert!(text.contains(&table.note) && !table.note.is_empty(), "{}", table.about.title);
    }
    assert!(text.contains("Change of position imitates ST change"), "{text}");
    assert!(text.contains("pause_middle_ms 2500 ms"), "settings stand with their units");
    assert!(text.contains("ECG II | – | – | – | – | – | ST was not measured on this lead"), "{text}");
    assert!(text.contains("T-wave alternans (research measure)"));
    assert!(text.contains("Symptom without finding | 1 | 23:59:02"), "{text}");
}

#[test]
fn a_row_of_a_table_names_the_tracing_that_shows_it() {
    let snapshot = made::snapshot(&[]);
    let tables = shown(&snapshot);
    let longest = tables.iter().find(|t| t.about.key == "longest_rr").unwrap().table.as_ref().unwrap();
    // The pause after the early V beat: 1.2 s from 32.0 s on, as it was made.
    assert_eq!(longest.rows[0].cells[..2], ["of all".to_owned(), "1.20".to_owned()]);
    assert_eq!(longest.rows[0].place.unwrap().start, V_AT);
    let symptoms = tables.iter().find(|t| t.about.key == "symptoms").unwrap().table.as_ref().unwrap();
    assert!(symptoms.rows[0].place.unwrap().contains(V_AT));
}

/// A day that does not begin on the hour lies in 25 clock hours.
#[test]
fn the_hours_of_a_day_stand_on_one_page() {
    let mut snapshot = made::snapshot(&[]);
    let mut summary = (*snapshot.summary).clone();
    summary.hours = vec![summary.hours[0].clone(); 25];
    snapshot.summary = summary.into();
    let mut report = report(&snapshot, SignState::NotSigned);
    let day = report.sections.iter().position(|s| s.heading == "The day").unwrap();
    report.sections = vec![report.sections.swap_remove(day)];
    let pdf = crate::pdf::render(&report).unwrap();
    // PDF: each page has a media box of its own here.
    assert_eq!(String::from_utf8_lossy(&pdf).matches("/MediaBox").count(), 1);
}
