//! ISHNE annotation files: a label and the distance to the one before, four bytes each.

use std::path::Path;

use crate::FormatError;
use crate::warn::Warnings;
use crate::wfdb::{Annotation, AnnotationFile};

use super::header::FIXED_BYTES;

/// First bytes of the file.
pub(crate) const MAGIC: &[u8; 8] = b"ANN  1.0";
/// Moves the time on where the true distance does not fit into 16 bits.
pub(super) const TIME_OUT: u8 = b'!';

/// The symbol of the WFDB code table for a label; a label that the table of the standard lacks is an unknown beat.
fn symbol(label: u8) -> &'static str {
    match label {
        b'N' => "N",
        b'V' => "V",
        b'S' => "S",
        b'B' => "B",
        b'P' => "/",
        b'X' => "|",
        b'C' => "\"",
        _ => "Q",
    }
}

/// Parses the bytes of an annotation file. Checksum and places in its header are often stale copies of those of
/// the recording, and are not looked at.
pub(crate) fn parse(path: &Path, bytes: &[u8]) -> Result<AnnotationFile, FormatError> {
    let long = |at: usize| bytes.get(at..).and_then(|rest| rest.first_chunk::<4>()).copied();
    let block = long(10).map(i32::from_le_bytes).and_then(|n| usize::try_from(n).ok());
    let at = block.and_then(|n| n.checked_add(FIXED_BYTES));
    let Some((at, first)) = at.and_then(|at| Some((at, long(at)?))) else {
        let expected = "a header and the place of the first beat";
        return Err(FormatError::malformed(path, "byte 10", expected, format!("{} bytes", bytes.len())));
    };
    let mut warnings = Warnings::default();
    let (records, rest) = bytes[at + 4..].as_chunks::<4>();
    if !rest.is_empty() {
        let text = format!("The last {} bytes are no whole annotation and were left out.", rest.len());
        warnings.add("annotation-cut", format!("byte {}", bytes.len() - rest.len()), text);
    }
    let mut sample = i64::from(u32::from_le_bytes(first));
    let mut annotations = Vec::with_capacity(records.len());
    for [label, _, low, high] in records {
        sample += i64::from(u16::from_le_bytes([*low, *high]));
        let known = symbol(*label);
        if *label == TIME_OUT {
            continue;
        }
        let annotation = Annotation::new(sample, known);
        let unknown = known == "Q" && *label != b'U';
        let aux = if unknown || *label == b'C' {
            char::from(*label).escape_default().to_string()
        } else {
            String::new()
        };
        annotations.extend(annotation.map(|a| a.with_aux(&aux)));
    }
    let rate = bytes.get(272..).and_then(|rest| rest.first_chunk::<2>()).map(|b| i16::from_le_bytes(*b));
    Ok(AnnotationFile {
        annotations,
        ticks_hz: rate.filter(|hz| *hz > 0).map(f64::from),
        warnings: warnings.into_list(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(records: &[u8]) -> Vec<u8> {
        let mut bytes = MAGIC.to_vec();
        bytes.resize(FIXED_BYTES, 0);
        bytes[272] = 200;
        bytes.extend(37u32.to_le_bytes());
        bytes.extend(records);
        bytes
    }

    // The vector is made by the published layout: distances are unsigned, a time-out says nothing.
    #[test]
    fn distances_add_up_over_a_time_out() {
        let record = |label: u8, step: u16| [label, b' ', step.to_le_bytes()[0], step.to_le_bytes()[1]];
        let records = [(b'N', 180), (b'V', 120), (b'!', 65535), (b'N', 500), (b'S', 150), (b'z', 1)];
        let bytes = file(&records.map(|(label, step)| record(label, step)).concat());
        let read = parse(Path::new("a.ann"), &bytes).unwrap();
        let list: Vec<_> = read.annotations.iter().map(|a| (a.sample, a.symbol.as_str())).collect();
        assert_eq!(list, [(217, "N"), (337, "V"), (66372, "N"), (66522, "S"), (66523, "Q")]);
        assert_eq!((read.annotations[4].aux.as_str(), read.ticks_hz), ("z", Some(200.0)));
    }

    #[test]
    fn a_cut_file_is_read_as_far_as_it_goes() {
        let read = parse(Path::new("a.ann"), &file(&[b'N', 0, 1, 0, b'V', 0])).unwrap();
        assert_eq!((read.annotations.len(), read.warnings[0].code.as_str()), (1, "annotation-cut"));
        let error = parse(Path::new("a.ann"), &file(&[])[..524]).unwrap_err();
        assert_eq!(
            error.to_string(),
            "a.ann, byte 10: expected a header and the place of the first beat, found 524 bytes"
        );
    }
}
