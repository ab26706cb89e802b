//! Variables of MATLAB files.

#![no_main]

use beatledger_formats::matlab::first_variable;
use beatledger_fuzz::{check_sentence, put};

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    first_variable(put("made.mat", bytes)).map_err(|error| check_sentence(&error)).ok();
});
