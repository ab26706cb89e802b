//! Writes a recording as EDF+: 16-bit samples bit for bit, the diary, and if wanted beats and events, as annotations.
//! Without gaps it becomes EDF+C; with gaps EDF+D, in which each stretch of data has its own times.

use std::io::Write;
use std::path::Path;

use beatledger_core::model::{Lead, Recording, Span, Warning};

use super::write_header::header;
use super::write_layout::{Layout, LeadText};
use crate::FormatError;
use crate::error::shown;
use crate::marks::Marks;
use crate::put::{Trouble, whole_file};
use crate::warn::Warnings;

/// About this many bytes are put together before they go to the file.
const CHUNK_BYTES: usize = 1 << 20;

/// Writes `recording` to `path` as EDF+. The file appears under its name only when it is complete.
/// The warnings tell what the format could not hold exactly (long names, gains beyond eight characters).
///
/// # Errors
/// One sentence when the recording cannot be held (samples beyond 16 bits, no leads) or the file cannot be written.
pub fn write(recording: &Recording, path: impl AsRef<Path>) -> Result<Vec<Warning>, FormatError> {
    put(recording, None, path.as_ref())
}

/// Writes `recording` with its beats and events: one annotation each, `beat V` or `event pause`, with `reader` behind
/// it where a reader spoke, and the note of an event behind `; `. Events that a reader dropped are left out.
///
/// # Errors
/// As [`write()`].
pub fn write_with_marks(
    recording: &Recording,
    marks: &Marks,
    path: impl AsRef<Path>,
) -> Result<Vec<Warning>, FormatError> {
    put(recording, Some(marks), path.as_ref())
}

fn put(recording: &Recording, marks: Option<&Marks>, path: &Path) -> Result<Vec<Warning>, FormatError> {
    let mut warnings = Warnings::default();
    // EDF+ starts with data; a gap at either end is no part of it.
    let data = match recording.segments.as_slice() {
        [first, .., last] => Span::new(first.start, last.end),
        [only] => *only,
        [] => recording.whole(),
    };
    let moved = (data != recording.whole()).then(|| crate::cut(recording, data));
    if moved.is_some() {
        let text = "Time without data at the start or the end was left out; the start was moved.";
        warnings.add("start-moved", "", text);
    }
    let moved_marks = moved.as_ref().and(marks).map(|m| m.cut(data));
    let (recording, marks) = (moved.as_ref().unwrap_or(recording), moved_marks.as_ref().or(marks));
    let layout = Layout::of(recording, marks, path, &mut warnings)?;
    let head = header(recording, &layout, &mut warnings);
    whole_file(path, |out| {
        out.write_all(&head)?;
        write_records(recording, &layout, out)
    })?;
    Ok(warnings.into_list())
}

fn write_records(recording: &Recording, layout: &Layout, out: &mut impl Write) -> Result<(), Trouble> {
    let (times, per_record) = (&layout.times, layout.times.per_record);
    let record_bytes = layout.record_bytes();
    let at_once = (CHUNK_BYTES / record_bytes).max(1);
    let mut buf = vec![0u8; at_once * record_bytes];
    let (mut raw, mut block) = (Vec::new(), Vec::new());
    let mut queue = layout.annotations.queue();
    for first in (0..times.records).step_by(at_once) {
        let count = at_once.min(times.records - first);
        for record in 0..count {
            let samples = times.samples_of(first + record);
            let whole = &mut buf[record * record_bytes..(record + 1) * record_bytes];
            for (i, (lead, text)) in recording.leads.iter().zip(&layout.leads).enumerate() {
                raw.clear();
                raw.resize(samples.len() as usize, 0);
                lead.samples.read(samples.start as usize, &mut raw);
                let at = i * per_record * 2;
                put_samples(lead, text, &raw, &mut whole[at..at + per_record * 2])
                    .map_err(Trouble::Content)?;
            }
            layout.annotations.fill(first + record, times, &mut queue, &mut block);
            let at = record_bytes - block.len();
            whole[at..].copy_from_slice(&block);
        }
        out.write_all(&buf[..count * record_bytes])?;
    }
    Ok(())
}

/// The samples, and behind their end the missing value, or where there is none the last sample again.
fn put_samples(lead: &Lead, text: &LeadText, samples: &[i32], to: &mut [u8]) -> Result<(), String> {
    let places = to.as_chunks_mut::<2>().0;
    let mut last = 0i16;
    for (bytes, sample) in places.iter_mut().zip(samples) {
        last = match (i16::try_from(*sample), text.missing) {
            (_, Some(missing)) if Some(*sample) == lead.missing => missing,
            (Ok(value), Some(missing)) if value == missing => {
                let name = shown(&lead.name);
                return Err(format!(
                    "lead {name} has the sample {value}, which is needed to mark missing samples"
                ));
            }
            (Ok(value), _) => value,
            (Err(_), _) => {
                let name = shown(&lead.name);
                return Err(format!("lead {name} has the sample {sample}, EDF+ holds -32768 to 32767"));
            }
        };
        *bytes = last.to_le_bytes();
    }
    let fill = text.missing.unwrap_or(last);
    places.iter_mut().skip(samples.len()).for_each(|bytes| *bytes = fill.to_le_bytes());
    Ok(())
}

#[cfg(test)]
#[path = "write_tests.rs"]
mod tests;
