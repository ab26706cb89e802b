//! Header lines as the WFDB manual page `header(5)` describes them.

use super::*;
use crate::time::{local_time_from_ymd_hms, local_time_without_date};

fn read(text: &str) -> Result<Header, FormatError> {
    parse(Path::new("made.hea"), text.as_bytes())
}

#[test]
fn a_header_of_the_arrhythmia_database_reads_in_full() {
    let text = "208 2 360 650000\r\n208.dat 212 200 11 1024 1003 8074 0 MLII\r\n\
                208.dat 212 200 11 1024 1062 20649 0 V1\r\n# 23 F\r\n# PVCs are uniform.\r\n";
    let header = read(text).unwrap();
    assert_eq!((header.name.as_str(), header.rate.hz(), header.samples), ("208", 360.0, Some(650_000)));
    assert_eq!(header.info, ["23 F", "PVCs are uniform."]);
    let first = &header.signals[0];
    assert_eq!(
        (first.format, first.gain, first.baseline, first.checksum),
        (212, Some(200.0), 1024.0, Some(8074))
    );
    assert_eq!(header.signals[1].description, "V1");
    assert!(header.warnings.is_empty());
}

#[test]
fn silent_fields_take_the_defaults_of_the_manual() {
    let header = read("a 3\nz.dat 16 200 12 1024\nz.dat 16 200(-5)/uV\nz.dat 16").unwrap();
    assert_eq!((header.rate.hz(), header.samples, header.start), (250.0, None, None));
    let [first, second, third] = &header.signals[..] else { panic!("three signals") };
    assert_eq!((first.baseline, first.unit.as_str(), first.adc_bits), (1024.0, "mV", Some(12)));
    assert_eq!((second.baseline, second.unit.as_str()), (-5.0, "uV"));
    assert_eq!((third.gain, third.samples_per_frame, third.description.as_str()), (None, 1, ""));
}

#[test]
fn format_field_carries_frames_skew_and_offset_and_the_name_may_hold_spaces() {
    let header = read("a 1 300/1000(5) 0 01:03:18.25 1/03/2000\nA.mat 16x3:7+24 74470.3(-352766)/mV 16 0 -281 0 0 ECG lead II").unwrap();
    let signal = &header.signals[0];
    assert_eq!((signal.samples_per_frame, signal.skew_samples, signal.offset_bytes), (3, 7, 24));
    assert_eq!((signal.gain, signal.baseline), (Some(74470.3), -352_766.0));
    assert_eq!(signal.description, "ECG lead II");
    assert_eq!(header.start, local_time_from_ymd_hms((2000, 3, 1), (1, 3, 18, 250)));
    assert_eq!(header.rate.hz(), 300.0);
}

#[test]
fn a_start_without_a_date_keeps_the_time_of_day_and_says_so() {
    let header = read("a 0 250 100 9:30").unwrap();
    assert_eq!(header.start, local_time_without_date(0, 9, 30, 0));
    assert_eq!(header.warnings[0].code, "date-unknown");
}

#[test]
fn each_broken_line_is_named_with_what_was_expected() {
    let cases = [
        ("", "made.hea, line 1: expected a record line, found no line that is not a comment"),
        ("a x", "made.hea, line 1: expected a number of signals from 0 to 256, found 'x'"),
        ("a 257", "made.hea, line 1: expected a number of signals from 0 to 256, found '257'"),
        ("a 1 -5\nf 16", "made.hea, line 1: expected a sampling rate above 0 Hz, found '-5'"),
        ("a 1 NaN\nf 16", "made.hea, line 1: expected a sampling rate above 0 Hz, found 'NaN'"),
        ("a 2 250\nf 16", "made.hea, line 1: expected 2 signal lines, found 1"),
        ("#x\na 1\nf", "made.hea, line 3: expected a signal format, found the end of the line"),
        ("a 1\nf 16x0", "made.hea, line 2: expected 1 to 65536 samples per frame, found 0"),
        ("a 1\nf 16 inf", "made.hea, line 2: expected a finite gain and baseline, found 'inf'"),
        ("a 1 250 -7\nf 16", "made.hea, line 1: expected a number of samples of 0 or more, found -7"),
    ];
    for (text, sentence) in cases {
        assert_eq!(read(text).unwrap_err().to_string(), sentence);
    }
}

#[test]
fn only_a_record_line_makes_a_text_a_header() {
    assert!(looks_like_header(b"# note\r\n208 2 360 650000\r\n"));
    assert!(looks_like_header(b"x/3 1"));
    assert!(!looks_like_header(b"time,elapsed_s\n"));
    assert!(!looks_like_header(b"There are 2 people"));
    assert!(!looks_like_header(b"\x00\x01\x02"));
    assert!(!looks_like_header(b""));
}
