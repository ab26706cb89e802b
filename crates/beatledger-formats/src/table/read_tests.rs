//! Tables of samples as a researcher would write them.

use super::*;

fn open(text: &str) -> Result<Recording, FormatError> {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("made.csv"), text).unwrap();
    crate::open(folder.path().join("made.csv"))
}

fn mv(recording: &Recording, lead: usize) -> Vec<f32> {
    let mut out = Vec::new();
    recording.leads[lead].read_mv(recording.whole(), &mut out);
    out
}

#[test]
fn columns_of_voltage_become_leads_in_millivolts() {
    let recording =
        open("time_s,MLII (mV),V5 (uV),RESP (Ohm)\n0.000,0.125,-50,7\n0.004,-1.5,12.5,7\n").unwrap();
    let near = |is: Vec<f32>, want: [f32; 2]| is.iter().zip(want).all(|(a, b)| (a - b).abs() < 1e-6);
    assert!(near(mv(&recording, 0), [0.125, -1.5]) && near(mv(&recording, 1), [-0.05, 0.0125]));
    assert_eq!((recording.rate.hz(), recording.samples), (250.0, 2));
    assert_eq!(recording.others.iter().map(|o| o.name.as_str()).collect::<Vec<_>>(), ["RESP"]);
    assert!(recording.warnings.is_empty(), "{:?}", recording.warnings);
}

#[test]
fn a_jump_in_time_is_a_gap_and_an_empty_cell_is_a_missing_sample() {
    let recording = open("time_s;ECG_mV\n0,00;1\n0,01;nan\n0,02;3\n0,05;4\n0,06;5\n").unwrap();
    let seen: Vec<_> = mv(&recording, 0).into_iter().map(|v| (!v.is_nan()).then_some(v)).collect();
    assert_eq!(seen, [Some(1.0), None, Some(3.0), None, None, Some(4.0), Some(5.0)]);
    assert_eq!(recording.segments, [Span::new(0, 3), Span::new(5, 7)]);
    assert!(recording.warnings.is_empty(), "{:?}", recording.warnings);
}

#[test]
fn a_stated_rate_makes_a_bare_list_a_recording_without_calibration() {
    let recording = open("# rate_hz=360\n# start=2020-10-24T09:30:15\n100\n200\nx\n").unwrap();
    assert_eq!((recording.rate.hz(), recording.clock(0).as_str()), (360.0, "09:30:15"));
    let seen = mv(&recording, 0);
    assert_eq!((seen[..2].to_vec(), seen[2].is_nan()), (vec![0.5, 1.0], true));
    let told: Vec<_> = recording.warnings.iter().map(|w| (w.code.as_str(), w.place.as_str())).collect();
    assert_eq!(told, [("cell-unreadable", "line 5"), ("uncalibrated", "column 1")]);
}

#[test]
fn what_cannot_be_read_is_told_in_one_sentence() {
    let told = |text: &str| open(text).unwrap_err().to_string();
    assert_eq!(
        told("time_s,ECG (mV)\n0,1\n0.01,1\n0.005,1\n"),
        "made.csv, row 3: expected a time after 0.01 s, found 0.005 s"
    );
    assert_eq!(
        told("time_s,ECG (mV)\n0,1\n?,1\n"),
        "made.csv, line 3: expected a time as a number, found '?'"
    );
    assert_eq!(
        told("time_s,ECG (mV)\n0,1\n"),
        "made.csv, time column: expected times that give a sampling rate, or a line '# rate_hz=', found 1 row(s)"
    );
    assert_eq!(
        told("time_s,RESP (Ohm)\n0,1\n1,2\n"),
        "made.csv: none of its columns is an ECG lead ('RESP': its unit 'Ohm' is no voltage)"
    );
    assert!(told("MLII,V5\n1,2\n").contains("no recording that is known"));
}

#[test]
fn short_rows_are_read_as_far_as_they_go_but_take_no_more_memory_than_the_file_is_long() {
    let head = format!("time_s{}\n", ",ECG mV".repeat(300));
    let row = |n: usize| format!("{}{}\n", n as f64 / 250.0, ",0.1".repeat(300));
    let rows: String = (0..100).map(row).collect();
    let damaged = open(&format!("{head}{rows}0.4,0.1\n")).unwrap();
    assert_eq!(damaged.samples, 101);
    // Found by fuzzing: rows of one byte under a long header.
    let lying = format!("# rate_hz=250\n{}\n1\n{}", vec!["ECG mV"; 300].join(","), "1\n".repeat(10_000));
    let sentence = open(&lying).unwrap_err().to_string();
    assert!(
        sentence.contains("expected 300 cells in nearly every row, found 1, and many such rows"),
        "{sentence}"
    );
}
