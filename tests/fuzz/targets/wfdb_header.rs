//! Headers of WFDB records beside sound signal files and segments.

#![no_main]

use std::sync::Once;

use beatledger_formats::wfdb::read_header;
use beatledger_fuzz::{check_sentence, open_of, put};

/// The signal file that sound headers name, so that strikes elsewhere in the header are followed to the end.
const SIGNAL: [u8; 1500] = [0x5a; 1500];

libfuzzer_sys::fuzz_target!(|bytes: &[u8]| {
    static BESIDE: Once = Once::new();
    BESIDE.call_once(|| {
        for name in ["made.dat", "made.d0", "made.d1", "segment.dat"] {
            put(name, &SIGNAL);
        }
        put("layout.hea", b"layout 2 250 0\n~ 0 200 0 0 0 0 0 I\n~ 0 200 0 0 0 0 0 II\n");
        put("segment.hea", b"segment 2 250 100\nsegment.dat 16 200 0 0 0 0 0 I\nsegment.dat 16 99(5) 0 0 0 0 0 II\n");
    });
    let path = put("made.hea", bytes);
    read_header(&path).map_err(|e| check_sentence(&e)).ok();
    // A joined record may name one segment many times; it is held once, but counted each time it is named.
    open_of(path, SIGNAL.len() * (1 + bytes.len()));
});
