//! Where the fields of an EDF header stand: name, offset or order, and length in bytes.

/// Bytes of the fixed header, and of the part of each signal.
pub(super) const BLOCK: usize = 256;

/// A field of the fixed header.
#[derive(Clone, Copy)]
pub(super) struct Field {
    pub(super) name: &'static str,
    pub(super) at: usize,
    pub(super) len: usize,
}

const fn field(name: &'static str, at: usize, len: usize) -> Field {
    Field { name, at, len }
}

pub(super) const PATIENT: Field = field("patient identification", 8, 80);
pub(super) const RECORDING: Field = field("recording identification", 88, 80);
pub(super) const DATE: Field = field("start date", 168, 8);
pub(super) const TIME: Field = field("start time", 176, 8);
pub(super) const HEADER_BYTES: Field = field("header bytes", 184, 8);
pub(super) const RESERVED: Field = field("reserved", 192, 44);
pub(super) const RECORDS: Field = field("number of data records", 236, 8);
pub(super) const DURATION: Field = field("data record duration", 244, 8);
pub(super) const SIGNALS: Field = field("number of signals", 252, 4);

// Signal fields: `at` counts within the 256 bytes that each signal has in all; the file stores them field by
// field, so field f of signal i of ns stands at 256 + ns * f.at + i * f.len.
pub(super) const LABEL: Field = field("label", 0, 16);
pub(super) const UNIT: Field = field("physical dimension", 96, 8);
pub(super) const PHYSICAL_MIN: Field = field("physical minimum", 104, 8);
pub(super) const PHYSICAL_MAX: Field = field("physical maximum", 112, 8);
pub(super) const DIGITAL_MIN: Field = field("digital minimum", 120, 8);
pub(super) const DIGITAL_MAX: Field = field("digital maximum", 128, 8);
pub(super) const PREFILTER: Field = field("prefiltering", 136, 80);
pub(super) const PER_RECORD: Field = field("samples per data record", 216, 8);
pub(super) const SIGNAL_RESERVED: Field = field("signal reserved", 224, 32);

impl Field {
    /// Offset in the file for signal `i` of `signals`.
    pub(super) fn at_signal(self, i: usize, signals: usize) -> usize {
        BLOCK + signals * self.at + i * self.len
    }
}

/// A character as printable ASCII.
pub(super) fn ascii(c: char) -> char {
    match c {
        ' '..='~' => c,
        '\u{b5}' | '\u{3bc}' => 'u',
        _ => '?',
    }
}
