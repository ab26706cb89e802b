//! Broken files of the other formats: cut at every byte, struck at random, with lengths that are not true.

#![allow(clippy::unwrap_used)]

mod common;

use std::path::PathBuf;

use beatledger_formats::open;
use beatledger_formats::wfdb::read_annotation_file;
use beatledger_testkit::Random;
use common::{check_recording, check_sentence};

/// A sound recording: its files, and the one to open.
struct Made {
    files: Vec<(&'static str, Vec<u8>)>,
    opened: &'static str,
}

/// Two leads and eight samples by the published layout of ISHNE, behind a text block of four bytes.
fn ishne() -> Made {
    let mut bytes = b"ISHNE1.0\0\0".to_vec();
    [4i32, 8, 522, 526].iter().for_each(|n| bytes.extend(n.to_le_bytes()));
    bytes.resize(522, 0);
    for (at, value) in [(26, 1i16), (156, 2), (158, 6), (160, 15), (206, 2500), (208, 2500), (272, 200)] {
        bytes[at..at + 2].copy_from_slice(&value.to_le_bytes());
    }
    bytes.extend(b"text");
    (0..16i16).for_each(|i| bytes.extend((i * 999).to_le_bytes()));
    Made { files: vec![("made.ecg", bytes)], opened: "made.ecg" }
}

/// One lead of 24 bits, a status channel and annotations, two data records.
fn bdf() -> Made {
    let mut bytes = b"\xffBIOSEMI".to_vec();
    let mut put = |text: &str, len: usize| bytes.extend(format!("{text:<len$}").bytes());
    put("X X X X", 80);
    put("Startdate 25-OCT-2020 X X X", 80);
    [("25.10.20", 8), ("09.30.15", 8), ("1024", 8), ("BDF+D", 44), ("2", 8), ("1", 8), ("3", 4)]
        .iter()
        .for_each(|(text, len)| put(text, *len));
    let columns: [(usize, [&str; 3]); 10] = [
        (16, ["ECG II", "Status", "BDF Annotations"]),
        (80, ["", "", ""]),
        (8, ["uV", "Boolean", ""]),
        (8, ["-262144", "-8388608", "-1"]),
        (8, ["262143", "8388607", "1"]),
        (8, ["-8388608"; 3]),
        (8, ["8388607"; 3]),
        (80, ["", "", ""]),
        (8, ["4", "1", "6"]),
        (32, ["", "", ""]),
    ];
    columns.iter().for_each(|(len, texts)| texts.iter().for_each(|text| put(text, *len)));
    for notes in [&b"+0\x14\x14\0"[..], b"+9\x14\x14\0"] {
        bytes.extend((0..15u8).map(|i| i.wrapping_mul(89)));
        bytes.extend(notes.iter().copied().chain(std::iter::repeat(0)).take(18));
    }
    Made { files: vec![("made.bdf", bytes)], opened: "made.bdf" }
}

fn table() -> Made {
    let text = "# unit=mV\ntime_s,II,V5\n0.000,1.5,2\n0.004,,3\n0.008,-1e-2,4\n0.100,7,8\n0.104,9,10\n";
    Made { files: vec![("made.csv", text.into())], opened: "made.csv" }
}

/// A layout header, two segments and a gap.
fn joined() -> Made {
    let files = [
        ("m.hea", "m/5 2 250 19 9:30:00 25/10/2020\nml 0\nsa 4\n~ 3\nsb 8\nsa 4\n"),
        ("ml.hea", "ml 2 250 0\n~ 0 200 0 0 0 0 0 I\n~ 0 200 0 0 0 0 0 II\n"),
        ("sa.hea", "sa 1 250 4\na 212 100(5) 12 0 0 0 0 I\n"),
        ("sb.hea", "sb 2 250 8\nb 310 200 0 0 0 0 0 II\nb 310 200 0 0 0 0 0 I\n"),
    ];
    let mut files: Vec<_> = files.map(|(name, text)| (name, text.as_bytes().to_vec())).into();
    files.push(("a", vec![1, 0x20, 3, 4, 0x50, 6]));
    files.push(("b", (0..22u8).map(|i| i.wrapping_mul(73)).collect()));
    Made { files, opened: "m.hea" }
}

struct Folder(tempfile::TempDir);

impl Folder {
    fn of(made: &Made) -> Self {
        let folder = Self(tempfile::tempdir().unwrap());
        made.files.iter().for_each(|(name, bytes)| folder.put(name, bytes));
        folder
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn put(&self, name: &str, bytes: &[u8]) {
        std::fs::remove_file(self.path(name)).ok();
        std::fs::write(self.path(name), bytes).unwrap();
    }

    /// True when it was read.
    fn check(&self, made: &Made) -> bool {
        let result = open(self.path(made.opened));
        // A cell of a table may be as short as its separator, and a byte may hold a step of a wide signal.
        let bytes: usize = made.files.iter().map(|(_, b)| b.len()).sum();
        check_recording(&result, 4 * bytes);
        result.is_ok()
    }
}

#[test]
fn a_file_cut_at_any_byte_is_read_in_part_or_refused_in_one_sentence() {
    for made in [ishne(), bdf(), table(), joined()] {
        let folder = Folder::of(&made);
        assert!(folder.check(&made), "{} is sound", made.opened);
        for (name, bytes) in &made.files {
            for len in (0..bytes.len()).rev() {
                folder.put(name, &bytes[..len]);
                folder.check(&made);
            }
            let told = open(folder.path(made.opened)).map_or(true, |r| !r.warnings.is_empty());
            assert!(told, "{name}: an empty file is refused or told");
            folder.put(name, bytes);
        }
    }
}

#[test]
fn flipped_bits_and_overwritten_bytes_break_nothing() {
    let mut stream = Random::new(0x1234_5678_9abc_def1);
    let mut random = |below: usize| stream.below(below as u64) as usize;
    for made in [ishne(), bdf(), table(), joined()] {
        let folder = Folder::of(&made);
        for _ in 0..1200 {
            let (name, sound) = &made.files[random(made.files.len())];
            let mut bytes = sound.clone();
            for _ in 0..=random(4) {
                let at = random(bytes.len());
                bytes[at] = match random(3) {
                    0 => bytes[at] ^ (1 << random(8)),
                    1 => random(256) as u8,
                    _ => b"0919-.eE+ \0\xff,/~\n"[random(16)],
                };
            }
            folder.put(name, &bytes);
            folder.check(&made);
            folder.put(name, sound);
        }
    }
}

#[test]
fn lengths_and_times_that_are_not_true_take_no_memory() {
    let made = ishne();
    let folder = Folder::of(&made);
    for at in [10, 14, 22, 156, 206, 272] {
        for value in [i32::MIN, -1, 0, 1, 0x7fff, 0x8000, 0x00ff_ffff, i32::MAX] {
            let mut bytes = made.files[0].1.clone();
            bytes[at..at + 4].copy_from_slice(&value.to_le_bytes());
            folder.put("made.ecg", &bytes);
            folder.check(&made);
        }
    }
    let made = joined();
    let folder = Folder::of(&made);
    let many = format!("m/20000 1 250\n{}", "sa 4\n".repeat(20_000));
    for text in [
        "m/1000001 2 250",
        "m/1000000 2 250 1\nsa 1",
        "m/2 2 250\nsa 9223372036854775807\nsb 9223372036854775807",
        "m/2 2 1e300\nsa 4\n~ 9000000000000000000",
        "m/2 2 250\nsa -4\nsb 8",
        "m/2 2 250\nsa 4\nm 8",
        "m/2 2 250\nsa 4\n~~ 8",
        "m/1 2 250\nsa 1296000000",
        &many,
    ] {
        folder.put("m.hea", text.as_bytes());
        folder.check(&made);
    }
    let made = table();
    let folder = Folder::of(&made);
    for text in [
        "time_s,II (mV)\n0,1\n1e308,1\n",
        "time_s,II (mV)\n-1e308,1\n1e308,1\n",
        "time_s,II (mV)\n0,1\n1e-300,1\n",
        "time_s,II (mV)\n0,1e308\n0.1,-1e308\n",
        "# rate_hz=1e300\n1\n",
        "# rate_hz=1e-300\n1\n",
        "# rate_hz=250\n,,,,\n",
    ] {
        folder.put("made.csv", text.as_bytes());
        folder.check(&made);
    }
    folder.put("made.csv", format!("# rate_hz=250\n1\n{}", "9".repeat(2 << 20)).as_bytes());
    let error = open(folder.path("made.csv")).unwrap_err().to_string();
    assert!(error.contains("line 3: expected a line of at most 1 MiB"), "{error}");
}

#[test]
fn ishne_annotations_struck_at_random_are_read_or_refused() {
    let mut sound = b"ANN  1.0".to_vec();
    sound.resize(522, 0);
    sound.extend([37, 0, 0, 0, b'N', b' ', 180, 0, b'!', b' ', 255, 255, b'V', 0, 120, 0]);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("made.ann");
    let mut stream = Random::new(7);
    let mut random = |below: usize| stream.below(below as u64) as usize;
    for round in 0..1200 {
        let mut bytes = sound.clone();
        let at = random(bytes.len());
        match round % 2 {
            0 => bytes.truncate(at),
            _ => bytes[if random(2) == 0 { at } else { 8 + random(20) }] = random(256) as u8,
        }
        std::fs::remove_file(&path).ok();
        std::fs::write(&path, &bytes).unwrap();
        read_annotation_file(&path, None).map_err(|e| check_sentence(&e)).ok();
    }
}
