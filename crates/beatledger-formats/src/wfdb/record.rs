//! A WFDB record as a recording: header and signal files together.

use std::path::Path;
use std::sync::Arc;

use beatledger_core::model::{Identity, Lead, OtherSignal, Rate, Recording, Span, Unit};
use sha2::{Digest, Sha256};

use super::coding::{Coding, READ_IN_WORDS};
use super::header::{Header, SignalSpec, looks_like_header, parse};
use crate::choose::{Candidate, leads, mv_per_unit};
use crate::error::{file_name, shown};
use crate::source::{Source, hex, read_small};
use crate::warn::Warnings;
use crate::{FormatError, Reader};

/// Bytes read at a time; a multiple of every pack size.
const CHUNK_BYTES: usize = 3 << 16;
const HEADER_MAX_BYTES: u64 = 1 << 20;

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
        let bytes = read_small(path, HEADER_MAX_BYTES, "a header")?;
        let header = parse(path, &bytes)?;
        refuse_unread_kinds(path, &header)?;
        let mut hash = Sha256::new();
        hash.update(&bytes);
        let mut warnings = Warnings::default();
        let files = read_files(path, &header, &mut hash, &mut warnings)?;
        let recording = assemble(path, header, files, hex(hash), warnings);
        if recording.leads.is_empty() {
            let names: Vec<_> =
                recording.others.iter().map(|o| format!("{}: {}", o.name, o.reason)).collect();
            let what = format!("none of its signals is an ECG lead ({})", names.join("; "));
            return Err(FormatError::unsupported(path, what));
        }
        Ok(recording)
    }
}

fn refuse_unread_kinds(path: &Path, header: &Header) -> Result<(), FormatError> {
    if let Some(n) = header.segments {
        let what =
            format!("this record is joined from {n} segments, which is not read yet; open one segment");
        return Err(FormatError::unsupported(path, what));
    }
    if header.signals.is_empty() {
        return Err(FormatError::malformed(path, "line 1", "at least one signal", "0"));
    }
    for (i, signal) in header.signals.iter().enumerate() {
        let plain = !signal.file.is_empty()
            && !signal.file.starts_with(['.', '~'])
            && signal.file != "-"
            && !signal.file.contains(['/', '\\', ':'])
            && !signal.file.chars().any(char::is_control);
        if !plain {
            let place = format!("signal {}", i + 1);
            let expected = "a plain file name in the folder of the header";
            return Err(FormatError::malformed(path, place, expected, shown(&signal.file)));
        }
        if Coding::of(signal.format).is_none() {
            let what = format!(
                "signal {} is stored in WFDB format {}, which is not read; {READ_IN_WORDS}",
                i + 1,
                signal.format
            );
            return Err(FormatError::unsupported(path, what));
        }
    }
    Ok(())
}

/// Signals of one file, in header order, with what was read.
struct Decoded {
    /// One list a signal, `samples_per_frame` values a frame.
    signals: Vec<Vec<i16>>,
    frames: u64,
    coding: &'static Coding,
}

fn read_files(
    path: &Path,
    header: &Header,
    hash: &mut Sha256,
    warnings: &mut Warnings,
) -> Result<Vec<Decoded>, FormatError> {
    let groups: Vec<&[SignalSpec]> = header.signals.chunk_by(|a, b| a.file == b.file).collect();
    let mut names: Vec<&str> = groups.iter().map(|g| g[0].file.as_str()).collect();
    names.sort_unstable();
    if let Some(pair) = names.windows(2).find(|p| p[0] == p[1]) {
        let found = format!("{} on lines apart", shown(pair[0]));
        return Err(FormatError::malformed(path, "signal lines", "all signals of a file in a row", found));
    }
    groups.into_iter().map(|group| read_file(path, header, group, hash, warnings)).collect()
}

fn read_file(
    path: &Path,
    header: &Header,
    group: &[SignalSpec],
    hash: &mut Sha256,
    warnings: &mut Warnings,
) -> Result<Decoded, FormatError> {
    let first = &group[0];
    if let Some(odd) = group.iter().find(|s| s.format != first.format) {
        let (expected, found) = (
            format!("one format for {}", shown(&first.file)),
            format!("{} and {}", first.format, odd.format),
        );
        return Err(FormatError::malformed(path, "signal lines", expected, found));
    }
    // The formats were checked before any file is opened.
    let Some(coding) = Coding::of(first.format) else {
        return Err(FormatError::unsupported(path, format!("format {} is not read", first.format)));
    };
    let file = path.with_file_name(&first.file);
    if !file.exists() {
        let what = format!("its signal file {} is not in the same folder", shown(&first.file));
        return Err(FormatError::unsupported(path, what));
    }
    let mut source = Source::open(&file)?;
    let per_frame: u64 = group.iter().map(|s| u64::from(s.samples_per_frame)).sum();
    let held = coding.samples_in(source.len.saturating_sub(first.offset_bytes)) / per_frame;
    let frames = header.samples.map_or(held, |n| held.min(n as u64));
    if frames == 0 {
        let expected =
            format!("at least one frame of {per_frame} samples after {} bytes", first.offset_bytes);
        return Err(FormatError::malformed(&file, "whole file", expected, format!("{} bytes", source.len)));
    }
    note_length(&file, header, held, warnings);
    let mut signals: Vec<Vec<i16>> = group
        .iter()
        .map(|s| Vec::with_capacity((frames * u64::from(s.samples_per_frame)) as usize))
        .collect();
    skip(&mut source, first.offset_bytes, hash)?;
    let frames = demultiplex(&mut source, coding, group, frames, &mut signals, hash)?;
    source.drain(hash)?;
    Ok(Decoded { signals, frames, coding })
}

fn note_length(file: &Path, header: &Header, held: u64, warnings: &mut Warnings) {
    let Some(said) = header.samples.map(|n| n as u64) else { return };
    if held < said {
        let lost_s = header.rate.seconds_from_samples((said - held) as i64);
        let text = format!(
            "The header speaks of {said} samples, {} holds {held}; the last {lost_s:.3} s are not there.",
            file_name(file)
        );
        warnings.add("signal-short", file_name(file), text);
    } else if held > said {
        let text = format!(
            "The header speaks of {said} samples, {} holds {held}; the rest was ignored.",
            file_name(file)
        );
        warnings.add("signal-long", file_name(file), text);
    }
}

/// Reads over the bytes before the first sample; the caller has checked that the file is longer.
fn skip(source: &mut Source, bytes: u64, hash: &mut Sha256) -> Result<(), FormatError> {
    let mut left = bytes;
    let mut buf = vec![0; CHUNK_BYTES.min(usize::try_from(bytes).unwrap_or(CHUNK_BYTES))];
    while left > 0 {
        let want = buf.len().min(usize::try_from(left).unwrap_or(buf.len()));
        let got = source.fill(&mut buf[..want], hash)?;
        if got == 0 {
            break;
        }
        left -= got as u64;
    }
    Ok(())
}

/// Deals the samples of the file out to its signals and returns the number of whole frames.
fn demultiplex(
    source: &mut Source,
    coding: &Coding,
    group: &[SignalSpec],
    frames: u64,
    signals: &mut [Vec<i16>],
    hash: &mut Sha256,
) -> Result<u64, FormatError> {
    let slots: Vec<usize> =
        (0..).zip(group).flat_map(|(i, s)| std::iter::repeat_n(i, s.samples_per_frame as usize)).collect();
    let (mut slot, mut done) = (0, 0);
    let size = CHUNK_BYTES.min((source.len as usize).next_multiple_of(coding.pack_bytes));
    let mut buf = vec![0; size];
    let mut samples = Vec::with_capacity(size);
    while done < frames {
        let got = source.fill(&mut buf, hash)?;
        if got == 0 {
            break;
        }
        samples.clear();
        (coding.decode)(&buf[..got], &mut samples);
        for sample in &samples {
            signals[slots[slot]].push(*sample);
            slot += 1;
            if slot == slots.len() {
                slot = 0;
                done += 1;
                if done == frames {
                    break;
                }
            }
        }
    }
    for (signal, spec) in signals.iter_mut().zip(group) {
        signal.truncate((done * u64::from(spec.samples_per_frame)) as usize);
    }
    Ok(done)
}

fn assemble(
    path: &Path,
    header: Header,
    files: Vec<Decoded>,
    sha256: String,
    mut warnings: Warnings,
) -> Recording {
    let frames = files.iter().map(|f| f.frames).min().unwrap_or(0);
    if files.iter().any(|f| f.frames != frames) {
        let text = format!("The signal files have different lengths; all were cut to {frames} frames.");
        warnings.add("signal-lengths", "", text);
    }
    let whole = header.samples == i64::try_from(frames).ok();
    let candidates: Vec<_> = header
        .signals
        .iter()
        .map(|s| Candidate {
            name: &s.description,
            unit: &s.unit,
            per_record: u64::from(s.samples_per_frame),
        })
        .collect();
    let chosen = leads(&candidates);
    let data = files.into_iter().flat_map(|f| f.signals.into_iter().map(move |s| (s, f.coding)));
    let (mut leads, mut others, mut per_frame) = (Vec::new(), Vec::new(), 1);
    for (i, ((spec, chosen), (mut samples, coding))) in
        header.signals.iter().zip(chosen).zip(data).enumerate()
    {
        let name =
            if spec.description.is_empty() { format!("ECG {}", i + 1) } else { spec.description.clone() };
        match chosen {
            Ok(()) => {
                samples.truncate((frames * u64::from(spec.samples_per_frame)) as usize);
                if whole {
                    check_sum(spec, &name, &samples, &mut warnings);
                }
                per_frame = spec.samples_per_frame;
                leads.push(lead(name, spec, samples, coding, &mut warnings));
            }
            Err(reason) => others.push(OtherSignal { name, reason }),
        }
    }
    let samples = (frames * u64::from(per_frame)) as i64;
    let mut formats: Vec<u16> = header.signals.iter().map(|s| s.format).collect();
    formats.dedup();
    let formats: Vec<String> = formats.iter().map(u16::to_string).collect();
    let mut all = header.warnings;
    all.extend(warnings.into_list());
    Recording {
        name: path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default(),
        format: format!("WFDB, format {}", formats.join(" and ")),
        sha256,
        identity: Identity { recorder: header.info.join("; "), ..Identity::default() },
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

/// Frames per second times samples per frame; a product beyond 32 bits goes by way of hertz.
fn rate_of_leads(frames: Rate, per_frame: u32) -> Rate {
    let (samples, seconds) = frames.parts();
    let exact = samples.checked_mul(per_frame).and_then(|n| Rate::new(n, seconds));
    exact.or_else(|| Rate::from_hz(frames.hz() * f64::from(per_frame))).unwrap_or(frames)
}

fn check_sum(spec: &SignalSpec, name: &str, samples: &[i16], warnings: &mut Warnings) {
    // Writers that do not compute the sum leave 0, so 0 says nothing.
    let Some(said) = spec.checksum.filter(|sum| *sum != 0) else { return };
    let found = samples.iter().fold(0i16, |sum, s| sum.wrapping_add(*s));
    if said as i16 != found {
        let text = format!(
            "The header gives the checksum {said} for {}, its samples give {found}; the signal may be damaged.",
            shown(name)
        );
        warnings.add("checksum", format!("signal {}", shown(name)), text);
    }
}

fn lead(
    name: String,
    spec: &SignalSpec,
    mut samples: Vec<i16>,
    coding: &Coding,
    warnings: &mut Warnings,
) -> Lead {
    let skew = (spec.skew_samples as usize).min(samples.len());
    if skew > 0 {
        let len = samples.len();
        samples.drain(..skew);
        samples.resize(len, coding.missing);
    }
    let per_mv = match spec.gain {
        Some(gain) => gain / mv_per_unit(&spec.unit).unwrap_or(1.0),
        None => 200.0,
    };
    if spec.gain.is_none() {
        let text = format!(
            "{} has no gain; 200 units per mV are assumed, amplitudes are not calibrated.",
            shown(&name)
        );
        warnings.add("uncalibrated", format!("signal {}", shown(&name)), text);
    }
    Lead {
        rails: rails(&name, spec, &samples, coding, warnings),
        name,
        unit: if spec.gain.is_some() { Unit::Millivolt } else { Unit::Uncalibrated },
        adc_per_mv: per_mv,
        adc_zero: spec.baseline,
        missing: Some(i32::from(coding.missing)),
        prefilter: String::new(),
        samples: Arc::new(samples),
    }
}

/// The range of the ADC where the header states its bits, unless the samples prove it wrong.
fn rails(
    name: &str,
    spec: &SignalSpec,
    samples: &[i16],
    coding: &Coding,
    warnings: &mut Warnings,
) -> Option<(i32, i32)> {
    let half = 1i32.checked_shl(spec.adc_bits?.checked_sub(1)?).filter(|h| *h > 0)?;
    let low = spec.adc_zero.checked_sub(half)?;
    let high = spec.adc_zero.checked_add(half - 1)?;
    let outside = samples.iter().map(|s| i32::from(*s));
    let outside = outside.filter(|s| *s != i32::from(coding.missing) && !(low..=high).contains(s)).count();
    if outside > 0 {
        let text = format!(
            "{outside} samples of {} lie outside the range {low} to {high} that the header gives; the range was ignored.",
            shown(name)
        );
        warnings.add("range", format!("signal {}", shown(name)), text);
        return None;
    }
    Some((low, high))
}

#[cfg(test)]
#[path = "record_tests.rs"]
mod tests;
