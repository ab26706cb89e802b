//! Writes a recording as EDF+C: 16-bit samples bit for bit, the diary as annotations.

use std::fs::File;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};

use beatledger_core::model::{Lead, Recording, Warning};

use super::number::gcd;
use super::scale::{RangeText, range_text};
use super::write_header::header;
use super::write_notes::Annotations;
use crate::FormatError;
use crate::error::shown;
use crate::warn::Warnings;

/// Records longer than this are refused: the rate has no short period.
const MAX_RECORD_BYTES: u64 = 1 << 26;
/// About this many bytes are put together before they go to the file.
const CHUNK_BYTES: usize = 1 << 20;

/// Writes `recording` to `path` as EDF+C. The file appears under its name only when it is complete.
/// The warnings tell what the format could not hold exactly (long names, gains beyond eight characters).
///
/// # Errors
/// One sentence when the recording cannot be held (gaps, samples beyond 16 bits, no leads) or the file cannot
/// be written.
pub fn write(recording: &Recording, path: impl AsRef<Path>) -> Result<Vec<Warning>, FormatError> {
    let path = path.as_ref();
    let mut warnings = Warnings::default();
    let layout = Layout::of(recording, path, &mut warnings)?;
    let part = part_path(path);
    let written = write_part(recording, &layout, path, &part, &mut warnings)
        .and_then(|()| std::fs::rename(&part, path).map_err(|e| FormatError::io(path, "writing", e)));
    if let Err(error) = written {
        // The unfinished file is of no use; the first error is the one to tell.
        let _ = std::fs::remove_file(&part);
        return Err(error);
    }
    Ok(warnings.into_list())
}

fn part_path(path: &Path) -> PathBuf {
    let name = path.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    path.with_file_name(format!(".{name}.part{}", std::process::id()))
}

/// How the recording falls into data records.
pub(super) struct Layout {
    pub(super) per_record: usize,
    pub(super) seconds: u32,
    pub(super) records: usize,
    pub(super) annotations: Annotations,
    pub(super) ranges: Vec<RangeText>,
}

impl Layout {
    fn of(recording: &Recording, path: &Path, warnings: &mut Warnings) -> Result<Self, FormatError> {
        let refuse = |what: String| Err(FormatError::unsupported(path, what));
        if recording.leads.is_empty() || recording.samples <= 0 {
            return refuse("a recording without leads or samples cannot be written as EDF+".into());
        }
        if recording.leads.len() > 4000 {
            return refuse(format!(
                "EDF+ holds at most 4000 leads here, the recording has {}",
                recording.leads.len()
            ));
        }
        if recording.segments.len() > 1 {
            return refuse("a recording with gaps cannot be written as continuous EDF+".into());
        }
        if let Some(short) = recording.leads.iter().find(|l| l.samples.len() as i64 != recording.samples) {
            let (name, len) = (shown(&short.name), short.samples.len());
            return refuse(format!("lead {name} has {len} samples, the recording {}", recording.samples));
        }
        let (samples, seconds) = recording.rate.parts();
        let divisor = gcd(u64::from(samples), u64::from(seconds));
        let (per_record, seconds) = (u64::from(samples) / divisor, u64::from(seconds) / divisor);
        if per_record * 2 * recording.leads.len() as u64 > MAX_RECORD_BYTES {
            return refuse(format!(
                "the rate {samples}/{seconds} Hz gives data records that are too long for EDF+"
            ));
        }
        let records = (recording.samples as u64).div_ceil(per_record);
        let records = match usize::try_from(records) {
            Ok(n) if records <= 99_999_999 => n,
            _ => return refuse(format!("EDF+ holds at most 99999999 data records, {records} are needed")),
        };
        let mut ranges = Vec::new();
        for lead in &recording.leads {
            ranges.push(range_of(lead, path, warnings)?);
        }
        let annotations = Annotations::of(recording, seconds as u32, records, warnings);
        Ok(Self { per_record: per_record as usize, seconds: seconds as u32, records, annotations, ranges })
    }

    fn record_bytes(&self) -> usize {
        self.per_record * 2 * self.ranges.len() + self.annotations.bytes
    }
}

fn range_of(lead: &Lead, path: &Path, warnings: &mut Warnings) -> Result<RangeText, FormatError> {
    let Some(range) = range_text(lead) else {
        let what = format!(
            "the gain {} per mV of lead {} does not fit into EDF+",
            lead.adc_per_mv,
            shown(&lead.name)
        );
        return Err(FormatError::unsupported(path, what));
    };
    if range.error > 1e-9 {
        let text = format!(
            "The gain of {} has more digits than EDF+ holds; it was rounded by {:.1e} of the range. Raw samples are exact.",
            shown(&lead.name),
            range.error
        );
        warnings.add("gain-rounded", format!("lead {}", shown(&lead.name)), text);
    }
    Ok(range)
}

fn write_part(
    recording: &Recording,
    layout: &Layout,
    path: &Path,
    part: &Path,
    warnings: &mut Warnings,
) -> Result<(), FormatError> {
    let failed = |e| FormatError::io(path, "writing", e);
    let mut out = BufWriter::with_capacity(1 << 16, File::create(part).map_err(failed)?);
    out.write_all(&header(recording, layout, warnings)).map_err(failed)?;
    let record_bytes = layout.record_bytes();
    let at_once = (CHUNK_BYTES / record_bytes).max(1);
    let mut buf = vec![0u8; at_once * record_bytes];
    let mut raw = Vec::new();
    let mut queue = layout.annotations.queue();
    let mut block = Vec::new();
    for first in (0..layout.records).step_by(at_once) {
        let count = at_once.min(layout.records - first);
        for (i, lead) in recording.leads.iter().enumerate() {
            read_filled(lead, first * layout.per_record, count * layout.per_record, &mut raw);
            for (record, samples) in raw.chunks(layout.per_record).enumerate() {
                let at = record * record_bytes + i * layout.per_record * 2;
                let to = &mut buf[at..at + layout.per_record * 2];
                put_samples(lead, samples, to).map_err(|what| FormatError::unsupported(path, what))?;
            }
        }
        for record in 0..count {
            layout.annotations.fill(first + record, &mut queue, &mut block);
            let end = (record + 1) * record_bytes;
            buf[end - block.len()..end].copy_from_slice(&block);
        }
        out.write_all(&buf[..count * record_bytes]).map_err(failed)?;
    }
    out.flush().map_err(failed)
}

/// Raw samples from `start` on; behind the end of the lead its last value is repeated.
fn read_filled(lead: &Lead, start: usize, count: usize, raw: &mut Vec<i32>) {
    let there = count.min(lead.samples.len().saturating_sub(start));
    raw.clear();
    raw.resize(there, 0);
    lead.samples.read(start, raw);
    let last = raw.last().copied().unwrap_or(0);
    raw.resize(count, last);
}

fn put_samples(lead: &Lead, samples: &[i32], to: &mut [u8]) -> Result<(), String> {
    for (bytes, sample) in to.as_chunks_mut::<2>().0.iter_mut().zip(samples) {
        *bytes = (*sample as i16).to_le_bytes();
    }
    match samples.iter().find(|s| i16::try_from(**s).is_err()) {
        None => Ok(()),
        Some(odd) => {
            Err(format!("lead {} has the sample {odd}, EDF+ holds -32768 to 32767", shown(&lead.name)))
        }
    }
}

#[cfg(test)]
#[path = "write_tests.rs"]
mod tests;
