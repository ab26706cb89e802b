//! Records made of a header text and hand-written bytes.

use super::*;
use crate::samples::GAP;
use beatledger_core::model::Unit;

fn open_made(header: &str, files: &[(&str, &[u8])]) -> Result<Recording, FormatError> {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("made.hea"), header).unwrap();
    for (name, bytes) in files {
        std::fs::write(folder.path().join(name), bytes).unwrap();
    }
    WfdbReader.read(&folder.path().join("made.hea"))
}

fn raw(recording: &Recording, lead: usize) -> Vec<i32> {
    let samples = &recording.leads[lead].samples;
    let mut out = vec![0; samples.len()];
    samples.read(0, &mut out);
    out
}

fn words(values: &[i16]) -> Vec<u8> {
    values.iter().flat_map(|v| v.to_le_bytes()).collect()
}

fn codes(recording: &Recording) -> Vec<&str> {
    recording.warnings.iter().map(|w| w.code.as_str()).collect()
}

#[test]
fn frames_of_three_and_one_are_dealt_out_as_the_reference_library_does() {
    // `16x3` + `16` with 1 2 3 10 4 5 6 11: A = 1..6, B = 10, 11 (checked with the C library).
    let header = "made 2 100 2\nd 16x3 200 0 0 0 0 0 II\nd 16 200 0 0 0 0 0 RESP";
    let recording = open_made(header, &[("d", &words(&[1, 2, 3, 10, 4, 5, 6, 11]))]).unwrap();
    assert_eq!(raw(&recording, 0), [1, 2, 3, 4, 5, 6]);
    assert_eq!((recording.rate.hz(), recording.samples), (300.0, 6));
    assert_eq!(recording.others[0].name, "RESP");
}

#[test]
fn signals_may_lie_in_several_files_and_both_are_hashed() {
    let header = "made 2 250 3\na 16 200 0 0 0 6 0 I\nb 16 1(0)/uV 0 0 0 0 0 II";
    let recording = open_made(header, &[("a", &words(&[1, 2, 3])), ("b", &words(&[4, 5, 6]))]).unwrap();
    assert_eq!((raw(&recording, 0), raw(&recording, 1)), (vec![1, 2, 3], vec![4, 5, 6]));
    assert_eq!(recording.leads[1].adc_per_mv, 1000.0);
    let mut bytes = header.as_bytes().to_vec();
    bytes.extend(words(&[1, 2, 3, 4, 5, 6]));
    assert_eq!(recording.sha256, hex(Sha256::new_with_prefix(bytes)));
    assert!(recording.warnings.is_empty());
}

#[test]
fn a_file_shorter_than_the_header_says_is_cut_with_a_warning() {
    let recording =
        open_made("made 1 2 1000000000\nd 16 200 0 0 0 1 0 I", &[("d", &words(&[7, 8]))]).unwrap();
    assert_eq!(recording.samples, 2);
    assert_eq!(codes(&recording), ["signal-short", "file-cut"]);
    let cut = "The file is cut: 1 s of 138888 h 53 min are there, 138888 h 53 min are missing.";
    assert_eq!(recording.warnings[1].text, cut);
}

#[test]
fn a_length_that_the_header_does_not_say_comes_from_the_file() {
    let recording = open_made("made 1 250\nd 212 200 12 0 0 99 0 I", &[("d", &[1, 0, 2, 3, 0])]).unwrap();
    assert_eq!(raw(&recording, 0), [1, 2, 3]);
    assert!(recording.warnings.is_empty(), "no checksum can be checked without a length");
}

#[test]
fn skewed_samples_are_dropped_and_the_end_is_missing() {
    let header = "made 2 250 4\nd 16:1 200 0 0 0 0 0 I\nd 16 200 0 0 0 0 0 II";
    let recording = open_made(header, &[("d", &words(&[1, 5, 2, 6, 3, 7, 4, 8]))]).unwrap();
    assert_eq!(raw(&recording, 0), [2, 3, 4, GAP]);
    assert_eq!(raw(&recording, 1), [5, 6, 7, 8]);
    assert_eq!(recording.leads[0].missing, Some(GAP));
}

#[test]
fn checksums_are_compared_modulo_65536() {
    let of = |sum: &str| {
        let header = format!("made 1 250 2\nd 16 200 0 0 0 {sum} 0 I");
        open_made(&header, &[("d", &words(&[-1, -1]))]).unwrap().warnings.len()
    };
    assert_eq!([of("-2"), of("65534"), of("5"), of("0")], [0, 0, 1, 0]);
}

#[test]
fn the_range_of_the_adc_gives_the_rails_unless_samples_prove_it_wrong() {
    let of =
        |values: &[i16]| open_made("made 1 250\nd 16 200 11 1024 0 0 0 I", &[("d", &words(values))]).unwrap();
    assert_eq!(of(&[0, 2047, -32768]).leads[0].rails, Some((0, 2047)));
    let wrong = of(&[0, 2048]);
    assert_eq!((wrong.leads[0].rails, codes(&wrong)), (None, vec!["range"]));
}

#[test]
fn a_lead_without_gain_is_said_to_be_uncalibrated() {
    let recording = open_made("made 1 250\nd 16", &[("d", &words(&[1]))]).unwrap();
    let lead = &recording.leads[0];
    assert_eq!((lead.name.as_str(), &lead.unit, lead.adc_per_mv), ("ECG 1", &Unit::Uncalibrated, 200.0));
    assert_eq!(codes(&recording), ["uncalibrated"]);
}

#[test]
fn what_cannot_be_read_is_told_in_one_sentence() {
    let data: &[(&str, &[u8])] = &[("d", &[0, 0, 0, 0])];
    let cases = [
        ("made 1 250\ngone.dat 16", "made.hea: its signal file 'gone.dat' is not in the same folder"),
        (
            "made 1 250\nd 516",
            "made.hea: signal 1 is stored in WFDB format 516, which is not read; 8, 16, 24, 32, 61, 80, 160, 212, 310 and 311 are",
        ),
        (
            "made 1 250\n../d 16",
            "made.hea, signal 1: expected a plain file name in the folder of the header, found '../d'",
        ),
        ("made 0 250", "made.hea, line 1: expected at least one signal, found 0"),
        ("made 2 250\nd 16\nd 212", "made.hea, signal lines: expected one format for 'd', found 16 and 212"),
        (
            "made 1 250\nd 16+9",
            "d, whole file: expected at least one frame of 1 samples after 9 bytes, found 4 bytes",
        ),
        (
            "made 1 250\nd 16 1/mmHg",
            "made.hea: none of its signals is an ECG lead ('ECG 1': its unit 'mmHg' is no voltage)",
        ),
    ];
    for (header, sentence) in cases {
        assert_eq!(open_made(header, data).unwrap_err().to_string(), sentence);
    }
}

// Found by the fuzz target `wfdb_header`.
#[test]
fn control_characters_and_endless_names_do_not_reach_a_sentence() {
    let header =
        format!("made 2 250\nd 16 1/mmHg 0 0 0 0 0 A\0B\nd 16 1/mmHg 0 0 0 0 0 {}", "x".repeat(5000));
    let told = open_made(&header, &[("d", &[0, 0, 0, 0])]).unwrap_err().to_string();
    assert!(told.contains("('A B': its unit 'mmHg' is no voltage; 'xxx"), "{told}");
    assert!(told.len() < 300 && !told.chars().any(char::is_control), "{told:?}");
}

#[test]
fn steps_of_eight_bits_add_up_from_the_first_value_of_each_signal() {
    // Checked by hand against the manual page `signal(5)`: x[0] = first value + d[0].
    let header = "made 2 250 3\nd 8 200 8 0 -10 0 0 I\nd 8 200 8 5 5 0 0 II";
    let recording = open_made(header, &[("d", &[5, 1, 0xfd, 1, 0x7f, 0x80])]).unwrap();
    assert_eq!((raw(&recording, 0), raw(&recording, 1)), (vec![-5, -8, 119], vec![6, 7, -121]));
    assert_eq!(recording.leads[0].missing, None);
}

#[test]
fn samples_of_more_than_16_bits_keep_every_bit() {
    let header = "made 1 250 3\nd 24 200 24 0 0 0 0 I";
    let recording = open_made(header, &[("d", &[0xff, 0xff, 0x7f, 0, 0, 0x80, 1, 0, 0])]).unwrap();
    assert_eq!(raw(&recording, 0), [8_388_607, -8_388_608, 1]);
    assert_eq!(recording.leads[0].missing, Some(-8_388_608));
}

#[test]
fn a_last_pack_that_is_filled_up_is_no_surplus() {
    let long = |bytes: &[u8]| codes(&open_made("made 1 250 1\nd 212 200", &[("d", bytes)]).unwrap()).len();
    assert_eq!((long(&[1, 0, 0]), long(&[1, 0, 0, 0, 0])), (0, 1));
}
