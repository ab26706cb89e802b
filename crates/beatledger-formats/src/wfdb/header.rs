//! The text header of a WFDB record: one record line, one line a signal, comments.

use std::path::Path;

use beatledger_core::model::{LocalTime, Rate, Warning};

use super::line::Line;
use crate::FormatError;
use crate::source::{read_small, text_from_bytes};
use crate::warn::Warnings;

/// A header larger than this is refused.
pub(super) const MAX_BYTES: u64 = 1 << 20;

/// One signal line.
#[derive(Clone, Debug, PartialEq)]
pub struct SignalSpec {
    /// Signal file, a plain name in the folder of the header.
    pub file: String,
    /// Storage format, such as 16 or 212.
    pub format: u16,
    /// Samples of this signal in a frame; its rate is the record's rate times this.
    pub samples_per_frame: u32,
    /// Samples of this signal to drop at the start.
    pub skew_samples: u32,
    /// Bytes before the first sample in the file.
    pub offset_bytes: u64,
    /// ADC units per physical unit; `None` when absent or 0: uncalibrated.
    pub gain: Option<f64>,
    /// ADC value of 0 physical units.
    pub baseline: f64,
    /// Physical unit, `mV` when the header is silent.
    pub unit: String,
    /// ADC resolution in bits, where stated.
    pub adc_bits: Option<u32>,
    /// Middle of the ADC range.
    pub adc_zero: i32,
    /// First value of the signal: formats that store differences count from it.
    pub first_value: i32,
    /// 16-bit sum of all samples, where stated.
    pub checksum: Option<i32>,
    /// Lead name, empty when there is none.
    pub description: String,
}

/// One segment of a record that is joined from several.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SegmentSpec {
    /// Name of the record that is the segment; `~` for a gap.
    pub name: String,
    /// Frames; 0 for a layout header, which lists signals and holds none.
    pub samples: i64,
}

/// What a `.hea` file says.
#[derive(Clone, Debug)]
pub struct Header {
    /// Record name.
    pub name: String,
    /// Number of segments when the record is joined from others; then there are no signal lines.
    pub segments: Option<u32>,
    /// The segments in order.
    pub parts: Vec<SegmentSpec>,
    /// Frames per second.
    pub rate: Rate,
    /// Frames, where stated.
    pub samples: Option<i64>,
    /// Wall clock of the first sample; on the stand-in date of [`crate::time`] when only the time is known.
    pub start: Option<LocalTime>,
    /// The signals in order.
    pub signals: Vec<SignalSpec>,
    /// Comment lines without `#`.
    pub info: Vec<String>,
    /// What was odd.
    pub warnings: Vec<Warning>,
}

/// Reads a header alone; the signal files need not be there.
///
/// # Errors
/// One sentence with the line number when the header does not follow the format.
pub fn read_header(path: impl AsRef<Path>) -> Result<Header, FormatError> {
    let path = path.as_ref();
    parse(path, &read_small(path, MAX_BYTES, "a header")?)
}

/// True when the first line that is no comment looks like a record line.
pub(super) fn looks_like_header(head: &[u8]) -> bool {
    let (text, _) = text_from_bytes(head);
    let Some(line) = text.lines().map(str::trim).find(|l| !l.is_empty() && !l.starts_with('#')) else {
        return false;
    };
    let mut words = line.split_whitespace();
    let name = words.next().unwrap_or_default();
    let is_name = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '-' | '/' | '.');
    let is_number = |w: &str| w.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '.'));
    name.chars().all(is_name)
        && words.next().is_some_and(|w| w.parse::<i64>().is_ok())
        && words.next().is_none_or(is_number)
}

pub(super) fn parse(path: &Path, bytes: &[u8]) -> Result<Header, FormatError> {
    let mut warnings = Warnings::default();
    let (text, is_utf8) = text_from_bytes(bytes);
    if !is_utf8 {
        warnings.add("text-encoding", "", "The header is not UTF-8; it was read as Latin-1.");
    }
    // Names and comments end up in sentences and on paper.
    let as_space = |c: char| if c.is_control() && !matches!(c, '\n' | '\r' | '\t') { ' ' } else { c };
    let text: String = text.chars().map(as_space).collect();
    let lines = (1usize..).zip(text.lines()).map(|(i, line)| Line { path, number: i, text: line.trim() });
    let (comments, mut lines): (Vec<_>, Vec<_>) =
        lines.filter(|l| !l.text.is_empty()).partition(|l| l.text.starts_with('#'));
    let info = comments.iter().map(|l| l.text.trim_start_matches('#').trim().to_owned());
    let info = info.filter(|t| !t.is_empty()).collect();
    if lines.is_empty() {
        return Err(FormatError::malformed(path, "line 1", "a record line", "no line that is not a comment"));
    }
    let first = lines.remove(0);
    let (mut header, count) = first.record_line(&mut warnings)?;
    header.info = info;
    if let Some(segments) = header.segments {
        let segments = segments as usize;
        if lines.len() < segments {
            return Err(first.err(&format!("{segments} segment lines"), format!("{}", lines.len())));
        }
        header.parts = lines[..segments].iter().map(Line::segment_line).collect::<Result<_, _>>()?;
    } else {
        if lines.len() < count {
            let expected = format!("{count} signal lines");
            return Err(first.err(&expected, format!("{}", lines.len())));
        }
        header.signals = lines[..count].iter().map(Line::signal_line).collect::<Result<_, _>>()?;
        if let Some(extra) = lines.get(count) {
            let text = format!("Expected {count} signal lines, found {}; the rest was ignored.", lines.len());
            warnings.add("header-extra-lines", format!("line {}", extra.number), text);
        }
    }
    header.warnings = warnings.into_list();
    Ok(header)
}

#[cfg(test)]
#[path = "header_tests.rs"]
mod tests;
