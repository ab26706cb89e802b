//! EDF files made by hand, sound and broken, as real files break the rules.

use beatledger_core::model::{Lead, Span};

use super::*;
use crate::time::{date_is_known, local_time_from_ymd_hms};

/// An EDF file with one 2-sample signal and an annotation signal of 15 words, as bytes to break.
struct Made {
    head: [(usize, String); 10],
    signals: [[String; 10]; 2],
    records: Vec<(i16, i16, Vec<u8>)>,
}

const LENGTHS: [usize; 10] = [16, 80, 8, 8, 8, 8, 8, 80, 8, 32];

fn made() -> Made {
    let head = [
        (8, "0"),
        (80, "ID1 F 31-JAN-1960 Jane_Doe"),
        (80, "Startdate 25-OCT-2020 X X T1"),
        (8, "25.10.20"),
        (8, "09.30.15"),
        (8, "768"),
        (44, "EDF+C"),
        (8, "3"),
        (8, "1"),
        (4, "2"),
    ];
    let texts = |list: [&str; 10]| list.map(str::to_owned);
    Made {
        head: head.map(|(len, text)| (len, text.to_owned())),
        signals: [
            texts(["ECG II", "", "uV", "-5000", "5000", "-2048", "2047", "HP:0.05Hz", "2", ""]),
            texts(["EDF Annotations", "", "", "-1", "1", "-32768", "32767", "", "15", ""]),
        ],
        records: vec![
            (1, -2, b"+0.5\x14\x14\0".to_vec()),
            (3, 4, b"+1.5\x14\x14\0+1.75\x14Patient event\x14\0".to_vec()),
            (5, 6, b"+2.5\x14\x14\0+2.5\x150.5\x14dizzy \xC3\xA9\x14\0".to_vec()),
        ],
    }
}

impl Made {
    fn bytes(&self) -> Vec<u8> {
        let padded = |text: &str, len: usize| {
            text.bytes().chain(std::iter::repeat(b' ')).take(len).collect::<Vec<u8>>()
        };
        let mut out: Vec<u8> = self.head.iter().flat_map(|(len, text)| padded(text, *len)).collect();
        for (f, len) in LENGTHS.iter().enumerate() {
            self.signals.iter().for_each(|s| out.extend(padded(&s[f], *len)));
        }
        for (a, b, tal) in &self.records {
            out.extend([a.to_le_bytes(), b.to_le_bytes()].concat());
            out.extend(tal.iter().copied().chain(std::iter::repeat(0)).take(30));
        }
        out
    }

    fn open(&self) -> Result<Recording, FormatError> {
        open_bytes(&self.bytes())
    }
}

fn open_bytes(bytes: &[u8]) -> Result<Recording, FormatError> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("made.rec");
    std::fs::write(&path, bytes).unwrap();
    crate::open(&path)
}

fn codes(recording: &Recording) -> Vec<&str> {
    recording.warnings.iter().map(|w| w.code.as_str()).collect()
}

fn raw(lead: &Lead) -> Vec<i32> {
    let mut out = vec![0; lead.samples.len()];
    lead.samples.read(0, &mut out);
    out
}

#[test]
fn a_sound_file_reads_in_full_whatever_its_ending() {
    let recording = made().open().unwrap();
    assert_eq!((recording.format.as_str(), recording.samples, recording.rate.hz()), ("EDF+C", 6, 2.0));
    assert_eq!(recording.start, local_time_from_ymd_hms((2020, 10, 25), (9, 30, 15, 500)));
    assert_eq!(recording.identity.name, "Jane Doe");
    let lead = &recording.leads[0];
    assert_eq!(raw(lead), [1, -2, 3, 4, 5, 6]);
    assert_eq!((lead.rails, lead.adc_per_mv, lead.adc_zero), (Some((-2048, 2047)), 409.5, -0.5));
    // The standard's scaling formula: digital 0 of -5..5 mV over -2048..2047 is 0.001221 mV.
    assert!((lead.mv_from_adc(0) - 0.001_221).abs() < 1e-6);
    let diary: Vec<_> = recording.diary.iter().map(|d| (d.span, d.text.as_str())).collect();
    // 1.75 s - 0.5 s = 1.25 s at 2 Hz is 2.5, to even 2.
    assert_eq!(diary, [(Span::new(2, 2), "Patient event"), (Span::new(4, 5), "dizzy é")]);
    assert!(recording.warnings.is_empty(), "{:?}", recording.warnings);
}

#[test]
fn a_first_look_shows_the_leads_of_the_whole() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("made.rec");
    std::fs::write(&path, made().bytes()).unwrap();
    let (whole, first) = (crate::open(&path).unwrap(), crate::glance(&path).unwrap());
    assert_eq!(raw(&first.leads[0]), [1, -2, 3, 4, 5, 6]);
    assert_eq!((first.samples, first.rate, first.start), (whole.samples, whole.rate, whole.start));
    let mut file = made();
    file.head[6].1 = "EDF+D".into();
    std::fs::write(&path, file.bytes()).unwrap();
    assert!(crate::glance(&path).is_none(), "its gaps are not known before it is read through");
    assert_eq!((first.sha256.len(), whole.sha256.len()), (0, 64));
}

#[test]
fn a_long_file_is_read_where_it_lies_and_what_is_cut_off_it_is_missing() {
    let mut file = made();
    file.head[6].1 = String::new();
    file.head[7].1 = "300".into();
    file.records = (0..300).map(|i| (i, -i, Vec::new())).collect();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("long.rec");
    std::fs::write(&path, file.bytes()).unwrap();
    let recording = crate::open(&path).unwrap();
    let lead = &recording.leads[0];
    let expected: Vec<i32> = (0..300).flat_map(|i| [i, -i]).collect();
    assert_eq!((raw(lead), lead.samples.bytes()), (expected, 0));
    std::fs::File::options().write(true).open(&path).unwrap().set_len(1024).unwrap();
    let mut mv = Vec::new();
    lead.read_mv(Span::new(590, 600), &mut mv);
    assert!(mv.iter().all(|v| v.is_nan()), "{mv:?}");
}

#[test]
fn a_year_of_two_digits_is_said_to_have_been_guessed() {
    let mut file = made();
    file.head[6].1 = String::new();
    let recording = file.open().unwrap();
    assert_eq!(recording.format, "EDF");
    let warning = recording.warnings.iter().find(|w| w.code == "year-two-digits").unwrap();
    assert_eq!(
        (warning.place.as_str(), warning.text.as_str()),
        ("byte 168", "The start year has two digits, 20; it was read as 2020.")
    );
}

#[test]
fn a_file_with_gaps_keeps_its_segments_apart() {
    let mut file = made();
    file.head[6].1 = "EDF+D".into();
    file.records[2].2 = b"+10.5\x14\x14\0+10.5\x14late\x14\0".to_vec();
    let recording = file.open().unwrap();
    assert_eq!(recording.segments, [Span::new(0, 4), Span::new(20, 22)]);
    assert_eq!(recording.samples, 22);
    let lead = &recording.leads[0];
    let missing = lead.missing.unwrap();
    assert_eq!(raw(lead)[2..6], [3, 4, missing, missing]);
    assert_eq!(raw(lead)[20..], [5, 6]);
    assert_eq!(recording.diary[1].span.start, 20);
    file.head[6].1 = "EDF+C".into();
    assert_eq!(codes(&file.open().unwrap()), ["not-continuous"]);
    file.records[2].2 = b"+1.5\x14\x14\0".to_vec();
    assert_eq!(codes(&file.open().unwrap()), ["time-keeping"]);
    file.head[6].1 = "EDF+D".into();
    let error = file.open().unwrap_err().to_string();
    assert_eq!(
        error,
        "made.rec, record 3: expected data records in order of time, without overlap, found 1.5 s, before the end of the record before it at 2.5 s"
    );
}

#[test]
fn each_way_in_which_real_files_break_the_rules_is_read_with_a_warning() {
    let code_after = |change: &dyn Fn(&mut Made)| {
        let mut file = made();
        change(&mut file);
        codes(&file.open().unwrap()).join(" ")
    };
    assert_eq!(code_after(&|f| f.head[4].1 = "09:30:15".into()), "date-separator");
    assert_eq!(code_after(&|f| f.head[7].1 = "-1".into()), "record-count");
    assert_eq!(code_after(&|f| f.head[7].1 = "99999999".into()), "record-count file-cut");
    assert_eq!(code_after(&|f| f.head[5].1 = "512".into()), "header-bytes");
    assert_eq!(code_after(&|f| f.head[3].1 = "24.10.20".into()), "dates-differ");
    assert_eq!(code_after(&|f| f.head[1].1 = "ID1 F X J\u{fc}rgen".into()), "text-encoding");
    assert_eq!(code_after(&|f| f.head[1].1 = "ID1 F X A\0B".into()), "text-encoding");
    assert_eq!(code_after(&|f| f.signals[0][3] = "-5000,0".into()), "decimal-comma");
    assert_eq!(code_after(&|f| f.signals[0][2] = String::new()), "uncalibrated");
    assert_eq!(code_after(&|f| f.records[1].0 = 2048), "range");
    assert_eq!(code_after(&|f| f.records[1].2 = b"+1.5\x14\x14\0oops\x14\0".to_vec()), "annotation-skipped");
    assert_eq!(code_after(&|f| f.records[1].2.clear()), "time-keeping");
    assert_eq!(
        code_after(&|f| f.records[1].2 = b"+1.5\x14\x14\0+99\x14x\x14\0".to_vec()),
        "annotation-outside"
    );
}

#[test]
fn a_last_record_cut_short_is_left_out_with_the_time_lost() {
    let bytes = made().bytes();
    let recording = open_bytes(&bytes[..bytes.len() - 17]).unwrap();
    assert_eq!((recording.samples, codes(&recording)), (4, vec!["record-count", "file-cut", "record-cut"]));
    assert!(recording.warnings[2].text.contains("0.500 s"), "{}", recording.warnings[2].text);
}

#[test]
fn an_inverted_physical_range_gives_a_negative_gain() {
    let mut file = made();
    file.signals[0][3] = "5000".into();
    file.signals[0][4] = "-5000".into();
    assert_eq!(file.open().unwrap().leads[0].adc_per_mv, -409.5);
}

#[test]
fn an_unknown_date_keeps_the_time_of_day() {
    let mut file = made();
    file.head[2].1 = "Startdate X X X X".into();
    file.head[3].1 = "01.01.85".into();
    let start = file.open().unwrap().start.unwrap();
    assert!(!date_is_known(start));
    assert_eq!(start.clock_ms(), "09:30:15.500");
}

#[test]
fn what_cannot_be_read_is_told_in_one_sentence() {
    let sentence = |change: &dyn Fn(&mut Made)| {
        let mut file = made();
        change(&mut file);
        file.open().unwrap_err().to_string()
    };
    type Case<'a> = (&'a dyn Fn(&mut Made), &'a str);
    let cases: [Case<'_>; 7] = [
        (
            &|f| f.head[9].1 = "-2".into(),
            "made.rec, byte 252: expected a number of signals from 1 to 4096, found '-2'",
        ),
        (
            &|f| f.head[9].1 = "9999".into(),
            "made.rec, byte 252: expected a number of signals from 1 to 4096, found '9999'",
        ),
        (
            &|f| f.head[8].1 = "NaN".into(),
            "made.rec, byte 244: expected a data record duration in seconds, found 'NaN'",
        ),
        (
            &|f| f.head[8].1 = "0".into(),
            "made.rec, byte 244: expected a data record duration above 0 s beside signals, found 0",
        ),
        (
            &|f| f.signals[0][8] = "0".into(),
            "made.rec, byte 688: expected 1 or more samples per data record of signal 1 ('ECG II'), found '0'",
        ),
        (
            &|f| f.signals[0][8] = "99999999".into(),
            "made.rec, byte 768: expected at least one data record of 200000028 bytes, found 102 bytes",
        ),
        (
            &|f| f.signals[0][5] = "2047".into(),
            "made.rec: none of its signals is an ECG lead ('ECG II': its digital range 2047 to 2047 is empty or upside down)",
        ),
    ];
    for (change, expected) in cases {
        assert_eq!(sentence(change), expected);
    }
}

/// `made()` as BDF+: samples of three bytes and a status channel; annotation bytes are three a sample.
fn made_bdf() -> Vec<u8> {
    let field = |text: &str, len: usize| format!("{text:<len$}").into_bytes();
    let mut out = b"\xffBIOSEMI".to_vec();
    let head = [
        ("ID1 F 31-JAN-1960 Jane_Doe", 80),
        ("Startdate 25-OCT-2020 X X T1", 80),
        ("25.10.20", 8),
        ("09.30.15", 8),
        ("1024", 8),
        ("BDF+C", 44),
        ("2", 8),
        ("1", 8),
        ("3", 4),
    ];
    head.iter().for_each(|(text, len)| out.extend(field(text, *len)));
    let signals = [
        ["ECG II", "", "uV", "-262144", "262143", "-8388608", "8388607", "", "2", ""],
        ["Status", "", "Boolean", "-8388608", "8388607", "-8388608", "8388607", "", "2", ""],
        ["BDF Annotations", "", "", "-1", "1", "-8388608", "8388607", "", "9", ""],
    ];
    for (k, len) in LENGTHS.iter().enumerate() {
        signals.iter().for_each(|s| out.extend(field(s[k], *len)));
    }
    for (samples, status, notes) in [
        ([0x7f_ffff, -0x80_0000], 7, &b"+0.5\x14\x14\0+1.0\x14pressed\x14\0"[..]),
        ([-1, 65_536], 0, b"+1.5\x14\x14\0"),
    ] {
        let all = samples.into_iter().chain([status, status]);
        all.for_each(|s: i32| out.extend(&s.to_le_bytes()[..3]));
        out.extend(notes.iter().copied().chain(std::iter::repeat(0)).take(27));
    }
    out
}

#[test]
fn a_bdf_file_keeps_24_bits_and_its_status_channel_is_no_lead() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("made.bdf");
    std::fs::write(&path, made_bdf()).unwrap();
    let recording = crate::open(&path).unwrap();
    assert_eq!(recording.format, "BDF+C");
    let mut raw = vec![0; 4];
    recording.leads[0].samples.read(0, &mut raw);
    assert_eq!(raw, [0x7f_ffff, -0x80_0000, -1, 65_536]);
    assert_eq!((recording.leads.len(), recording.others[0].name.as_str()), (1, "Status"));
    assert_eq!(recording.start, local_time_from_ymd_hms((2020, 10, 25), (9, 30, 15, 500)));
    assert_eq!((recording.diary[0].text.as_str(), recording.diary[0].span.start), ("pressed", 1));
    assert!(recording.warnings.is_empty(), "{:?}", recording.warnings);
}

#[test]
fn a_gap_in_a_bdf_file_keeps_its_time() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("made.bdf");
    let mut bytes = made_bdf();
    bytes[192..197].copy_from_slice(b"BDF+D");
    let at = bytes.windows(5).position(|w| w == b"+1.5\x14").unwrap();
    bytes[at + 1] = b'4';
    std::fs::write(&path, bytes).unwrap();
    let recording = crate::open(&path).unwrap();
    assert_eq!(recording.segments, [Span::new(0, 2), Span::new(8, 10)]);
    let mut raw = vec![0; 4];
    recording.leads[0].samples.read(6, &mut raw);
    assert_eq!(raw, [i32::MIN, i32::MIN, -1, 65_536]);
    assert_eq!(recording.leads[0].missing, Some(i32::MIN));
}
