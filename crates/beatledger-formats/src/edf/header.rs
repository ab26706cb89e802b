//! The EDF header: tolerant of what real files do, strict about what cannot be guessed.

use std::path::Path;

use super::fields::*;
use super::number::{Comma, Decimal};
use super::{ANNOTATIONS, records::RecordShape};
use crate::FormatError;
use crate::error::shown;
use crate::source::text_from_bytes;
use crate::warn::Warnings;

/// Most signals that are believed.
const MAX_SIGNALS: usize = 4096;
/// Longest data record that is believed, bytes.
const MAX_RECORD_BYTES: u64 = 1 << 30;

/// Which of the two families the file is of: they differ in the width of a sample.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Family {
    Edf,
    Bdf,
}

impl Family {
    /// Bytes at the start of the file.
    pub(super) fn magic(self) -> &'static [u8] {
        match self {
            Self::Edf => b"0       ",
            Self::Bdf => b"\xffBIOSEMI",
        }
    }

    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Edf => "EDF",
            Self::Bdf => "BDF",
        }
    }

    pub(super) fn sample_bytes(self) -> u64 {
        match self {
            Self::Edf => 2,
            Self::Bdf => 3,
        }
    }

    /// Lowest and highest sample.
    pub(super) fn range(self) -> (i32, i32) {
        match self {
            Self::Edf => (-0x8000, 0x7fff),
            Self::Bdf => (-0x80_0000, 0x7f_ffff),
        }
    }
}

/// Which member of the family the file is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Plain,
    PlusContinuous,
    PlusDiscontinuous,
}

/// One signal header.
#[derive(Clone, Debug)]
pub(super) struct Signal {
    pub(super) label: String,
    pub(super) unit: String,
    pub(super) physical: Option<(Decimal, Decimal)>,
    pub(super) digital: Option<(i32, i32)>,
    pub(super) prefilter: String,
    pub(super) reserved: String,
    pub(super) per_record: u32,
}

impl Signal {
    pub(super) fn is_annotation(&self) -> bool {
        self.label == ANNOTATIONS || self.label == "BDF Annotations"
    }
}

/// The whole header.
#[derive(Debug)]
pub(super) struct Header {
    pub(super) family: Family,
    pub(super) kind: Kind,
    pub(super) patient: String,
    pub(super) recording: String,
    pub(super) date: String,
    pub(super) time: String,
    /// Number of data records as claimed; `None` when it is no number.
    pub(super) records: Option<i64>,
    pub(super) duration: Decimal,
    pub(super) signals: Vec<Signal>,
    pub(super) shape: RecordShape,
}

/// Gives `Signals` bytes of header once the fixed part tells how many there are.
pub(super) fn signal_count(path: &Path, fixed: &[u8]) -> Result<usize, FormatError> {
    let text = String::from_utf8_lossy(fixed.get(SIGNALS.at..SIGNALS.at + SIGNALS.len).unwrap_or_default());
    let text = text.replace('\0', " ");
    match text.trim().parse::<usize>() {
        Ok(n) if (1..=MAX_SIGNALS).contains(&n) => Ok(n),
        _ => {
            Err(FormatError::malformed(path, "byte 252", "a number of signals from 1 to 4096", shown(&text)))
        }
    }
}

/// Parses a header of `256 * (signals + 1)` bytes.
pub(super) fn parse(path: &Path, bytes: &[u8], warnings: &mut Warnings) -> Result<Header, FormatError> {
    let count = signal_count(path, bytes)?;
    let mut texts = Texts { path, bytes, warnings };
    let reserved = texts.fixed(RESERVED);
    let family = if bytes.starts_with(Family::Bdf.magic()) { Family::Bdf } else { Family::Edf };
    let kind = match reserved.strip_prefix(family.name()).and_then(|r| r.get(..2)) {
        Some("+C") => Kind::PlusContinuous,
        Some("+D") => Kind::PlusDiscontinuous,
        _ => Kind::Plain,
    };
    let header_bytes = texts.fixed(HEADER_BYTES);
    if header_bytes.parse() != Ok(BLOCK * (count + 1)) {
        let text = format!(
            "Expected {} header bytes for {count} signals, found {}; {} were taken.",
            BLOCK * (count + 1),
            shown(&header_bytes),
            BLOCK * (count + 1)
        );
        texts.warnings.add("header-bytes", "byte 184", text);
    }
    let duration = texts.fixed(DURATION);
    let duration = texts.decimal(&duration, DURATION.at).filter(|d| (0.0..=1e9).contains(&d.to_f64()));
    let Some(duration) = duration else {
        let found = shown(&texts.fixed(DURATION));
        return Err(FormatError::malformed(path, "byte 244", "a data record duration in seconds", found));
    };
    let records = texts.fixed(RECORDS).parse().ok();
    let signals = (0..count).map(|i| texts.signal(i, count)).collect::<Result<Vec<_>, _>>()?;
    let shape = RecordShape::of(signals.iter().map(|s| s.per_record), family.sample_bytes());
    if shape.bytes > MAX_RECORD_BYTES {
        let found = format!("{} bytes", shape.bytes);
        return Err(FormatError::malformed(path, "signal headers", "data records of at most 1 GiB", found));
    }
    Ok(Header {
        family,
        kind,
        patient: texts.fixed(PATIENT),
        recording: texts.fixed(RECORDING),
        date: texts.fixed(DATE),
        time: texts.fixed(TIME),
        records,
        duration,
        signals,
        shape,
    })
}

/// Reads text fields; the slice holds the whole header.
struct Texts<'a> {
    path: &'a Path,
    bytes: &'a [u8],
    warnings: &'a mut Warnings,
}

impl Texts<'_> {
    fn fixed(&mut self, field: Field) -> String {
        self.text(field, field.at)
    }

    fn text(&mut self, field: Field, at: usize) -> String {
        let bytes = self.bytes.get(at..at + field.len).unwrap_or_default();
        let (text, _) = text_from_bytes(bytes);
        if !text.bytes().all(|b| (0x20..0x7f).contains(&b)) {
            let message = format!(
                "The {} holds characters other than printable ASCII; it was read as {}.",
                field.name,
                shown(&text)
            );
            self.warnings.add("text-encoding", format!("byte {at}"), message);
        }
        let clean: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
        clean.trim().to_owned()
    }

    fn decimal(&mut self, text: &str, at: usize) -> Option<Decimal> {
        let (number, comma) = Decimal::parse(text)?;
        if comma == Comma(true) {
            let message =
                format!("Expected a decimal point, found {}; the comma was read as a point.", shown(text));
            self.warnings.add("decimal-comma", format!("byte {at}"), message);
        }
        Some(number)
    }

    fn signal(&mut self, i: usize, count: usize) -> Result<Signal, FormatError> {
        let mut text = |field: Field| self.text(field, field.at_signal(i, count));
        let (label, unit, prefilter) = (text(LABEL), text(UNIT), text(PREFILTER));
        let reserved = text(SIGNAL_RESERVED);
        let (low, high) = (text(PHYSICAL_MIN), text(PHYSICAL_MAX));
        let (dmin, dmax) = (text(DIGITAL_MIN), text(DIGITAL_MAX));
        let per_record = text(PER_RECORD);
        let low = self.decimal(&low, PHYSICAL_MIN.at_signal(i, count));
        let high = self.decimal(&high, PHYSICAL_MAX.at_signal(i, count));
        let whole = |t: &str| t.parse::<i32>().ok().or_else(|| whole_number(t));
        let per_record = match per_record.parse::<u32>() {
            Ok(n) if n > 0 => n,
            _ => {
                let place = format!("byte {}", PER_RECORD.at_signal(i, count));
                let expected =
                    format!("1 or more samples per data record of signal {} ({})", i + 1, shown(&label));
                return Err(FormatError::malformed(self.path, place, expected, shown(&per_record)));
            }
        };
        let physical = low.zip(high);
        let digital = whole(&dmin).zip(whole(&dmax));
        Ok(Signal { label, unit, physical, digital, prefilter, reserved, per_record })
    }
}

/// A whole number that was written with a decimal part of zero, such as `2047.0`.
fn whole_number(text: &str) -> Option<i32> {
    let value = Decimal::parse(text)?.0.to_f64();
    (value.fract() == 0.0 && value.abs() < 1e9).then_some(value as i32)
}
