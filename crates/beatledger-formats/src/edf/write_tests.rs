//! What is written is read back: raw integers bit for bit, names, gains, times and diary.

use std::sync::Arc;

use beatledger_core::model::{DiaryEntry, DiaryKind, Identity, Rate, Unit};

use super::*;
use crate::edf::Mark;
use crate::time::local_time_from_ymd_hms;

fn lead(name: &str, samples: Vec<i16>) -> Lead {
    Lead {
        name: name.into(),
        unit: Unit::Millivolt,
        adc_per_mv: 200.0,
        adc_zero: 1024.0,
        missing: None,
        rails: None,
        prefilter: "HP:0.05Hz LP:40Hz".into(),
        samples: Arc::new(samples),
    }
}

pub(super) fn made(samples: usize) -> Recording {
    let wave = |k: i64| (0..samples as i64).map(|i| (i * 7919 * k % 65_536 - 32_768) as i16).collect();
    let entry = |at: i64, len: i64, kind, text: &str| DiaryEntry {
        span: Span::new(at, at + len),
        kind,
        text: text.into(),
    };
    Recording {
        name: "made".into(),
        format: String::new(),
        sha256: String::new(),
        identity: Identity {
            name: "Jane Doe".into(),
            code: "ID1".into(),
            born: "31-JAN-1960".into(),
            sex: "F".into(),
            recorder: "Recorder 7".into(),
            remarks: String::new(),
        },
        start: local_time_from_ymd_hms((2020, 10, 24), (9, 30, 15, 500)),
        rate: Rate::whole_hz(250),
        samples: samples as i64,
        segments: vec![Span::new(0, samples as i64)],
        leads: vec![lead("ECG V1", wave(1)), lead("ECG V5", wave(3))],
        others: vec![],
        diary: vec![
            entry(0, 0, DiaryKind::Button, ""),
            entry(313, 125, DiaryKind::Symptom, "dizzy, é"),
            entry(600, 0, DiaryKind::Note, "a note"),
        ],
        warnings: vec![],
    }
}

fn raw(lead: &Lead) -> Vec<i32> {
    let mut out = vec![0; lead.samples.len()];
    lead.samples.read(0, &mut out);
    out
}

fn round_trip(recording: &Recording) -> (Recording, Vec<Warning>) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("made.edf");
    let warnings = write(recording, &path).unwrap();
    let names: Vec<_> = std::fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(names, ["made.edf"], "no unfinished file is left");
    (crate::open(&path).unwrap(), warnings)
}

#[test]
fn a_recording_comes_back_as_it_was_though_its_last_record_is_not_full() {
    let recording = made(777);
    let (read, warnings) = round_trip(&recording);
    assert_eq!((read.samples, read.rate, read.start), (777, recording.rate, recording.start));
    assert_eq!((&read.identity, &read.diary), (&recording.identity, &recording.diary));
    for (was, is) in recording.leads.iter().zip(&read.leads) {
        assert_eq!(raw(was), raw(is));
        assert_eq!((&was.name, &was.prefilter), (&is.name, &is.prefilter));
        assert_eq!((was.adc_per_mv, was.adc_zero), (is.adc_per_mv, is.adc_zero));
    }
    assert!(warnings.is_empty() && read.warnings.is_empty(), "{warnings:?} {:?}", read.warnings);
    assert_eq!(read.format, "EDF+C");
}

#[test]
fn rails_missing_values_and_an_unknown_start_survive() {
    let mut recording = made(750);
    recording.start = None;
    recording.leads[0].rails = Some((-2048, 2047));
    recording.leads[0].samples = Arc::new(vec![-32_768i16; 750]);
    recording.leads[0].missing = Some(-32_768);
    recording.leads[1].unit = Unit::Uncalibrated;
    let (read, _) = round_trip(&recording);
    let lead = &read.leads[0];
    assert_eq!((lead.rails, lead.missing, read.start), (Some((-2048, 2047)), Some(-32_768), None));
    assert_eq!(raw(lead), raw(&recording.leads[0]));
    assert_eq!(read.leads[1].unit, Unit::Uncalibrated);
    let codes: Vec<_> = read.warnings.iter().map(|w| w.code.as_str()).collect();
    assert_eq!(codes, ["uncalibrated", "date-unknown"], "missing samples are not out of range");
}

#[test]
fn a_rate_that_is_no_whole_number_stays_exact() {
    let mut recording = made(771);
    recording.rate = Rate::new(257, 2).unwrap();
    let (read, _) = round_trip(&recording);
    assert_eq!((read.rate, read.samples), (recording.rate, 771));
    assert_eq!(read.diary, recording.diary);
}

#[test]
fn many_entries_at_one_moment_spread_over_the_records() {
    let mut recording = made(250 * 40);
    let entry = recording.diary[2].clone();
    recording.diary =
        (0..300).map(|i| DiaryEntry { text: format!("entry {i:03}"), ..entry.clone() }).collect();
    let (read, _) = round_trip(&recording);
    assert_eq!(read.diary, recording.diary);
}

#[test]
fn what_edf_cannot_hold_is_refused_in_one_sentence_and_leaves_no_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("made.edf");
    let refused = |recording: &Recording| write(recording, &path).unwrap_err().to_string();
    let mut wide = made(500);
    wide.leads[0].samples = Arc::new(vec![40_000i32; 500]);
    assert_eq!(refused(&wide), "made.edf: lead 'ECG V1' has the sample 40000, EDF+ holds -32768 to 32767");
    let mut gaps = made(500);
    gaps.segments = vec![Span::new(0, 10), Span::new(12, 500)];
    gaps.rate = Rate::new(499, 7).unwrap();
    assert_eq!(
        refused(&gaps),
        "made.edf: the gaps of the recording are shorter than any data record of EDF+ that its rate allows"
    );
    let mut marked = made(500);
    marked.leads[0].missing = Some(i32::MIN);
    marked.leads[0].samples = Arc::new([vec![i32::MIN, -32_768], vec![5; 498]].concat());
    assert!(refused(&marked).ends_with("the sample -32768, which is needed to mark missing samples"));
    let mut empty = made(500);
    empty.leads.clear();
    assert!(refused(&empty).contains("without leads"));
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
}

#[test]
fn stretches_between_gaps_keep_their_places() {
    let mut recording = made(250 * 40);
    recording.diary.retain(|e| e.span.start < 300);
    // The first stretch ends in the middle of a record, the second begins beside the grid of seconds.
    recording.segments = vec![Span::new(0, 1100), Span::new(3003, 3503), Span::new(9000, 10_000)];
    let (read, warnings) = round_trip(&recording);
    assert_eq!((read.format.as_str(), read.samples, read.start), ("EDF+D", 10_000, recording.start));
    assert_eq!((&read.segments, &read.diary), (&recording.segments, &recording.diary));
    for (was, is) in recording.leads.iter().zip(&read.leads) {
        for span in &recording.segments {
            let span = span.start as usize..span.end as usize;
            assert_eq!(raw(was)[span.clone()], raw(is)[span]);
        }
        assert_eq!(Some(raw(is)[2000]), is.missing, "nothing stands in a gap");
    }
    assert!(warnings.is_empty() && read.warnings.is_empty(), "{warnings:?} {:?}", read.warnings);
}

#[test]
fn a_stretch_that_no_record_fills_is_filled_with_missing_samples() {
    let mut recording = made(1000);
    recording.leads.iter_mut().for_each(|l| l.samples = Arc::new(vec![7i16; 1000]));
    recording.segments = vec![Span::new(0, 301), Span::new(700, 1000)];
    let (read, _) = round_trip(&recording);
    assert_eq!((read.segments[0].start, read.segments[1].start), (0, 700));
    let values = raw(&read.leads[0]);
    let there = |at: usize| Some(values[at]) != read.leads[0].missing;
    assert!((0..301).chain(700..1000).all(there) && !(301..700).any(there));
}

#[test]
fn beats_and_events_come_back_and_do_not_fill_the_diary() {
    use beatledger_core::model::{BeatClass, EventKind, EventState, Origin};

    let recording = made(250 * 60);
    let mut marks = crate::marks::testing::marks_at(250, &(0..70).map(|i| 40 + i * 200).collect::<Vec<_>>());
    marks.beats[7].class = BeatClass::V;
    marks.beats[9].origin = Origin::Reader;
    let event = crate::marks::MarkedEvent {
        kind: EventKind::Pause,
        span: Span::new(1040, 2041),
        beats: Some(2),
        rate_bpm: None,
        state: EventState::Unread,
        origin: Origin::Found,
        note: "after ectopy".into(),
        certainty: beatledger_core::model::Certainty::sure(),
    };
    let dropped = crate::marks::MarkedEvent { state: EventState::Dropped, ..event.clone() };
    marks.events = vec![event, dropped];
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("made.edf");
    write_with_marks(&recording, &marks, &path).unwrap();
    let read = crate::open(&path).unwrap();
    assert_eq!((&read.diary, read.samples), (&recording.diary, recording.samples));
    let found = crate::edf::read_marks(&path).unwrap();
    let beats: Vec<_> = marks
        .beats
        .iter()
        .map(|b| (Span::new(b.sample, b.sample), Mark::Beat { class: b.class, origin: b.origin }))
        .collect();
    let (events, others): (Vec<_>, Vec<_>) =
        found.into_iter().partition(|(_, m)| matches!(m, Mark::Event { .. }));
    assert_eq!(others, beats);
    let pause = Mark::Event { kind: EventKind::Pause, origin: Origin::Found, note: "after ectopy".into() };
    assert_eq!(events, [(Span::new(1040, 2041), pause)]);
}
