//! Writes a recording as an ISHNE file: 16-bit samples of all leads, frame by frame.

use std::io::Write;
use std::path::Path;

use beatledger_core::model::{Lead, Recording, Unit, Warning};

use super::header::LEAD_NAMES;
use super::write_header::{self, LeadFields};
use crate::FormatError;
use crate::error::shown;
use crate::put::{Trouble, whole_file};
use crate::warn::Warnings;

/// Frames that are put together at a time.
const FRAMES: usize = 1 << 15;
const MAX_LEADS: usize = 12;

/// Writes `recording` to `path`. Raw integers are kept when the lead's zero is 0 and its gain is not negative;
/// the format has neither, so else the zero is taken off each sample, and a warning says so. The warnings also
/// tell of a gain that is no whole number of nanovolts, and of what was left out (diary, fraction of a second).
///
/// # Errors
/// One sentence when the recording cannot be held (gaps, missing samples, beyond 16 bits, a rate that is no whole
/// number, more than 12 leads) or the file cannot be written.
pub fn write(recording: &Recording, path: impl AsRef<Path>) -> Result<Vec<Warning>, FormatError> {
    let path = path.as_ref();
    let mut warnings = Warnings::default();
    let leads = lead_fields(recording, &mut warnings).map_err(|w| FormatError::unsupported(path, w))?;
    let header = write_header::header(recording, &leads, b"ISHNE1.0", &mut warnings)
        .map_err(|w| FormatError::unsupported(path, w))?;
    if !recording.diary.is_empty() {
        let text = format!("{} diary entries were left out: ISHNE holds none.", recording.diary.len());
        warnings.add("diary-left-out", "", text);
    }
    whole_file(path, |out| {
        out.write_all(&header)?;
        write_samples(recording, &leads, out)
    })?;
    Ok(warnings.into_list())
}

/// What can be refused before a byte is written, and the fields of each lead.
pub(super) fn lead_fields(recording: &Recording, warnings: &mut Warnings) -> Result<Vec<LeadFields>, String> {
    let leads = &recording.leads;
    if leads.is_empty() || leads.len() > MAX_LEADS || recording.samples <= 0 {
        return Err(format!(
            "ISHNE holds 1 to {MAX_LEADS} leads with samples, the recording has {}",
            leads.len()
        ));
    }
    if recording.segments.len() > 1 {
        return Err("a recording with gaps cannot be written as ISHNE, which has no word for them".into());
    }
    if let Some(short) = leads.iter().find(|l| l.samples.len() as i64 != recording.samples) {
        let (name, len) = (shown(&short.name), short.samples.len());
        return Err(format!("lead {name} has {len} samples, the recording {}", recording.samples));
    }
    Ok(leads.iter().map(|lead| fields_of(lead, warnings)).collect())
}

fn fields_of(lead: &Lead, warnings: &mut Warnings) -> LeadFields {
    let place = || format!("lead {}", shown(&lead.name));
    let exact_nv = 1e6 / lead.adc_per_mv.abs();
    let nv = exact_nv.round().clamp(1.0, f64::from(i16::MAX));
    let calibrated = lead.unit == Unit::Millivolt;
    if calibrated && (nv / exact_nv - 1.0).abs() > 1e-9 {
        let text = format!("One unit of {} is {exact_nv:.3} nV; {nv} nV was written.", shown(&lead.name));
        warnings.add("gain-rounded", place(), text);
    }
    let (zero, negative) = (lead.adc_zero.round(), lead.adc_per_mv < 0.0);
    if zero != 0.0 || negative {
        let turned = if negative { " and turned the right way up" } else { "" };
        let text = format!(
            "ISHNE has no zero and no inversion: samples of {} had {zero} taken off{turned}.",
            shown(&lead.name)
        );
        warnings.add("zero-moved", place(), text);
    }
    let word = |name: &str| name.trim().trim_start_matches("ECG").trim().to_ascii_lowercase();
    let name = word(&lead.name);
    let code = (2i16..).zip(&LEAD_NAMES[2..]).find(|(_, known)| known.to_ascii_lowercase() == name);
    if code.is_none() {
        let text =
            format!("ISHNE has no code for the lead {}; it was written as unknown.", shown(&lead.name));
        warnings.add("lead-code", place(), text);
    }
    LeadFields {
        code: code.map_or(0, |(code, _)| code),
        // Both are whole numbers within 16 and 32 bits; a zero beyond that has no sample near it.
        resolution_nv: if calibrated { nv as i16 } else { 0 },
        zero: zero as i32,
        negative,
    }
}

fn write_samples(recording: &Recording, fields: &[LeadFields], out: &mut impl Write) -> Result<(), Trouble> {
    let (total, width) = (recording.samples as usize, recording.leads.len());
    let (mut raw, mut bytes) = (Vec::new(), Vec::new());
    for start in (0..total).step_by(FRAMES) {
        let frames = FRAMES.min(total - start);
        bytes.clear();
        bytes.resize(frames * width * 2, 0);
        for (i, (lead, fields)) in recording.leads.iter().zip(fields).enumerate() {
            raw.clear();
            raw.resize(frames, 0);
            lead.samples.read(start, &mut raw);
            let places = bytes.as_chunks_mut::<2>().0.iter_mut().skip(i).step_by(width);
            for (place, value) in places.zip(&raw) {
                *place = stored(lead, fields, *value).map_err(Trouble::Content)?.to_le_bytes();
            }
        }
        out.write_all(&bytes)?;
    }
    Ok(())
}

fn stored(lead: &Lead, fields: &LeadFields, value: i32) -> Result<i16, String> {
    if Some(value) == lead.missing {
        return Err(format!("lead {} has missing samples, ISHNE has no code for them", shown(&lead.name)));
    }
    let moved = i64::from(value) - i64::from(fields.zero);
    let moved = if fields.negative { -moved } else { moved };
    i16::try_from(moved).map_err(|_| {
        format!("lead {} has the sample {moved}, ISHNE holds -32768 to 32767", shown(&lead.name))
    })
}

#[cfg(test)]
#[path = "write_tests.rs"]
pub(super) mod tests;
