//! Records joined from hand-written segments.

use super::*;
use crate::Reader;
use crate::samples::GAP;
use crate::wfdb::WfdbReader;

const G: i32 = GAP;

fn words(values: &[i16]) -> Vec<u8> {
    values.iter().flat_map(|v| v.to_le_bytes()).collect()
}

fn open_made(files: &[(&str, &str)], data: &[(&str, Vec<u8>)]) -> Result<Recording, FormatError> {
    let folder = tempfile::tempdir().unwrap();
    files.iter().for_each(|(name, text)| std::fs::write(folder.path().join(name), text).unwrap());
    data.iter().for_each(|(name, bytes)| std::fs::write(folder.path().join(name), bytes).unwrap());
    WfdbReader.read(&folder.path().join("m.hea"))
}

fn raw(recording: &Recording, lead: usize) -> Vec<i32> {
    let mut out = vec![0; recording.leads[lead].samples.len()];
    recording.leads[lead].samples.read(0, &mut out);
    out
}

fn codes(recording: &Recording) -> Vec<&str> {
    recording.warnings.iter().map(|w| w.code.as_str()).collect()
}

/// A layout header, a segment with lead I alone, a gap of two samples and a segment with I and II.
fn of_variable_layout(gain: &str) -> Recording {
    let sb = format!("sb 2 250 2\nb 16 {gain} 0 0 0 0 0 II\nb 16 200 0 0 0 0 0 I");
    let files = [
        ("m.hea", "m/4 2 250 7 9:30:00 25/10/2020\nml 0\nsa 3\n~ 2\nsb 2"),
        ("ml.hea", "ml 2 250 0\n~ 0 200 0 0 0 0 0 I\n~ 0 200 0 0 0 0 0 II"),
        ("sa.hea", "sa 1 250 3\na 16 200 0 0 0 0 0 I"),
        ("sb.hea", &sb),
    ];
    open_made(&files, &[("a", words(&[1, 2, 3])), ("b", words(&[70, 4, 80, 5]))]).unwrap()
}

// The segment lengths are those of the example that the C library of WFDB was asked about.
#[test]
fn a_lead_that_a_segment_lacks_is_missing_there_and_a_gap_takes_its_time() {
    let recording = of_variable_layout("200");
    assert_eq!(raw(&recording, 0), [1, 2, 3, G, G, 4, 5]);
    assert_eq!(raw(&recording, 1), [G, G, G, G, G, 70, 80]);
    assert_eq!(recording.segments, [Span::new(0, 3), Span::new(5, 7)]);
    assert_eq!((recording.clock(0).as_str(), recording.samples), ("09:30:00", 7));
    assert_eq!(recording.format, "WFDB, 4 segments, format 16");
    assert!(recording.warnings.is_empty(), "{:?}", recording.warnings);
}

#[test]
fn a_segment_with_another_gain_is_brought_to_the_finest_and_told() {
    let files = [
        ("m.hea", "m/2 1 250 3\nsa 1\nsb 2"),
        ("sa.hea", "sa 1 250 1\na 16 100(10) 0 0 0 0 0 I"),
        ("sb.hea", "sb 1 250 2\nb 16 200 0 0 0 0 0 I"),
    ];
    let recording = open_made(&files, &[("a", words(&[60])), ("b", words(&[7, -32768]))]).unwrap();
    assert_eq!((raw(&recording, 0), recording.leads[0].adc_per_mv), (vec![100, 7, G], 200.0));
    assert_eq!(recording.leads[0].mv_from_adc(100), 0.5, "50 of 100 units per mV");
    assert_eq!(codes(&recording), ["segment-gain"]);
    assert_eq!(recording.segments, [Span::new(0, 3)], "segments in step are one stretch");
}

#[test]
fn a_segment_that_cannot_be_read_is_a_gap_and_is_told() {
    let files = [("m.hea", "m/3 1 250 6\ngone 2\nsa 1\nsa 3"), ("sa.hea", "sa 1 250\na 16 200 0 0 0 0 0 I")];
    let recording = open_made(&files, &[("a", words(&[8, 9]))]).unwrap();
    assert_eq!(raw(&recording, 0), [G, G, 8, 8, 9, G], "one segment may be named twice");
    assert_eq!(codes(&recording), ["segment-unreadable"]);
    assert_eq!(recording.segments, [Span::new(2, 5)]);
}

#[test]
fn what_cannot_be_joined_is_told_in_one_sentence() {
    let sa = ("sa.hea", "sa 1 250 1\na 16 200 0 0 0 0 0 I");
    let cases = [
        ("m/1 1 250 1\nm 1", "m.hea, segment 1: expected another record, found the record itself"),
        ("m/2 1 250 1\nsa 1", "m.hea, line 1: expected 2 segment lines, found 1"),
        ("m/1 1 250 1\n../sa 1", "m.hea, line 2: expected a plain segment name, found '../sa'"),
        ("m/1 1 250 5\n~ 5", "m.hea: none of its segments can be read (all of its segments are gaps)"),
        ("m/1 1 250 0\nsa 0", "m.hea, segment lines: expected at least one sample, found 0"),
        (
            "m/2 1 250\nsa 1\n~ 9223372036854775807",
            "m.hea, segment 2: expected a record of at most 60 days, found 9223372036854775807 samples",
        ),
        (
            "m/1 1 300 1\nsa 1",
            "m.hea: none of its segments can be read (sa.hea, line 1: expected the 300 Hz of the whole record, found 250 Hz)",
        ),
    ];
    for (text, sentence) in cases {
        let error = open_made(&[("m.hea", text), sa], &[("a", words(&[1]))]).unwrap_err();
        assert_eq!(error.to_string(), sentence);
    }
    let without_layout = open_made(&[("m.hea", "m/2 1 250 1\ngone 0\nsa 1"), sa], &[("a", words(&[1]))]);
    let error = without_layout.unwrap_err().to_string();
    assert!(
        error.starts_with("m.hea: its layout header cannot be read (gone.hea: opening failed"),
        "{error}"
    );
}
