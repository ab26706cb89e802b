//! What is written is read back: raw integers bit for bit, names, gains and times.

use std::sync::Arc;

use beatledger_core::model::{DiaryEntry, DiaryKind, Identity, Rate, Span};

use super::*;
use crate::time::local_time_from_ymd_hms;

pub(in crate::ishne) fn made(values: Vec<Vec<i32>>) -> Recording {
    let samples = values.first().map_or(0, Vec::len) as i64;
    let names = ["ECG V1", "aVR", "III"];
    let leads = names.iter().zip(values).map(|(name, values)| Lead {
        name: (*name).into(),
        unit: Unit::Millivolt,
        adc_per_mv: 200.0,
        adc_zero: 0.0,
        missing: None,
        rails: None,
        prefilter: String::new(),
        samples: Arc::new(values),
    });
    Recording {
        name: "made".into(),
        format: String::new(),
        sha256: String::new(),
        identity: Identity {
            name: "Jane Q Doe".into(),
            code: "ID1".into(),
            born: "1960-01-31".into(),
            sex: "F".into(),
            recorder: "digital".into(),
            remarks: String::new(),
        },
        start: local_time_from_ymd_hms((2020, 10, 24), (9, 30, 15, 0)),
        rate: Rate::whole_hz(250),
        samples,
        segments: vec![Span::new(0, samples)],
        leads: leads.collect(),
        others: vec![],
        diary: vec![],
        warnings: vec![],
    }
}

fn raw(lead: &Lead) -> Vec<i32> {
    let mut out = vec![0; lead.samples.len()];
    lead.samples.read(0, &mut out);
    out
}

fn wave(count: i32, by: i32) -> Vec<i32> {
    (0..count).map(|i| (i * 7919 * by).rem_euclid(65_536) - 32_768).collect()
}

#[test]
fn a_recording_comes_back_as_it_was() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("made.ecg");
    let recording = made(vec![wave(40_001, 1), wave(40_001, 3), wave(40_001, 5)]);
    assert_eq!(write(&recording, &path).unwrap(), []);
    let back = crate::open(&path).unwrap();
    assert_eq!((back.start, back.rate, back.samples), (recording.start, recording.rate, 40_001));
    assert_eq!(back.identity, recording.identity);
    let names: Vec<_> = back.leads.iter().map(|l| (l.name.as_str(), l.adc_per_mv)).collect();
    assert_eq!(names, [("V1", 200.0), ("aVR", 200.0), ("III", 200.0)]);
    for (was, is) in recording.leads.iter().zip(&back.leads) {
        assert_eq!(raw(was), raw(is));
    }
    assert!(back.warnings.is_empty(), "checksum and counts are right: {:?}", back.warnings);
}

#[test]
fn what_the_format_has_no_word_for_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("made.ecg");
    let mut recording = made(vec![vec![1024, 1025, 1022]]);
    recording.leads[0].adc_zero = 1024.0;
    recording.leads[0].adc_per_mv = -300.0;
    recording.leads[0].name = "MLII".into();
    recording.start = local_time_from_ymd_hms((2020, 10, 24), (9, 30, 15, 500));
    recording.diary =
        vec![DiaryEntry { span: Span::new(0, 0), kind: DiaryKind::Note, text: "a note".into() }];
    let codes: Vec<_> = write(&recording, &path).unwrap().into_iter().map(|w| w.code).collect();
    assert_eq!(codes, ["gain-rounded", "zero-moved", "lead-code", "start-rounded", "diary-left-out"]);
    let back = crate::open(&path).unwrap();
    assert_eq!(raw(&back.leads[0]), [0, -1, 2]);
    let mv = |lead: &Lead, at: usize| lead.mv_from_adc(raw(lead)[at]);
    assert!((mv(&back.leads[0], 2) - mv(&recording.leads[0], 2)).abs() < 1e-5);
}

#[test]
fn what_the_format_cannot_hold_is_refused_and_leaves_no_file() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("made.ecg");
    let refused = |recording: &Recording| write(recording, &path).unwrap_err().to_string();
    let wide = refused(&made(vec![vec![40_000]]));
    assert_eq!(wide, "made.ecg: lead 'ECG V1' has the sample 40000, ISHNE holds -32768 to 32767");
    let mut missing = made(vec![vec![1, -32_768]]);
    missing.leads[0].missing = Some(-32_768);
    assert_eq!(refused(&missing), "made.ecg: lead 'ECG V1' has missing samples, ISHNE has no code for them");
    let mut rate = made(vec![vec![1, 2]]);
    rate.rate = Rate::new(257, 2).unwrap_or(rate.rate);
    assert!(refused(&rate).contains("a whole number of samples per second"));
    let mut gaps = made(vec![vec![1; 100]]);
    gaps.segments = vec![Span::new(0, 10), Span::new(20, 100)];
    assert!(refused(&gaps).contains("gaps"));
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0);
}
