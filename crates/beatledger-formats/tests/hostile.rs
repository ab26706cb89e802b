//! Broken and hostile files: never a panic, never memory in proportion to a claim, always one sentence.

#![allow(clippy::unwrap_used)]

mod common;

use std::path::{Path, PathBuf};

use beatledger_formats::wfdb::{read_annotation_file, read_header};
use beatledger_formats::{diary, open};
use beatledger_testkit::Random;
use common::{check_recording, check_sentence};

fn data(name: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data").join(name)).unwrap()
}

/// A folder with the sound record `made212` and the sound file `made.edf`, to be broken.
struct Folder(tempfile::TempDir);

impl Folder {
    fn new() -> Self {
        let folder = Self(tempfile::tempdir().unwrap());
        for name in ["made212.hea", "made212.dat", "made212.atr", "made.edf"] {
            folder.put(name, &data(name));
        }
        folder
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn put(&self, name: &str, bytes: &[u8]) {
        // A new file each time: some file systems flush to disk when an old one is cut to nothing and rewritten.
        std::fs::remove_file(self.path(name)).ok();
        std::fs::write(self.path(name), bytes).unwrap();
    }
}

fn check_file(folder: &Folder, name: &str) {
    let bytes = |name: &str| std::fs::metadata(folder.path(name)).unwrap().len() as usize;
    match name {
        "made212.atr" => {
            read_annotation_file(folder.path(name), None).map_err(|e| check_sentence(&e)).ok();
        }
        "made212.hea" => {
            check_recording(&open(folder.path(name)), bytes("made212.dat"));
            read_header(folder.path(name)).map_err(|e| check_sentence(&e)).ok();
        }
        _ => check_recording(&open(folder.path(name)), bytes(name)),
    }
}

#[test]
fn a_file_cut_at_any_byte_is_read_in_part_or_refused_in_one_sentence() {
    let folder = Folder::new();
    for name in ["made.edf", "made212.hea", "made212.dat", "made212.atr"] {
        let bytes = data(name);
        let mut refused = 0;
        for len in 0..bytes.len() {
            folder.put(name, &bytes[..len]);
            match name {
                "made.edf" => {
                    let result = open(folder.path(name));
                    refused += usize::from(result.is_err());
                    check_recording(&result, len);
                }
                "made212.atr" => {
                    let result = read_annotation_file(folder.path(name), None);
                    refused += usize::from(result.is_err());
                    result.map_err(|e| check_sentence(&e)).ok();
                }
                _ => {
                    let result = open(folder.path("made212.hea"));
                    refused += usize::from(result.is_err());
                    check_recording(&result, data("made212.dat").len());
                }
            }
        }
        assert!(refused > 0 && refused < bytes.len(), "{name}: {refused} of {} lengths refused", bytes.len());
        folder.put(name, &bytes);
    }
}

#[test]
fn flipped_bits_and_overwritten_bytes_break_nothing() {
    let folder = Folder::new();
    let mut stream = Random::new(0x9e37_79b9_7f4a_7c15);
    let mut random = |below: usize| stream.below(below as u64) as usize;
    for name in ["made.edf", "made212.hea", "made212.atr"] {
        let sound = data(name);
        for _ in 0..1200 {
            let mut bytes = sound.clone();
            for _ in 0..=random(4) {
                // Half of the strikes go to the header, where the lengths stand.
                let at = if random(2) == 0 { random(bytes.len()) } else { random(bytes.len().min(1024)) };
                bytes[at] = match random(3) {
                    0 => bytes[at] ^ (1 << random(8)),
                    1 => random(256) as u8,
                    _ => b"0919-.eE+ \0\xff"[random(12)],
                };
            }
            folder.put(name, &bytes);
            check_file(&folder, name);
        }
        folder.put(name, &sound);
    }
}

fn edf_with(at: usize, text: &str) -> Vec<u8> {
    let mut bytes = data("made.edf");
    bytes[at..at + text.len()].copy_from_slice(text.as_bytes());
    bytes
}

#[test]
fn claims_that_the_bytes_do_not_bear_out_take_no_memory() {
    let folder = Folder::new();
    // Signals of made.edf: three; samples per record of the first stand at 256 + 3 * 216.
    let spr = 256 + 3 * 216;
    for (at, text) in [
        (236, "99999999"),
        (236, "-9999999"),
        (244, "1e308   "),
        (244, "-1      "),
        (244, "1E-30   "),
        (244, "NaN     "),
        (252, "4096"),
        (252, "-1  "),
        (252, "    "),
        (spr, "99999999"),
        (spr, "-5      "),
        (spr, "0       "),
        (256 + 3 * 104, "NaN     "),
        (256 + 3 * 104, "1e300   "),
        (256 + 3 * 120, "9999999 "),
    ] {
        folder.put("made.edf", &edf_with(at, text));
        check_recording(&open(folder.path("made.edf")), 3164);
    }
    for header in [
        "made212 2 360 999999999999999999\nmade212.dat 212\nmade212.dat 212",
        "made212 2 360 99999999999999999999999\nmade212.dat 212\nmade212.dat 212",
        "made212 1 360 501\nmade212.dat 212x65536",
        "made212 1 360 501\nmade212.dat 212x4294967295",
        "made212 1 360 501\nmade212.dat 16+18446744073709551615",
        "made212 1 360 501\nmade212.dat 16:4294967295",
        "made212 1 1e-320 501\nmade212.dat 16",
        "made212 1 1e300 501\nmade212.dat 16",
        "made212 1 inf 501\nmade212.dat 16",
        "made212 1 360 501\nmade212.dat 16 1e-320",
        "made212 1 360 501\nmade212.dat 16 1e308/V",
        "made212 1 360 501\nmade212.dat 16 200 99 2147483647 0 0 0 I",
        "made212/4294967295 2 360 501",
        "made212 0",
        "made212 2 360 501\nmade212.hea 16\nmade212.hea 16",
        "made212 1\n/etc/passwd 16",
        "made212 1\nC:x 16",
    ] {
        folder.put("made212.hea", header.as_bytes());
        check_recording(&open(folder.path("made212.hea")), 1503);
    }
}

#[test]
fn a_record_that_claims_to_last_for_days_is_refused_before_anything_is_worked_out() {
    let folder = Folder::new();
    for duration in ["1000000 ", "99999999"] {
        folder.put("a.edf", &edf_with(244, duration));
        let error = open(folder.path("a.edf")).unwrap_err();
        check_sentence(&error);
        let error = error.to_string();
        assert!(error.contains("one sample a second or more"), "{duration}: {error}");
    }
}

#[test]
fn rates_of_zero_and_below_are_refused_in_one_sentence() {
    let folder = Folder::new();
    let told = |name: &str| {
        let error = open(folder.path(name)).unwrap_err();
        check_sentence(&error);
        error.to_string()
    };
    for text in ["0       ", "-1      "] {
        folder.put("made.edf", &edf_with(244, text));
        assert!(told("made.edf").contains("a data record duration"), "{}", told("made.edf"));
    }
    for rate in ["0", "-360", "NaN", "-inf"] {
        let header = format!("made212 2 {rate} 501\nmade212.dat 212 200\nmade212.dat 212 200");
        folder.put("made212.hea", header.as_bytes());
        let words = told("made212.hea");
        assert!(words.contains("rate above 0 Hz") || words.contains("no recording that is known"), "{words}");
    }
}

#[test]
fn opening_leaves_every_file_as_it_was() {
    let folder = Folder::new();
    let state = || {
        let mut list: Vec<_> = std::fs::read_dir(folder.0.path())
            .unwrap()
            .map(|e| {
                let e = e.unwrap();
                let meta = e.metadata().unwrap();
                (e.file_name(), meta.len(), meta.modified().unwrap(), std::fs::read(e.path()).unwrap())
            })
            .collect();
        list.sort();
        list
    };
    for name in ["made.edf", "made212.dat", "made212.hea", "made212.atr"] {
        let mut rights = std::fs::metadata(folder.path(name)).unwrap().permissions();
        rights.set_readonly(true);
        std::fs::set_permissions(folder.path(name), rights).unwrap();
    }
    let before = state();
    assert!(open(folder.path("made.edf")).is_ok() && open(folder.path("made212.hea")).is_ok());
    assert!(beatledger_formats::glance(folder.path("made.edf")).is_some());
    assert!(read_annotation_file(folder.path("made212.atr"), None).is_ok());
    assert!(state() == before, "a file or its time changed");
}

#[test]
fn annotations_with_impossible_times_are_refused_or_read() {
    let folder = Folder::new();
    let skip = |low: &[u8], high: &[u8]| [&[0, 0xec], high, low, &[0, 4]].concat();
    let far = skip(&[0xff, 0xff], &[0xff, 0x7f]);
    let back = skip(&[0, 0], &[0, 0x80]);
    for bytes in [far.repeat(5000), back.clone(), back.repeat(3), vec![0xff; 999], vec![0, 0xec, 1]] {
        folder.put("made212.atr", &bytes);
        read_annotation_file(folder.path("made212.atr"), None).map_err(|e| check_sentence(&e)).ok();
    }
    folder.put("made212.atr", &back);
    let error = read_annotation_file(folder.path("made212.atr"), None).unwrap_err().to_string();
    assert_eq!(error, "made212.atr, annotations: expected no annotation before sample 0, found -2147483648");
}

#[test]
fn four_hundred_leads_are_read_and_five_thousand_are_refused() {
    let folder = Folder::new();
    let edf = |count: usize| {
        let field = |text: String, len: usize| format!("{text:<len$}");
        let mut out =
            field("0".into(), 168) + "01.01.2001.02.03" + &field(((count + 1) * 256).to_string(), 8);
        out += &(field(String::new(), 44)
            + &field("2".into(), 8)
            + &field("1".into(), 8)
            + &field(count.to_string(), 4));
        let values: [(&str, usize); 10] = [
            ("ECG", 16),
            ("", 80),
            ("mV", 8),
            ("-1", 8),
            ("1", 8),
            ("-99", 8),
            ("99", 8),
            ("", 80),
            ("1", 8),
            ("", 32),
        ];
        values.iter().for_each(|(text, len)| (0..count).for_each(|_| out += &field((*text).into(), *len)));
        let mut bytes = out.into_bytes();
        bytes.extend(vec![7; count * 4]);
        bytes
    };
    folder.put("many.edf", &edf(400));
    let recording = open(folder.path("many.edf")).unwrap();
    assert_eq!((recording.leads.len(), recording.samples), (400, 2));
    folder.put("many.edf", &edf(5000));
    check_sentence(&open(folder.path("many.edf")).unwrap_err());
}

#[test]
fn what_is_no_recording_is_named_for_what_it_is() {
    let folder = Folder::new();
    let told = |name: &str, bytes: &[u8]| {
        folder.put(name, bytes);
        open(folder.path(name)).unwrap_err().to_string()
    };
    assert!(told("a.edf", b"").contains("the file is empty"));
    assert!(told("a.edf", &[0xff, 0xfe, 0, 1, 2]).contains("no recording that is known"));
    assert!(told("a.edf", b"\xffBIOSEMI and more").contains("expected a header of 256 bytes"));
    assert!(told("a.edf", b"ISHNE1.0 and more").contains("expected a header of 522 bytes"));
    let xml = "a.edf: its content is HL7 aECG, which is not read; EDF, BDF, ISHNE, DICOM ECG, WFDB and tables of samples are";
    assert_eq!(told("a.edf", b"<AnnotatedECG xmlns=\"urn:hl7-org:v3\">"), xml);
    assert!(told("a.\u{7}hea", b"x y z").contains("a.\u{fffd}hea"));
    check_sentence(&open(folder.path("no such file")).unwrap_err());
    folder.put("second.hea", b"second 0");
    check_sentence(&open(folder.0.path()).unwrap_err());
}

#[test]
fn a_diary_of_noise_gives_warnings_and_no_more() {
    let folder = Folder::new();
    let rate = beatledger_core::model::Rate::whole_hz(250);
    for text in [
        "time,elapsed_s\n\"unclosed",
        "elapsed_s\n1e308\n-1e308\nNaN\ninf\n",
        "elapsed_s,duration_s\n99999999,99999999\n1,-1\n",
        "time\n99:99\n2020-13-45T10:00\n-1:00\n::\nT\n",
        "time\n2020-10-24T10:00:00+99:99\n",
    ] {
        folder.put("x.csv", text.as_bytes());
        let start = beatledger_formats::time::local_time_from_ymd_hms((2020, 10, 24), (9, 0, 0, 0));
        diary::read(folder.path("x.csv"), start, rate).map_err(|e| check_sentence(&e)).ok();
    }
    let many: String = (0..500).map(|_| "x\n").collect();
    folder.put("x.csv", format!("elapsed_s\n{many}").as_bytes());
    let warnings = diary::read(folder.path("x.csv"), None, rate).unwrap().warnings;
    assert_eq!(warnings.len(), 21, "twenty in full and one that counts the rest");
}
