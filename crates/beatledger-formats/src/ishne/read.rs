//! Reads ISHNE files into a recording.

use std::path::Path;
use std::sync::Arc;

use beatledger_core::model::{Lead, Rate, Recording, Span, Unit};
use sha2::Sha256;

use super::checksum::crc16;
use super::header::{FIXED_BYTES, Header, parse};
use crate::source::{Source, hex};
use crate::warn::Warnings;
use crate::{FormatError, Reader};

/// About this many bytes are read at a time.
const CHUNK_BYTES: usize = 1 << 18;

/// Reads ISHNE files.
pub struct IshneReader;

impl Reader for IshneReader {
    fn name(&self) -> &'static str {
        "ISHNE"
    }

    fn recognises(&self, head: &[u8]) -> bool {
        head.starts_with(b"ISHNE1.0")
    }

    fn read(&self, path: &Path) -> Result<Recording, FormatError> {
        let mut source = Source::open(path)?;
        let mut hash = Sha256::default();
        let mut warnings = Warnings::default();
        let mut fixed = [0; FIXED_BYTES];
        let got = source.fill(&mut fixed, &mut hash)?;
        if got < FIXED_BYTES {
            let expected = format!("a header of {FIXED_BYTES} bytes");
            return Err(FormatError::malformed(path, format!("byte {got}"), expected, "the end of the file"));
        }
        let header = parse(path, &fixed, source.len, &mut warnings)?;
        // The place of the samples lies in the file and at most 16 MiB behind the header.
        let mut block = vec![0; (header.data_at - FIXED_BYTES as u64) as usize];
        let got = source.fill(&mut block, &mut hash)?;
        block.truncate(got);
        check_sum(&header, &fixed, &block, &mut warnings);
        let frames = frames(path, &header, source.len - header.data_at, &mut warnings)?;
        let leads = read_samples(&mut source, header.leads.len(), frames, &mut hash)?;
        source.drain(&mut hash)?;
        Ok(assemble(path, header, leads, hex(hash), warnings))
    }
}

/// The checksum covers the header behind it and the text block.
fn check_sum(header: &Header, fixed: &[u8; FIXED_BYTES], block: &[u8], warnings: &mut Warnings) {
    let text = block.get(..header.block_bytes).unwrap_or(block);
    let found = crc16(fixed[10..].iter().chain(text));
    if found != header.checksum {
        let text = format!(
            "The header gives the checksum {:#06x}, its bytes give {found:#06x}; the header may be damaged.",
            header.checksum
        );
        warnings.add("checksum", "byte 8", text);
    }
}

/// Samples of each lead. Files count them for each lead or for all together; their size tells which.
fn frames(path: &Path, header: &Header, bytes: u64, warnings: &mut Warnings) -> Result<u64, FormatError> {
    let width = 2 * header.leads.len() as u64;
    let held = bytes / width;
    if held == 0 {
        let expected = format!("at least one sample of {} leads", header.leads.len());
        let place = format!("byte {}", header.data_at);
        return Err(FormatError::malformed(path, place, expected, format!("{bytes} bytes")));
    }
    let said = u64::try_from(header.count).ok();
    let of_each = said.map(|n| n * width);
    let of_all = said.map(|n| n * 2);
    if of_each != Some(bytes) && (of_all != Some(bytes) || !bytes.is_multiple_of(width)) {
        let text = format!(
            "The header speaks of {} samples, the file holds {held} of each lead and {} bytes more; {held} were read.",
            header.count,
            bytes % width
        );
        warnings.add("sample-count", "byte 14", text);
        let seconds = |samples: u64| samples as f64 / f64::from(header.rate_hz.max(1));
        warnings.add_if_cut(seconds(held), seconds(said.unwrap_or(0)));
    }
    Ok(held)
}

fn read_samples(
    source: &mut Source,
    leads: usize,
    frames: u64,
    hash: &mut Sha256,
) -> Result<Vec<Vec<i16>>, FormatError> {
    let mut lists: Vec<Vec<i16>> = (0..leads).map(|_| Vec::with_capacity(frames as usize)).collect();
    let width = 2 * leads;
    let mut buf = vec![0; CHUNK_BYTES / width * width];
    loop {
        let got = source.fill(&mut buf, hash)?;
        let words = buf[..got / width * width].as_chunks::<2>().0;
        for (i, list) in lists.iter_mut().enumerate() {
            list.extend(words.iter().skip(i).step_by(leads).map(|w| i16::from_le_bytes(*w)));
        }
        if got < buf.len() {
            return Ok(lists);
        }
    }
}

fn assemble(
    path: &Path,
    header: Header,
    lists: Vec<Vec<i16>>,
    sha256: String,
    warnings: Warnings,
) -> Recording {
    let samples = lists.first().map_or(0, Vec::len) as i64;
    let leads = header.leads.into_iter().zip(lists).map(|(spec, list)| Lead {
        name: spec.name,
        unit: if spec.resolution_nv.is_some() { Unit::Millivolt } else { Unit::Uncalibrated },
        adc_per_mv: spec.resolution_nv.map_or(200.0, |nv| 1e6 / f64::from(nv)),
        adc_zero: 0.0,
        missing: None,
        rails: None,
        prefilter: String::new(),
        samples: Arc::new(list),
    });
    Recording {
        name: path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default(),
        format: "ISHNE".to_owned(),
        sha256,
        identity: header.identity,
        start: header.start,
        // The rate was found to be above 0.
        rate: Rate::whole_hz(header.rate_hz.unsigned_abs().into()),
        samples,
        segments: vec![Span::new(0, samples)],
        leads: leads.collect(),
        others: Vec::new(),
        diary: Vec::new(),
        warnings: warnings.into_list(),
    }
}

#[cfg(test)]
#[path = "read_tests.rs"]
mod tests;
