//! Writes an ISHNE annotation file: a label and the distance to the one before, four bytes each.

use std::io::Write;
use std::path::Path;

use beatledger_core::model::{Recording, Warning};

use super::annotation::{MAGIC, TIME_OUT};
use super::write::lead_fields;
use super::write_header::header;
use crate::FormatError;
use crate::put::whole_file;
use crate::warn::Warnings;
use crate::wfdb::Annotation;

/// The label of the standard for a symbol of the WFDB code table; `None` for what is neither a beat nor in the table.
/// The second byte, free for internal use, keeps the symbol where the label says less.
fn label(symbol: &str) -> Option<[u8; 2]> {
    Some(match symbol {
        "N" | "e" | "j" | "n" => *b"N ",
        "V" | "E" | "r" => *b"V ",
        "A" | "a" | "J" | "S" => *b"S ",
        "L" | "R" | "B" => *b"B ",
        "/" => *b"P ",
        "|" => *b"X ",
        "F" => *b"UF",
        "f" => *b"Uf",
        "Q" | "?" => *b"U ",
        _ => return None,
    })
}

/// Writes the beats of `annotations` with the header of `recording`. The warnings count what the table of the
/// standard has no label for: fusion beats are written as unknown, marks that are no beats are left out.
///
/// # Errors
/// One sentence when the recording's header or a place cannot be held, or the file cannot be written.
pub fn write_annotations(
    recording: &Recording,
    annotations: &[Annotation],
    path: impl AsRef<Path>,
) -> Result<Vec<Warning>, FormatError> {
    let path = path.as_ref();
    let mut warnings = Warnings::default();
    let refuse = |what: String| FormatError::unsupported(path, what);
    // What is told about leads concerns the file of samples.
    let leads = lead_fields(recording, &mut Warnings::default()).map_err(refuse)?;
    let mut bytes = header(recording, &leads, MAGIC, &mut warnings).map_err(refuse)?;
    // The first reference position carries no label; distances count from the first sample.
    bytes.extend(0u32.to_le_bytes());
    let mut sorted: Vec<&Annotation> = annotations.iter().collect();
    sorted.sort_by_key(|a| a.sample);
    let (mut at, mut unknown, mut left_out) = (0i64, 0usize, 0usize);
    for annotation in sorted {
        let Some([first, second]) = label(&annotation.symbol) else {
            left_out += 1;
            continue;
        };
        unknown += usize::from(second == b'F' || second == b'f');
        if !(0..i64::from(u32::MAX)).contains(&annotation.sample) {
            return Err(refuse(format!("ISHNE holds places up to 4294967294, found {}", annotation.sample)));
        }
        let mut step = annotation.sample - at;
        at = annotation.sample;
        while step > i64::from(u16::MAX) {
            bytes.extend([TIME_OUT, b' ', 0xff, 0xff]);
            step -= i64::from(u16::MAX);
        }
        let [low, high] = (step as u16).to_le_bytes();
        bytes.extend([first, second, low, high]);
    }
    if unknown > 0 {
        let text = format!("{unknown} fusion beats were written as unknown: ISHNE has no label for them.");
        warnings.add("fusion-unknown", "", text);
    }
    if left_out > 0 {
        let text = format!("{left_out} marks that are no beats were left out: ISHNE has no label for them.");
        warnings.add("marks-left-out", "", text);
    }
    whole_file(path, |out| Ok(out.write_all(&bytes)?))?;
    Ok(warnings.into_list())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ishne::write::tests::made;
    use crate::wfdb::read_annotation_file;

    // The beats are those of the published layout's vector; a distance above 65535 needs a time-out record.
    #[test]
    fn beats_come_back_over_a_gap_longer_than_a_distance_holds() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("made.ann");
        let list = [(217, "N"), (337, "V"), (66_372, "N"), (66_522, "A"), (300_000, "F"), (300_000, "+")];
        let list: Vec<_> = list.iter().map(|(at, s)| Annotation::new(*at, s).unwrap()).collect();
        let warnings = write_annotations(&made(vec![vec![0; 10]]), &list, &path).unwrap();
        let codes: Vec<_> = warnings.iter().map(|w| w.code.as_str()).collect();
        assert_eq!(codes, ["fusion-unknown", "marks-left-out"]);
        let back = read_annotation_file(&path, None).unwrap();
        let read: Vec<_> = back.annotations.iter().map(|a| (a.sample, a.symbol.as_str())).collect();
        assert_eq!(read, [(217, "N"), (337, "V"), (66_372, "N"), (66_522, "S"), (300_000, "Q")]);
        assert_eq!((back.ticks_hz, back.warnings.len()), (Some(250.0), 0));
        let bytes = std::fs::read(&path).unwrap();
        assert_eq!(bytes[526..530], [b'N', b' ', 217, 0]);
        assert_eq!(
            bytes.len(),
            526 + 4 * (5 + 1 + 3),
            "one time-out before the third beat, three before the last"
        );
    }
}
