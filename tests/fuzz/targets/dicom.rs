//! DICOM waveform objects.

#![no_main]

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| beatledger_fuzz::open_alone("made.dcm", bytes));
