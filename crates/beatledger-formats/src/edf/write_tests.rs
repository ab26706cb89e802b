//! What is written is read back: raw integers bit for bit, names, gains, times and diary.

use std::sync::Arc;

use beatledger_core::model::{DiaryEntry, DiaryKind, Identity, Rate, Span, Unit};

use super::*;
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
    gaps.segments = vec![Span::new(0, 10), Span::new(20, 500)];
    assert_eq!(refused(&gaps), "made.edf: a recording with gaps cannot be written as continuous EDF+");
    let mut empty = made(500);
    empty.leads.clear();
    assert!(refused(&empty).contains("without leads"));
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
}
