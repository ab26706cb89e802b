//! Reads EDF and BDF files, plain and with annotations, into a recording.

use std::path::Path;
use std::sync::Arc;

use beatledger_core::model::Recording;
use sha2::Sha256;

use super::assemble::Parts;
use super::data::Data;
use super::fields::BLOCK;
use super::header::{Family, Header, Kind, parse, signal_count};
use super::plan::Plan;
use crate::bytes::Bytes;
use crate::source::{Source, hex};
use crate::warn::Warnings;
use crate::{FormatError, Reader};

/// Reads EDF, EDF+C and EDF+D files.
pub struct EdfReader;

impl Reader for EdfReader {
    fn name(&self) -> &'static str {
        Family::Edf.name()
    }

    fn recognises(&self, head: &[u8]) -> bool {
        head.starts_with(Family::Edf.magic())
    }

    fn read(&self, path: &Path) -> Result<Recording, FormatError> {
        read(path)
    }

    fn glance(&self, path: &Path) -> Option<Recording> {
        glance(path).ok().flatten()
    }
}

/// Reads BDF, BDF+C and BDF+D files.
pub struct BdfReader;

impl Reader for BdfReader {
    fn name(&self) -> &'static str {
        Family::Bdf.name()
    }

    fn recognises(&self, head: &[u8]) -> bool {
        head.starts_with(Family::Bdf.magic())
    }

    fn read(&self, path: &Path) -> Result<Recording, FormatError> {
        read(path)
    }

    fn glance(&self, path: &Path) -> Option<Recording> {
        glance(path).ok().flatten()
    }
}

/// The header says which family the file is of.
fn read(path: &Path) -> Result<Recording, FormatError> {
    let mut source = Source::open(path)?;
    let mut hash = Sha256::default();
    let mut warnings = Warnings::default();
    let header = read_header(path, &mut source, &mut hash, &mut warnings)?;
    let records = count_records(path, &source, &header, &mut warnings)?;
    let plan = Plan::of(path, &header, &mut warnings)?;
    let mut data = Data::read(&mut source, &header, &plan, records, &mut hash, &mut warnings)?;
    source.drain(&mut hash)?;
    let (bytes, data_at) = match data.kept.take() {
        Some(kept) => (Bytes::Memory(kept), 0),
        None => (Bytes::File(source.into_file()), data_at(&header)),
    };
    let records = data.onsets.len();
    let parts =
        Parts { path, header: &header, plan, data, bytes: Arc::new(bytes), data_at, records, warnings };
    parts.into_recording(hex(hash))
}

/// Header, first record and the promise of a continuous file; one with gaps has to be read through.
fn glance(path: &Path) -> Result<Option<Recording>, FormatError> {
    let mut source = Source::open(path)?;
    let mut hash = Sha256::default();
    let mut warnings = Warnings::default();
    let header = read_header(path, &mut source, &mut hash, &mut warnings)?;
    if header.kind == Kind::PlusDiscontinuous {
        return Ok(None);
    }
    let records = count_records(path, &source, &header, &mut warnings)?;
    let plan = Plan::of(path, &header, &mut warnings)?;
    let data = Data::read(&mut source, &header, &plan, 1, &mut hash, &mut warnings)?;
    let bytes = Arc::new(Bytes::File(source.into_file()));
    let (data_at, records) = (data_at(&header), records as usize);
    let parts = Parts { path, header: &header, plan, data, bytes, data_at, records, warnings };
    parts.into_recording(String::new()).map(Some)
}

/// Byte of the first data record.
fn data_at(header: &Header) -> u64 {
    (BLOCK * (header.signals.len() + 1)) as u64
}

pub(super) fn read_header(
    path: &Path,
    source: &mut Source,
    hash: &mut Sha256,
    warnings: &mut Warnings,
) -> Result<Header, FormatError> {
    let short = |need: usize, got: usize| {
        FormatError::malformed(
            path,
            format!("byte {got}"),
            format!("a header of {need} bytes"),
            "the end of the file",
        )
    };
    let mut bytes = vec![0; BLOCK];
    let got = source.fill(&mut bytes, hash)?;
    if got < BLOCK {
        return Err(short(BLOCK, got));
    }
    let need = BLOCK * (signal_count(path, &bytes)? + 1);
    bytes.resize(need, 0);
    let got = BLOCK + source.fill(&mut bytes[BLOCK..], hash)?;
    if got < need {
        return Err(short(need, got));
    }
    parse(path, &bytes, warnings)
}

/// Whole records that the file holds; what the header claims is only compared.
fn count_records(
    path: &Path,
    source: &Source,
    header: &Header,
    warnings: &mut Warnings,
) -> Result<u64, FormatError> {
    let at = data_at(header);
    let data = source.len.saturating_sub(at);
    let (records, rest) = (data / header.shape.bytes, data % header.shape.bytes);
    if records == 0 {
        let expected = format!("at least one data record of {} bytes", header.shape.bytes);
        return Err(FormatError::malformed(path, format!("byte {at}"), expected, format!("{data} bytes")));
    }
    if header.records != i64::try_from(records).ok() {
        let said = header.records.map_or_else(|| "no number".to_owned(), |n| n.to_string());
        let text = format!(
            "The header speaks of {said} data records, the file holds {records}; {records} were read."
        );
        warnings.add("record-count", "byte 236", text);
        let said = header.records.unwrap_or(0).max(0) as f64;
        warnings.add_if_cut(header.duration.to_f64() * records as f64, header.duration.to_f64() * said);
    }
    if rest > 0 {
        let lost_s = header.duration.to_f64() * rest as f64 / header.shape.bytes as f64;
        let text =
            format!("The last {rest} bytes are no whole data record; up to {lost_s:.3} s were left out.");
        warnings.add("record-cut", format!("byte {}", source.len - rest), text);
    }
    Ok(records)
}

#[cfg(test)]
#[path = "read_tests.rs"]
mod tests;
