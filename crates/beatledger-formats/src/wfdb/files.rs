//! The signal files of a WFDB record: frames of samples, dealt out to their signals.

use std::path::Path;

use sha2::Sha256;

use super::coding::{Coding, READ_IN_WORDS};
use super::header::{Header, SignalSpec};
use crate::FormatError;
use crate::error::{file_name, shown};
use crate::samples::Store;
use crate::source::Source;
use crate::warn::Warnings;

/// Bytes read at a time; a multiple of every pack size.
const CHUNK_BYTES: usize = 3 << 16;

/// Refuses signals that no reader here can open, before any file is touched.
pub(super) fn check_signals(path: &Path, header: &Header) -> Result<(), FormatError> {
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
pub(super) struct Decoded {
    /// One list a signal, `samples_per_frame` values a frame.
    pub(super) signals: Vec<Store>,
    pub(super) frames: u64,
    pub(super) coding: &'static Coding,
}

/// Reads all signal files of a record.
pub(super) fn read_files(
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
    // A last pack is often filled up with samples that mean nothing.
    let padding = (coding.pack_samples as u64 - 1) / per_frame;
    note_length(&file, header, held, padding, warnings);
    let room = |s: &SignalSpec| (frames * u64::from(s.samples_per_frame)) as usize;
    let mut signals: Vec<Store> = group.iter().map(|s| Store::with_capacity(coding.wide, room(s))).collect();
    skip(&mut source, first.offset_bytes, hash)?;
    let frames = demultiplex(&mut source, coding, group, frames, &mut signals, hash)?;
    source.drain(hash)?;
    Ok(Decoded { signals, frames, coding })
}

fn note_length(file: &Path, header: &Header, held: u64, padding: u64, warnings: &mut Warnings) {
    let Some(said) = header.samples.map(|n| n as u64) else { return };
    if held < said {
        let lost_s = header.rate.seconds_from_samples((said - held) as i64);
        let text = format!(
            "The header speaks of {said} samples, {} holds {held}; the last {lost_s:.3} s are not there.",
            file_name(file)
        );
        warnings.add("signal-short", file_name(file), text);
        let seconds = |samples: u64| header.rate.seconds_from_samples(samples as i64);
        warnings.add_if_cut(seconds(held), seconds(said));
    } else if held - said > padding {
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
    signals: &mut [Store],
    hash: &mut Sha256,
) -> Result<u64, FormatError> {
    let frame_len: usize = group.iter().map(|s| s.samples_per_frame as usize).sum();
    let size = CHUNK_BYTES.min((source.len as usize).next_multiple_of(coding.pack_bytes));
    let mut buf = vec![0; size];
    // Samples that wait for the rest of their frame stand before those of the next chunk.
    let mut samples = Vec::with_capacity(size + frame_len.min(size));
    let mut done = 0;
    while done < frames {
        let got = source.fill(&mut buf, hash)?;
        if got == 0 {
            break;
        }
        (coding.decode)(&buf[..got], &mut samples);
        let whole = (samples.len() / frame_len).min(usize::try_from(frames - done).unwrap_or(usize::MAX));
        deal(&samples[..whole * frame_len], frame_len, group, signals);
        samples.drain(..whole * frame_len);
        done += whole as u64;
    }
    if coding.steps {
        group.iter().zip(signals).for_each(|(spec, signal)| add_up(signal, spec.first_value));
    }
    Ok(done)
}

/// Gives each signal its part of every frame.
fn deal(samples: &[i32], frame_len: usize, group: &[SignalSpec], signals: &mut [Store]) {
    let mut at = 0;
    for (spec, signal) in group.iter().zip(signals) {
        let count = spec.samples_per_frame as usize;
        match count {
            1 => signal.extend(samples.iter().skip(at).step_by(frame_len).copied()),
            _ => samples
                .chunks_exact(frame_len)
                .for_each(|frame| signal.extend(frame[at..at + count].iter().copied())),
        }
        at += count;
    }
}

/// Turns steps into values; the list becomes narrow where the values allow it.
fn add_up(signal: &mut Store, first_value: i32) {
    let mut value = first_value;
    let mut values = Vec::with_capacity(signal.len());
    signal.each(0, |step| {
        value = value.saturating_add(step);
        values.push(value);
    });
    let narrow: Result<Vec<i16>, _> = values.iter().map(|v| i16::try_from(*v)).collect();
    *signal = narrow.map_or(Store::Wide(values), Store::Narrow);
}
