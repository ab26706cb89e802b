//! Signal files of WFDB records in every format that is read; the first byte says which.

#![no_main]

use beatledger_fuzz::{open_of, put};

const FORMATS: [&str; 10] = ["8", "16", "24", "32", "61", "80", "160", "212", "310", "311"];
const SHAPES: [(&str, &str); 4] = [("", ""), ("x3", ""), (":7", "+5"), ("x2:1", "+1")];

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let Some((first, rest)) = bytes.split_first() else { return };
    let first = usize::from(*first);
    let (format, (one, two)) = (FORMATS[first % FORMATS.len()], SHAPES[first / FORMATS.len() % SHAPES.len()]);
    let line = |shape: &str, name: &str| format!("made.dat {format}{shape}{two} 200 12 0 3 77 0 {name}\n");
    let said = [String::new(), "9999999".to_owned()][first / 40 % 2].clone();
    let header = format!("made 2 250 {said}\n{}{}", line(one, "I"), line("", "II"));
    put("made.dat", rest);
    open_of(put("made.hea", header.as_bytes()), rest.len());
});
