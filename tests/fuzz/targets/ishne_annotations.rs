//! ISHNE annotation files; also opened as if they were recordings, which is refused in one sentence.

#![no_main]

use beatledger_formats::wfdb::read_annotation_file;
use beatledger_fuzz::{check_sentence, open_alone, put};

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let bytes = [b"ANN  1.0", bytes.get(8..).unwrap_or_default()].concat();
    match read_annotation_file(put("made.ann", &bytes), None) {
        Ok(file) => assert!(file.annotations.iter().all(|a| a.sample >= 0)),
        Err(error) => check_sentence(&error),
    }
    open_alone("made.ann", &bytes);
});
