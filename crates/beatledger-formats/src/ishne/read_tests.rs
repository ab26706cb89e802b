//! ISHNE files made by hand from the published layout.

use super::*;
use crate::time::local_time_from_ymd_hms;

/// Two leads, II and V5, three samples of each, with a text block of two bytes and a right checksum.
fn made() -> Vec<u8> {
    let mut bytes = b"ISHNE1.0\0\0".to_vec();
    for long in [2i32, 3, 522, 524] {
        bytes.extend(long.to_le_bytes());
    }
    bytes.resize(522, 0);
    let mut put = |at: usize, text: &[u8]| bytes[at..at + text.len()].copy_from_slice(text);
    let shorts = |list: &[i16]| list.iter().flat_map(|s| s.to_le_bytes()).collect::<Vec<u8>>();
    put(26, &shorts(&[1]));
    put(28, b"Jane");
    put(68, b"Doe\0left over");
    put(108, b"ID1");
    put(128, &shorts(&[2, 0, 31, 1, 1960, 24, 10, 2020, 25, 10, 2020, 9, 30, 15, 2, 6, 15]));
    put(206, &shorts(&[2500, 5000]));
    put(230, &shorts(&[3]));
    put(232, b"digital");
    put(272, &shorts(&[200]));
    bytes.extend(b"ok");
    seal(&mut bytes);
    bytes.extend(shorts(&[1, -1, 2, -2, 3, -3]));
    bytes
}

fn seal(bytes: &mut [u8]) {
    let crc = crc16(&bytes[10..524]);
    bytes[8..10].copy_from_slice(&crc.to_le_bytes());
}

fn open(bytes: &[u8]) -> Result<Recording, FormatError> {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("made.ecg"), bytes).unwrap();
    crate::open(folder.path().join("made.ecg"))
}

fn raw(recording: &Recording, lead: usize) -> Vec<i32> {
    let mut out = vec![0; recording.leads[lead].samples.len()];
    recording.leads[lead].samples.read(0, &mut out);
    out
}

fn codes(recording: &Recording) -> Vec<&str> {
    recording.warnings.iter().map(|w| w.code.as_str()).collect()
}

#[test]
fn a_file_by_the_published_layout_reads_in_full() {
    let recording = open(&made()).unwrap();
    assert_eq!((raw(&recording, 0), raw(&recording, 1)), (vec![1, 2, 3], vec![-1, -2, -3]));
    let names: Vec<_> = recording.leads.iter().map(|l| (l.name.as_str(), l.adc_per_mv)).collect();
    assert_eq!(names, [("II", 400.0), ("V5", 200.0)]);
    assert_eq!(recording.start, local_time_from_ymd_hms((2020, 10, 24), (9, 30, 15, 0)));
    let who = &recording.identity;
    assert_eq!((who.name.as_str(), who.code.as_str(), who.born.as_str()), ("Jane Doe", "ID1", "1960-01-31"));
    assert_eq!(
        (who.sex.as_str(), who.recorder.as_str()),
        ("F", "digital; pacemaker, dual chamber, unipolar")
    );
    assert!(recording.warnings.is_empty(), "{:?}", recording.warnings);
}

#[test]
fn the_size_of_the_file_tells_what_the_sample_count_means() {
    let with = |count: i32, extra: usize| {
        let mut bytes = made();
        bytes[14..18].copy_from_slice(&count.to_le_bytes());
        seal(&mut bytes);
        bytes.resize(bytes.len() + extra, 0);
        let recording = open(&bytes).unwrap();
        (recording.samples, codes(&recording).join(" "))
    };
    assert_eq!(with(3, 0), (3, String::new()), "of each lead");
    assert_eq!(with(6, 0), (3, String::new()), "of both leads");
    assert_eq!(with(-9, 0), (3, "sample-count".to_owned()));
    assert_eq!(with(3, 3), (3, "sample-count".to_owned()));
    assert_eq!(with(i32::MAX, 4), (4, "sample-count file-cut".to_owned()));
}

#[test]
fn what_is_odd_is_told_and_the_samples_are_kept() {
    let with = |at: usize, value: i16| {
        let mut bytes = made();
        bytes[at..at + 2].copy_from_slice(&value.to_le_bytes());
        if at > 8 {
            seal(&mut bytes);
        }
        let recording = open(&bytes).unwrap();
        (codes(&recording).join(" "), recording)
    };
    assert_eq!(with(8, 0).0, "checksum");
    assert_eq!(with(26, -9).0, "version");
    assert_eq!(with(138, 0).0, "date-unknown");
    assert_eq!(with(150, 24).0, "start-unreadable");
    assert_eq!(with(158, 15).0, "lead-code", "two leads V5");
    let (code, recording) = with(206, -9);
    assert_eq!((code.as_str(), &recording.leads[0].unit), ("uncalibrated", &Unit::Uncalibrated));
}

#[test]
fn what_cannot_be_read_is_told_in_one_sentence() {
    let with = |at: usize, value: i32| {
        let mut bytes = made();
        bytes[at..at + 4].copy_from_slice(&value.to_le_bytes());
        open(&bytes).unwrap_err().to_string()
    };
    assert_eq!(with(10, -1), "made.ecg, byte 10: expected a text block of 0 to 16777216 bytes, found -1");
    assert_eq!(
        with(22, 536),
        "made.ecg, byte 22: expected the place of the samples within the file, found 536"
    );
    assert_eq!(with(156, 13), "made.ecg, byte 156: expected 1 to 12 leads, found 13");
    assert_eq!(with(272, 0), "made.ecg, byte 272: expected a sampling rate above 0 Hz, found 0");
    let short = open(&made()[..526]).unwrap_err().to_string();
    assert_eq!(short, "made.ecg, byte 524: expected at least one sample of 2 leads, found 2 bytes");
    assert!(open(&made()[..521]).unwrap_err().to_string().ends_with("found the end of the file"));
}
