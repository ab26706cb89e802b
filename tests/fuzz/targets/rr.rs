//! Lists of RR intervals.

#![no_main]

use beatledger_formats::rr;
use beatledger_fuzz::{check_sentence, open_alone, put};

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    match rr::read(put("made.txt", bytes)) {
        Ok(list) => {
            assert!(list.beats_ms.iter().all(|ms| ms.is_finite()));
            assert!(list.beats_ms.windows(2).all(|pair| pair[0] < pair[1]));
        }
        Err(error) => check_sentence(&error),
    }
    open_alone("made.txt", bytes);
});
