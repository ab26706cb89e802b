//! Formats that are recognised only, so that the reader hears what a file is.

use std::path::Path;

use beatledger_core::model::Recording;

use crate::{FormatError, Reader, ishne};

/// What can be opened, in words.
pub(crate) const READ_IN_WORDS: &str = "EDF, BDF, ISHNE, DICOM ECG, WFDB and tables of samples";

/// A format that is named and refused.
pub(crate) struct Known {
    name: &'static str,
    is: fn(&[u8]) -> bool,
}

/// The formats that are named and refused.
pub(crate) static ISHNE_ANNOTATION: Known = Known {
    name: "a list of ISHNE annotations without a signal",
    is: |head| head.starts_with(ishne::ANNOTATION_MAGIC),
};
pub(crate) static SCP: Known = Known { name: "SCP-ECG", is: is_scp };
pub(crate) static MATLAB: Known = Known { name: "MATLAB 5", is: |head| head.starts_with(b"MATLAB 5.0") };
pub(crate) static AECG: Known = Known { name: "HL7 aECG", is: is_aecg };
pub(crate) static XML: Known = Known { name: "XML", is: |head| text_start(head).starts_with(b"<?xml") };

impl Reader for Known {
    fn name(&self) -> &'static str {
        self.name
    }

    fn recognises(&self, head: &[u8]) -> bool {
        (self.is)(head)
    }

    fn read(&self, path: &Path) -> Result<Recording, FormatError> {
        let what = format!("its content is {}, which is not read; {READ_IN_WORDS} are", self.name);
        Err(FormatError::unsupported(path, what))
    }
}

/// The bytes behind a byte order mark and white space.
fn text_start(head: &[u8]) -> &[u8] {
    head.strip_prefix(b"\xef\xbb\xbf").unwrap_or(head).trim_ascii_start()
}

/// An XML text, with or without its declaration, whose root is the one of HL7 annotated ECG.
fn is_aecg(head: &[u8]) -> bool {
    const ROOT: &[u8] = b"AnnotatedECG";
    let before = |at: usize| at.checked_sub(1).and_then(|i| head.get(i));
    text_start(head).starts_with(b"<")
        && head
            .windows(ROOT.len())
            .enumerate()
            .any(|(at, w)| w == ROOT && matches!(before(at), Some(b'<' | b':')))
}

/// The tag of section 0; some writers leave it empty, then the pointer of section 0 to itself tells: section 0,
/// its own length, first byte 7.
fn is_scp(head: &[u8]) -> bool {
    let at = |range: std::ops::Range<usize>| head.get(range).unwrap_or_default();
    let length = at(10..14);
    let points_to_itself = at(8..10) == [0, 0] && at(22..24) == [0, 0] && at(28..32) == [7, 0, 0, 0];
    at(16..22) == b"SCPECG"
        || (at(16..22) == [0; 6] && points_to_itself && at(24..28) == length && length != [0; 4])
}

#[cfg(test)]
mod tests {
    use super::*;

    // First bytes of a file by the layout of EN 1064: checksum, length, then section 0 with its pointers.
    #[test]
    fn scp_is_known_by_its_tag_or_by_the_pointer_to_itself() {
        let mut head = vec![0x14, 0x22, 0x56, 0x44, 0, 0, 1, 2, 0, 0, 0x88, 0, 0, 0, 13, 13];
        head.extend([0; 6]);
        head.extend([0, 0, 0x88, 0, 0, 0, 7, 0, 0, 0]);
        assert!(is_scp(&head));
        head[28] = 8;
        assert!(!is_scp(&head));
        head[16..22].copy_from_slice(b"SCPECG");
        assert!(is_scp(&head));
        assert!(!is_scp(&[0; 64]) && !is_scp(b"SCPECG"));
    }

    #[test]
    fn an_annotated_ecg_is_known_by_its_root_with_or_without_a_declaration() {
        assert!(is_aecg(b"<AnnotatedECG xmlns=\"urn:hl7-org:v3\">"));
        assert!(is_aecg(b"\xef\xbb\xbf<?xml version=\"1.0\"?>\n<!-- x -->\n<h:AnnotatedECG>"));
        assert!(!is_aecg(b"<?xml version=\"1.0\"?><note>an AnnotatedECG</note>"));
        assert!(!is_aecg(b"AnnotatedECG <AnnotatedECG"));
    }
}
