//! MIT annotation files, with and without the rate of their record.

#![no_main]

use beatledger_core::model::Rate;
use beatledger_formats::wfdb::read_annotation_file;
use beatledger_fuzz::{check_sentence, put};

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let path = put("made.atr", bytes);
    for rate in [None, Some(Rate::whole_hz(360))] {
        match read_annotation_file(&path, rate) {
            Ok(file) => assert!(file.annotations.iter().all(|a| a.sample >= 0)),
            Err(error) => check_sentence(&error),
        }
    }
});
