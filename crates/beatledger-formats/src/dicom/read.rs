//! Reads an ECG waveform object into a recording.

use std::io::Read;
use std::path::Path;

use beatledger_core::model::{Identity, LocalTime, OtherSignal, Recording, Span, Warning};
use sha2::{Digest, Sha256};

use super::elements::{BEYOND, Broken, Part, Set, items};
use super::group::Group;
use crate::error::shown;
use crate::source::{hex, read_small};
use crate::time::local_time_from_ymd_hms;
use crate::warn::Warnings;
use crate::{FormatError, Reader};

/// The first data element behind the preamble and the mark `DICM`.
const META_AT: usize = 132;
const MAX_BYTES: u64 = 1 << 30;
/// A day of twelve leads at 500 Hz is about 1 GiB; deflated objects are far shorter.
const MAX_INFLATED_BYTES: u64 = 1 << 28;
const MAX_GROUPS: usize = 64;

const TRANSFER_SYNTAX: u32 = 0x0002_0010;
const CLASS: u32 = 0x0008_0016;
const ACQUIRED: u32 = 0x0008_002a;
const MAKER: u32 = 0x0008_0070;
const MODEL: u32 = 0x0008_1090;
const NAME: u32 = 0x0010_0010;
const CODE: u32 = 0x0010_0020;
const BORN: u32 = 0x0010_0030;
const SEX: u32 = 0x0010_0040;
const WAVEFORMS: u32 = 0x5400_0100;

/// The four classes of ECG waveforms end in 1 to 4.
const ECG_CLASSES: &str = "1.2.840.10008.5.1.4.1.1.9.1.";

/// Reads ECG waveform objects.
pub struct DicomReader;

impl Reader for DicomReader {
    fn name(&self) -> &'static str {
        "DICOM ECG"
    }

    fn recognises(&self, head: &[u8]) -> bool {
        head.get(128..META_AT).is_some_and(|mark| mark == b"DICM")
    }

    fn read(&self, path: &Path) -> Result<Recording, FormatError> {
        let bytes = read_small(path, MAX_BYTES, "a DICOM object")?;
        let broken = |b: Broken| {
            let place = format!("byte {}", b.at);
            FormatError::malformed(path, place, "a sound DICOM data set", format!("that {}", b.why))
        };
        let (syntax, data) = meta(path, &bytes).map_err(|e| e.told(broken))?;
        let inflated = if syntax.deflated { inflate(path, data)? } else { Vec::new() };
        let data = if syntax.deflated { Part { bytes: &inflated, at: 0, cut: false } } else { data };
        let mut recording = match recording(path, data, syntax.explicit) {
            Err(Unread::Broken(b)) if b.why == BEYOND => {
                let mut part = recording(path, Part { cut: true, ..data }, syntax.explicit)
                    .map_err(|_| broken(b.clone()))?;
                let text = "The object ends inside a value, as if the file was cut; what it holds was read.";
                let place = format!("byte {}", data.at + data.bytes.len());
                part.warnings.insert(0, Warning::new("file-cut", place, text));
                part
            }
            read => read.map_err(|e| e.told(broken))?,
        };
        recording.sha256 = hex(Sha256::new_with_prefix(&bytes));
        Ok(recording)
    }
}

/// The recording of a data set, without the hash of its file.
fn recording(path: &Path, data: Part<'_>, explicit: bool) -> Result<Recording, Unread> {
    let tags = [CLASS, ACQUIRED, MAKER, MODEL, NAME, CODE, BORN, SEX, WAVEFORMS];
    let set = Set::read(data, explicit, &tags)?;
    let class = set.text(CLASS);
    let is_ecg = class.strip_prefix(ECG_CLASSES).is_some_and(|n| matches!(n, "1" | "2" | "3" | "4"));
    let Some(waveforms) = set.get(WAVEFORMS).filter(|_| is_ecg) else {
        let what = format!("it is a DICOM object of class {}, not an ECG waveform", shown(&class));
        return Err(FormatError::unsupported(path, what).into());
    };
    let parts = items(waveforms, explicit, MAX_GROUPS)?;
    let groups: Vec<_> = parts.into_iter().map(|p| Group::of(p, explicit)).collect();
    let mut warnings = Warnings::default();
    let (group, mut others) = longest(&groups, &mut warnings)?;
    let (leads, more) = group.leads(&mut warnings)?;
    others.extend(more);
    if leads.is_empty() {
        let names: Vec<_> =
            others.iter().take(8).map(|o| format!("{}: {}", shown(&o.name), o.reason)).collect();
        let what = format!("none of its channels is an ECG lead ({})", names.join("; "));
        return Err(FormatError::unsupported(path, what).into());
    }
    let samples = group.samples as i64;
    Ok(Recording {
        name: path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default(),
        format: "DICOM ECG".to_owned(),
        sha256: String::new(),
        identity: identity(&set),
        start: date_time(&set.text(ACQUIRED)).map(|t| later(t, group.offset_ms)),
        rate: group.rate,
        samples,
        segments: vec![Span::new(0, samples)],
        leads,
        others,
        diary: Vec::new(),
        warnings: warnings.into_list(),
    })
}

/// How a data set is written.
struct Syntax {
    /// Types stand with the values.
    explicit: bool,
    /// It is compressed as a whole (RFC 1951).
    deflated: bool,
}

/// The data set behind the meta information, inflated; places in it count from its own start.
fn inflate(path: &Path, data: Part<'_>) -> Result<Vec<u8>, FormatError> {
    let mut out = Vec::new();
    let place = || format!("byte {}", data.at);
    // Deflate packs at most 1032 times, so the limit is reached by what is meant to reach it.
    let read =
        flate2::read::DeflateDecoder::new(data.bytes).take(MAX_INFLATED_BYTES + 1).read_to_end(&mut out);
    if let Err(error) = read {
        let expected = "a data set that can be inflated";
        return Err(FormatError::malformed(path, place(), expected, shown(&error.to_string())));
    }
    if out.len() as u64 > MAX_INFLATED_BYTES {
        let expected = format!("a data set of at most {MAX_INFLATED_BYTES} bytes once inflated");
        return Err(FormatError::malformed(path, place(), expected, "more"));
    }
    Ok(out)
}

/// What stands before the data set: how it is written, and the data set itself.
fn meta<'a>(path: &Path, bytes: &'a [u8]) -> Result<(Syntax, Part<'a>), Unread> {
    // Group 2 is always written with types, and its first element gives the length of the rest.
    let end =
        bytes.get(META_AT + 8..).and_then(|rest| rest.first_chunk::<4>()).map(|b| u32::from_le_bytes(*b));
    let end = end.and_then(|n| (META_AT + 12).checked_add(n as usize)).filter(|end| *end <= bytes.len());
    let has_length = bytes.get(META_AT..META_AT + 8) == Some(b"\x02\0\0\0UL\x04\0");
    let Some(end) = end.filter(|_| has_length) else {
        return Err(Unread::Broken(Broken {
            at: META_AT,
            why: "has no length of its file meta information",
        }));
    };
    let part = Part { bytes: &bytes[META_AT..end], at: META_AT, cut: false };
    let set = Set::read(part, true, &[TRANSFER_SYNTAX]).map_err(Unread::Broken)?;
    let syntax = |explicit, deflated| Syntax { explicit, deflated };
    let syntax = match set.text(TRANSFER_SYNTAX).as_str() {
        "1.2.840.10008.1.2" => syntax(false, false),
        "1.2.840.10008.1.2.1" => syntax(true, false),
        "1.2.840.10008.1.2.1.99" => syntax(true, true),
        other => {
            let retired = if other == "1.2.840.10008.1.2.2" { " (big-endian, retired)" } else { "" };
            let what = format!(
                "its transfer syntax {}{retired} is not read; the little-endian ones are, plain or deflated",
                shown(other)
            );
            return Err(Unread::Format(FormatError::unsupported(path, what)));
        }
    };
    Ok((syntax, Part { bytes: &bytes[end..], at: end, cut: false }))
}

/// Why an object gives no recording.
enum Unread {
    Broken(Broken),
    Format(FormatError),
}

impl From<Broken> for Unread {
    fn from(broken: Broken) -> Self {
        Self::Broken(broken)
    }
}

impl From<FormatError> for Unread {
    fn from(error: FormatError) -> Self {
        Self::Format(error)
    }
}

impl Unread {
    fn told(self, broken: impl FnOnce(Broken) -> FormatError) -> FormatError {
        match self {
            Self::Broken(b) => broken(b),
            Self::Format(e) => e,
        }
    }
}

/// The longest group of recorded (not derived) samples; the others are listed.
fn longest<'g, 'a>(
    groups: &'g [Result<Group<'a>, Broken>],
    warnings: &mut Warnings,
) -> Result<(&'g Group<'a>, Vec<OtherSignal>), Broken> {
    let sound = groups.iter().enumerate().filter_map(|(i, g)| Some((i, g.as_ref().ok()?)));
    let seconds = |g: &Group<'_>| g.samples as f64 / g.rate.hz();
    let best =
        sound.filter(|(_, g)| !g.derived).reduce(|a, b| if seconds(b.1) > seconds(a.1) { b } else { a });
    let Some((chosen, group)) = best else {
        let first = groups.iter().find_map(|g| g.as_ref().err().cloned());
        return Err(first.unwrap_or(Broken { at: META_AT, why: "holds no group of recorded samples" }));
    };
    let mut others = Vec::new();
    for (i, other) in groups.iter().enumerate().filter(|(i, _)| *i != chosen) {
        let reason = match other {
            Ok(g) if g.derived => "it is derived from the recording".to_owned(),
            Ok(_) => "it is another group, and the longest is read".to_owned(),
            Err(b) => {
                let text = format!("Group {} cannot be read: {}.", i + 1, b.why);
                warnings.add("group-unreadable", format!("byte {}", b.at), text);
                b.why.to_owned()
            }
        };
        others.push(OtherSignal { name: format!("group {}", i + 1), reason });
    }
    Ok((group, others))
}

fn identity(set: &Set<'_>) -> Identity {
    let born = set.text(BORN);
    let iso = (born.len() == 8 && born.bytes().all(|b| b.is_ascii_digit()))
        .then(|| format!("{}-{}-{}", &born[..4], &born[4..6], &born[6..]));
    let recorder = [set.text(MAKER), set.text(MODEL)];
    Identity {
        name: set.text(NAME).replace('^', " ").trim().to_owned(),
        code: set.text(CODE),
        born: iso.unwrap_or(born),
        sex: set.text(SEX),
        recorder: recorder.into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join("; "),
        ..Identity::default()
    }
}

/// `YYYYMMDDHHMMSS[.ffffff]`, with an offset that is left out: the clock of the recorder counts.
fn date_time(text: &str) -> Option<LocalTime> {
    let digits = text.get(..14).filter(|d| d.bytes().all(|b| b.is_ascii_digit()))?;
    let number = |from: usize, to: usize| digits[from..to].parse::<u32>().ok();
    let date = (number(0, 4)? as i32, number(4, 6)?, number(6, 8)?);
    let part: String =
        text[14..].strip_prefix('.').unwrap_or("").chars().take_while(char::is_ascii_digit).collect();
    let ms = format!("{:0<3}", part).get(..3)?.parse().ok()?;
    local_time_from_ymd_hms(date, (number(8, 10)?, number(10, 12)?, number(12, 14)?, ms))
}

fn later(time: LocalTime, ms: f64) -> LocalTime {
    // A cast of a float saturates.
    LocalTime(time.0.saturating_add(ms.round() as i64))
}

#[cfg(test)]
#[path = "read_tests.rs"]
mod tests;
