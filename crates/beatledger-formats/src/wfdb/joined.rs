//! A WFDB record that is joined from segments, with gaps between them, as one recording.

use std::collections::BTreeMap;
use std::path::Path;

use beatledger_core::model::{Identity, Lead, OtherSignal, Recording, Span};
use sha2::{Digest, Sha256};

use super::files::{check_signals, read_files};
use super::header::{Header, MAX_BYTES, SignalSpec, parse};
use super::joined_lead::{Segment, join};
use super::record::{choose, common_frames, formats_in_words, name_of, no_lead, rate_of_leads};
use super::track::Track;
use crate::FormatError;
use crate::error::shown;
use crate::samples::MAX_DAYS;
use crate::source::{hex, read_small};
use crate::warn::Warnings;

/// A lead of the whole record, and how to find it in a segment.
struct Wanted {
    name: String,
    index: usize,
    spec: SignalSpec,
}

/// Reads the segments of `master` into one recording.
pub(super) fn read(
    path: &Path,
    master: Header,
    mut hash: Sha256,
    mut warnings: Warnings,
) -> Result<Recording, FormatError> {
    let spans = place_segments(path, &master, &mut warnings)?;
    let headers = read_headers(path, &master, &mut hash);
    let layout = layout(path, &master, &headers)?;
    let signals = &layout.signals;
    let chosen = choose(signals);
    let wanted: Vec<Wanted> = signals
        .iter()
        .enumerate()
        .filter(|(i, _)| chosen[*i].is_ok())
        .map(|(index, spec)| Wanted { name: name_of(index, spec), index, spec: spec.clone() })
        .collect();
    let Some(per_frame) = wanted.first().map(|w| w.spec.samples_per_frame) else {
        return Err(no_lead(path, signals, &chosen));
    };
    let segments = read_segments(path, &headers, &wanted, &mut hash, &mut warnings)?;
    let stretches = master.parts.iter().zip(&spans).filter_map(|(part, span)| {
        let segment = segments.get(part.name.as_str())?;
        Some((segment, Span::new(span.start, span.start + segment.frames.min(span.len()))))
    });
    let stretches: Vec<(&Segment, Span)> = stretches.filter(|(_, span)| !span.is_empty()).collect();
    let scale = i64::from(per_frame);
    let samples = spans.last().map_or(0, |s| s.end) * scale;
    let leads: Vec<Lead> = (0..wanted.len())
        .filter_map(|k| join(&wanted[k].name, k, &stretches, scale, samples, &mut warnings))
        .collect();
    if leads.is_empty() {
        return Err(FormatError::unsupported(path, "none of its segments holds samples of an ECG lead"));
    }
    let others = signals.iter().zip(&chosen).enumerate();
    let others = others
        .filter_map(|(i, (s, c))| Some(OtherSignal { name: name_of(i, s), reason: c.clone().err()? }))
        .collect();
    let formats = headers.values().flatten().flat_map(|h| &h.signals).map(|s| s.format).filter(|f| *f > 0);
    let start = master.start.or_else(|| headers.get(master.parts[0].name.as_str())?.as_ref().ok()?.start);
    let format = format!("WFDB, {} segments, {}", master.parts.len(), formats_in_words(formats));
    let mut all = master.warnings.clone();
    all.extend(warnings.into_list());
    Ok(Recording {
        name: path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default(),
        format,
        sha256: hex(hash),
        identity: Identity { remarks: master.info.join("; "), ..Identity::default() },
        start,
        rate: rate_of_leads(master.rate, per_frame),
        samples,
        segments: Span::merged(
            stretches.iter().map(|(_, s)| Span::new(s.start * scale, s.end * scale)).collect(),
            0,
        ),
        leads,
        others,
        diary: Vec::new(),
        warnings: all,
    })
}

/// Where each segment lies, in frames.
fn place_segments(path: &Path, master: &Header, warnings: &mut Warnings) -> Result<Vec<Span>, FormatError> {
    let most = (MAX_DAYS * 86_400.0 * master.rate.hz()) as i64;
    let mut at = 0i64;
    let mut spans = Vec::with_capacity(master.parts.len());
    for (i, part) in master.parts.iter().enumerate() {
        let place = || format!("segment {}", i + 1);
        if part.name == master.name {
            return Err(FormatError::malformed(path, place(), "another record", "the record itself"));
        }
        let end = at.checked_add(part.samples).filter(|end| *end <= most);
        let Some(end) = end else {
            let expected = format!("a record of at most {MAX_DAYS} days");
            return Err(FormatError::malformed(path, place(), expected, format!("{} samples", part.samples)));
        };
        spans.push(Span::new(at, end));
        at = end;
    }
    if at == 0 {
        return Err(FormatError::malformed(path, "segment lines", "at least one sample", "0"));
    }
    if let Some(said) = master.samples.filter(|n| *n != at) {
        let text =
            format!("The header speaks of {said} samples, its segments add up to {at}; {at} were taken.");
        warnings.add("segment-lengths", "line 1", text);
    }
    Ok(spans)
}

type Headers<'a> = BTreeMap<&'a str, Result<Header, FormatError>>;

/// The header of each segment, read once however often it is named.
fn read_headers<'a>(path: &Path, master: &'a Header, hash: &mut Sha256) -> Headers<'a> {
    let mut headers = Headers::new();
    for part in master.parts.iter().filter(|p| p.name != "~") {
        if !headers.contains_key(part.name.as_str()) {
            headers.insert(&part.name, read_header_of(path, part.samples == 0, &part.name, master, hash));
        }
    }
    headers
}

fn read_header_of(
    path: &Path,
    is_layout: bool,
    name: &str,
    master: &Header,
    hash: &mut Sha256,
) -> Result<Header, FormatError> {
    let file = path.with_file_name(format!("{name}.hea"));
    let bytes = read_small(&file, MAX_BYTES, "a header")?;
    hash.update(&bytes);
    let header = parse(&file, &bytes)?;
    if header.segments.is_some() {
        let expected = "a segment that is no joined record itself";
        return Err(FormatError::malformed(&file, "line 1", expected, "segments"));
    }
    if header.rate.hz() != master.rate.hz() {
        let expected = format!("the {} Hz of the whole record", master.rate.hz());
        return Err(FormatError::malformed(&file, "line 1", expected, format!("{} Hz", header.rate.hz())));
    }
    if !is_layout {
        check_signals(&file, &header)?;
    }
    Ok(header)
}

/// The header that lists the signals of the whole record: the layout header, else the first sound segment.
fn layout<'a>(path: &Path, master: &Header, headers: &'a Headers<'_>) -> Result<&'a Header, FormatError> {
    let mut first_error = None;
    let is_layout = master.parts.first().filter(|p| p.samples == 0);
    if let Some(Err(error)) = is_layout.and_then(|p| headers.get(p.name.as_str())) {
        return Err(FormatError::unsupported(path, format!("its layout header cannot be read ({error})")));
    }
    for part in &master.parts {
        match headers.get(part.name.as_str()) {
            Some(Ok(header)) => return Ok(header),
            Some(Err(error)) => first_error = first_error.or(Some(error.to_string())),
            None => {}
        }
    }
    let what = first_error.unwrap_or_else(|| "all of its segments are gaps".to_owned());
    Err(FormatError::unsupported(path, format!("none of its segments can be read ({what})")))
}

/// Reads each segment once. One that cannot be read is a gap and is told; only when none can, that is an error.
fn read_segments<'a>(
    path: &Path,
    headers: &Headers<'a>,
    wanted: &[Wanted],
    hash: &mut Sha256,
    warnings: &mut Warnings,
) -> Result<BTreeMap<&'a str, Segment>, FormatError> {
    let mut segments = BTreeMap::new();
    let mut first_error = None;
    for (name, header) in headers {
        let read = match header {
            Ok(header) if header.signals.iter().all(|s| s.format == 0) => continue,
            Ok(header) => read_segment(path, name, header, wanted, hash, warnings),
            Err(error) => Err(FormatError::unsupported(path, error.to_string())),
        };
        match read {
            Ok(segment) => drop(segments.insert(*name, segment)),
            Err(error) => {
                let text = format!("Segment {} cannot be read and is a gap: {error}.", shown(name));
                warnings.add("segment-unreadable", shown(name), text);
                first_error = first_error.or(Some(error));
            }
        }
    }
    match first_error {
        Some(error) if segments.is_empty() => Err(error),
        _ => Ok(segments),
    }
}

fn read_segment(
    path: &Path,
    name: &str,
    header: &Header,
    wanted: &[Wanted],
    hash: &mut Sha256,
    warnings: &mut Warnings,
) -> Result<Segment, FormatError> {
    let file = path.with_file_name(format!("{name}.hea"));
    let files = read_files(&file, header, hash, warnings)?;
    let frames = common_frames(&files, warnings);
    let whole = header.samples == i64::try_from(frames).ok();
    let mut data: Vec<_> =
        files.into_iter().flat_map(|f| f.signals.into_iter().map(move |s| Some((s, f.coding)))).collect();
    let mut tracks = Vec::with_capacity(wanted.len());
    for lead in wanted {
        let found = find(lead, &header.signals).and_then(|i| Some((i, data[i].take()?)));
        tracks.push(found.map(|(i, (mut samples, coding))| {
            let spec = &header.signals[i];
            samples.truncate((frames * u64::from(spec.samples_per_frame)) as usize);
            Track::of(&format!("{} of {name}", lead.name), spec, samples, coding, whole, warnings)
        }));
    }
    Ok(Segment { tracks, frames: frames as i64 })
}

/// The signal of a segment that is this lead: by its place where the name agrees, else by its name.
fn find(lead: &Wanted, signals: &[SignalSpec]) -> Option<usize> {
    let same = |s: &SignalSpec| {
        s.description == lead.spec.description && s.samples_per_frame == lead.spec.samples_per_frame
    };
    if signals.get(lead.index).is_some_and(same) {
        return Some(lead.index);
    }
    signals.iter().position(same)
}

#[cfg(test)]
#[path = "joined_tests.rs"]
mod tests;
