//! Diaries, with a known and an unknown start of the recording.

#![no_main]

use beatledger_core::model::{LocalTime, Rate};
use beatledger_formats::diary;
use beatledger_fuzz::{check_sentence, put};

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    let path = put("made.diary.csv", bytes);
    for start in [None, Some(LocalTime(9 * 3_600_000)), Some(LocalTime(1_603_530_000_000))] {
        diary::read(&path, start, Rate::whole_hz(250)).map_err(|e| check_sentence(&e)).ok();
    }
});
