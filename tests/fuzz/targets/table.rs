//! Tables of samples.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| beatledger_fuzz::open_alone("made.csv", bytes));
