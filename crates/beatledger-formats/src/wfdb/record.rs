//! A WFDB record as a recording: header and signal files together.

use std::path::Path;

use beatledger_core::model::{Identity, OtherSignal, Rate, Recording, Span};
use sha2::{Digest, Sha256};

use super::files::{Decoded, check_signals, read_files};
use super::header::{Header, MAX_BYTES, SignalSpec, looks_like_header, parse};
use super::joined;
use super::track::Track;
use crate::choose::{Candidate, leads};
use crate::error::shown;
use crate::source::{hex, read_small};
use crate::warn::Warnings;
use crate::{FormatError, Reader};

/// Reads WFDB records from their header.
pub struct WfdbReader;

impl Reader for WfdbReader {
    fn name(&self) -> &'static str {
        "WFDB"
    }

    fn recognises(&self, head: &[u8]) -> bool {
        looks_like_header(head)
    }

    fn read(&self, path: &Path) -> Result<Recording, FormatError> {
        let bytes = read_small(path, MAX_BYTES, "a header")?;
        let header = parse(path, &bytes)?;
        let mut hash = Sha256::new();
        hash.update(&bytes);
        let mut warnings = Warnings::default();
        if header.segments.is_some() {
            return joined::read(path, header, hash, warnings);
        }
        check_signals(path, &header)?;
        let chosen = choose(&header.signals);
        if !chosen.iter().any(Result::is_ok) {
            return Err(no_lead(path, &header.signals, &chosen));
        }
        let files = read_files(path, &header, &mut hash, &mut warnings)?;
        Ok(assemble(path, header, chosen, files, hex(hash), warnings))
    }
}

/// For each signal `Ok` when it is a lead, or the reason why not.
pub(super) fn choose(signals: &[SignalSpec]) -> Vec<Result<(), String>> {
    let candidates: Vec<_> = signals
        .iter()
        .map(|s| Candidate {
            name: &s.description,
            unit: &s.unit,
            per_record: u64::from(s.samples_per_frame),
        })
        .collect();
    leads(&candidates)
}

/// Name of signal `i`, counted from 0.
pub(super) fn name_of(i: usize, spec: &SignalSpec) -> String {
    if spec.description.is_empty() { format!("ECG {}", i + 1) } else { spec.description.clone() }
}

/// Says why none of the signals is a lead.
pub(super) fn no_lead(path: &Path, signals: &[SignalSpec], chosen: &[Result<(), String>]) -> FormatError {
    let each = signals.iter().zip(chosen).enumerate().take(8);
    let names: Vec<_> = each
        .filter_map(|(i, (s, c))| Some(format!("{}: {}", shown(&name_of(i, s)), c.as_ref().err()?)))
        .collect();
    FormatError::unsupported(path, format!("none of its signals is an ECG lead ({})", names.join("; ")))
}

fn assemble(
    path: &Path,
    header: Header,
    chosen: Vec<Result<(), String>>,
    files: Vec<Decoded>,
    sha256: String,
    mut warnings: Warnings,
) -> Recording {
    let frames = common_frames(&files, &mut warnings);
    let whole = header.samples == i64::try_from(frames).ok();
    let data = files.into_iter().flat_map(|f| f.signals.into_iter().map(move |s| (s, f.coding)));
    let (mut leads, mut others, mut per_frame) = (Vec::new(), Vec::new(), 1);
    for (i, ((spec, chosen), (mut samples, coding))) in
        header.signals.iter().zip(chosen).zip(data).enumerate()
    {
        let name = name_of(i, spec);
        match chosen {
            Ok(()) => {
                per_frame = spec.samples_per_frame;
                let count = frames * u64::from(per_frame);
                samples.truncate(count as usize);
                let track = Track::of(&name, spec, samples, coding, whole, &mut warnings);
                leads.push(track.into_lead(name, count as i64));
            }
            Err(reason) => others.push(OtherSignal { name, reason }),
        }
    }
    let samples = (frames * u64::from(per_frame)) as i64;
    let mut all = header.warnings;
    all.extend(warnings.into_list());
    Recording {
        name: path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default(),
        format: format!("WFDB, {}", formats_in_words(header.signals.iter().map(|s| s.format))),
        sha256,
        identity: Identity { remarks: header.info.join("; "), ..Identity::default() },
        start: header.start,
        rate: rate_of_leads(header.rate, per_frame),
        samples,
        segments: vec![Span::new(0, samples)],
        leads,
        others,
        diary: Vec::new(),
        warnings: all,
    }
}

/// Frames that every file holds.
pub(super) fn common_frames(files: &[Decoded], warnings: &mut Warnings) -> u64 {
    let frames = files.iter().map(|f| f.frames).min().unwrap_or(0);
    if files.iter().any(|f| f.frames != frames) {
        let text = format!("The signal files have different lengths; all were cut to {frames} frames.");
        warnings.add("signal-lengths", "", text);
    }
    frames
}

/// `format 16`, or `formats 16 and 212`.
pub(super) fn formats_in_words(formats: impl Iterator<Item = u16>) -> String {
    let mut list: Vec<u16> = formats.collect();
    list.sort_unstable();
    list.dedup();
    let words: Vec<String> = list.iter().map(u16::to_string).collect();
    format!("format {}", words.join(" and "))
}

/// Frames per second times samples per frame; a product beyond 32 bits goes by way of hertz.
pub(super) fn rate_of_leads(frames: Rate, per_frame: u32) -> Rate {
    let (samples, seconds) = frames.parts();
    let exact = samples.checked_mul(per_frame).and_then(|n| Rate::new(n, seconds));
    exact.or_else(|| Rate::from_hz(frames.hz() * f64::from(per_frame))).unwrap_or(frames)
}

#[cfg(test)]
#[path = "record_tests.rs"]
mod tests;
