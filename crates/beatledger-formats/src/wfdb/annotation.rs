//! Reads MIT annotation files: 16-bit words, code in the upper 6 bits, interval or length in the lower 10.

use std::path::Path;

use beatledger_core::model::{Rate, Warning};

use super::{code_from_symbol, read_header, symbol_from_code};
use crate::FormatError;
use crate::ishne;
use crate::source::{read_small, text_from_bytes};
use crate::warn::Warnings;

/// Pseudo-codes of the format.
pub(super) mod word {
    pub(crate) const NOTE: u8 = 22;
    pub(crate) const LAST_CODE: u8 = 49;
    pub(crate) const SKIP: u8 = 59;
    pub(crate) const NUM: u8 = 60;
    pub(crate) const SUB: u8 = 61;
    pub(crate) const CHN: u8 = 62;
    pub(crate) const AUX: u8 = 63;
}

/// An annotation file larger than this is refused.
const MAX_BYTES: u64 = 1 << 30;
pub(super) const RESOLUTION: &str = "## time resolution:";

/// One annotation as it stands in the file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Annotation {
    /// Sample at the rate of the record (ticks of the file when that rate is not known).
    pub sample: i64,
    /// Code, 0..=49.
    pub code: u8,
    /// Symbol of the code, a mnemonic that the file defines, or `[code]` when there is neither.
    pub symbol: String,
    /// Subtype; its meaning depends on the code.
    pub subtype: i8,
    /// Signal it refers to.
    pub chan: u8,
    /// A number that tells annotators or measurements apart.
    pub num: i8,
    /// Free text; rhythm strings such as `(AFIB` stand here.
    pub aux: String,
}

impl Annotation {
    /// An annotation of a symbol of the WFDB code table; `None` when the table has no such symbol.
    pub fn new(sample: i64, symbol: &str) -> Option<Self> {
        let code = code_from_symbol(symbol)?;
        Some(Self { sample, code, symbol: symbol.to_owned(), ..Self::default() })
    }

    /// The same annotation with a text.
    #[must_use]
    pub fn with_aux(mut self, aux: &str) -> Self {
        self.aux = aux.to_owned();
        self
    }
}

/// All that an annotation file holds.
#[derive(Clone, Debug, Default)]
pub struct AnnotationFile {
    /// Annotations sorted by sample, then channel.
    pub annotations: Vec<Annotation>,
    /// Ticks per second that the file states for its times.
    pub ticks_hz: Option<f64>,
    /// What was odd.
    pub warnings: Vec<Warning>,
}

/// Reads an annotation file. The rate is taken from the header `<stem>.hea` beside it, if there is one, to
/// turn ticks of another resolution into samples. What was odd is dropped; see [`read_annotation_file`].
///
/// # Errors
/// One sentence with the byte position when the file cannot be opened or is no annotation file.
pub fn read_annotations(path: impl AsRef<Path>) -> Result<Vec<Annotation>, FormatError> {
    let path = path.as_ref();
    let rate = read_header(path.with_extension("hea")).ok().map(|h| h.rate);
    read_annotation_file(path, rate).map(|f| f.annotations)
}

/// Reads an annotation file with its warnings; one of the ISHNE kind is told by its first bytes, and its labels
/// become symbols of the WFDB code table. `rate` is the sampling rate of the record, when known.
///
/// # Errors
/// As [`read_annotations`].
pub fn read_annotation_file(
    path: impl AsRef<Path>,
    rate: Option<Rate>,
) -> Result<AnnotationFile, FormatError> {
    let path = path.as_ref();
    let bytes = read_small(path, MAX_BYTES, "an annotation file")?;
    if bytes.starts_with(ishne::ANNOTATION_MAGIC) {
        return ishne::parse_annotations(path, &bytes);
    }
    let mut parser =
        Parser { path, bytes: &bytes, at: 0, time: 0, warnings: Warnings::default(), out: vec![] };
    parser.run()?;
    parser.finish(rate)
}

struct Parser<'a> {
    path: &'a Path,
    bytes: &'a [u8],
    at: usize,
    time: i64,
    warnings: Warnings,
    out: Vec<Annotation>,
}

impl Parser<'_> {
    fn take<const N: usize>(&mut self) -> Option<[u8; N]> {
        let part = self.bytes.get(self.at..)?.first_chunk::<N>()?;
        self.at += N;
        Some(*part)
    }

    fn err(&self, at: usize, expected: &str, found: impl Into<String>) -> FormatError {
        FormatError::malformed(self.path, format!("byte {at}"), expected, found)
    }

    fn run(&mut self) -> Result<(), FormatError> {
        let (mut chan, mut num) = (0, 0);
        loop {
            let at = self.at;
            let Some(bytes) = self.take::<2>() else {
                let text = "The file ends without the final zero word; what was there has been read.";
                self.warnings.add("annotations-no-end", format!("byte {at}"), text);
                return Ok(());
            };
            let value = u16::from_le_bytes(bytes);
            let (code, low) = ((value >> 10) as u8, value & 0x3ff);
            match (code, low, self.out.last_mut()) {
                (0, 0, _) => return Ok(()),
                (0, _, _) => self.advance(at, i64::from(low))?,
                (word::SKIP, _, _) => self.skip(at)?,
                (word::NUM, _, last) => {
                    num = low as u8 as i8;
                    last.into_iter().for_each(|a| a.num = num);
                }
                (word::CHN, _, last) => {
                    chan = low as u8;
                    last.into_iter().for_each(|a| a.chan = chan);
                }
                (word::SUB, _, Some(last)) => last.subtype = low as u8 as i8,
                (word::AUX, _, _) => self.aux(at, usize::from(low & 0xff))?,
                (1..=word::LAST_CODE, _, _) => {
                    self.advance(at, i64::from(low))?;
                    let symbol = symbol_from_code(code).map_or_else(|| format!("[{code}]"), str::to_owned);
                    let sample = self.time;
                    self.out.push(Annotation { sample, code, symbol, chan, num, ..Annotation::default() });
                }
                _ => {
                    let text =
                        format!("Expected an annotation code up to 49, found {code}; the word was skipped.");
                    self.warnings.add("annotation-code", format!("byte {at}"), text);
                }
            }
        }
    }

    fn advance(&mut self, at: usize, by: i64) -> Result<(), FormatError> {
        match self.time.checked_add(by) {
            Some(time) => self.time = time,
            None => return Err(self.err(at, "a time in 64 bits", "a larger one")),
        }
        Ok(())
    }

    fn skip(&mut self, at: usize) -> Result<(), FormatError> {
        let Some([a, b, c, d]) = self.take::<4>() else {
            return Err(self.err(at, "4 bytes of interval after SKIP", "the end of the file"));
        };
        self.advance(at, i64::from(i32::from_le_bytes([c, d, a, b])))
    }

    fn aux(&mut self, at: usize, len: usize) -> Result<(), FormatError> {
        let rest = &self.bytes[self.at.min(self.bytes.len())..];
        let Some(text) = rest.get(..len) else {
            let expected = format!("{len} bytes of text");
            return Err(self.err(at, &expected, format!("{} before the end of the file", rest.len())));
        };
        self.at += len + len % 2;
        let (text, _) = text_from_bytes(text);
        let text = text.trim_end_matches('\0');
        if let Some(last) = self.out.last_mut() {
            last.aux = text.to_owned();
        }
        Ok(())
    }

    fn finish(mut self, rate: Option<Rate>) -> Result<AnnotationFile, FormatError> {
        let ticks_hz = self.take_notes();
        let from_ticks = match (ticks_hz, rate) {
            (Some(ticks), Some(rate)) if (ticks - rate.hz()).abs() > 1e-9 * ticks => Some(rate.hz() / ticks),
            _ => None,
        };
        for annotation in &mut self.out {
            if let Some(factor) = from_ticks {
                annotation.sample = (annotation.sample as f64 * factor).round_ties_even() as i64;
            }
            if annotation.sample < 0 {
                let (expected, found) = ("no annotation before sample 0", annotation.sample.to_string());
                return Err(FormatError::malformed(self.path, "annotations", expected, found));
            }
        }
        let key = |a: &Annotation| (a.sample, a.chan);
        if !self.out.is_sorted_by_key(key) {
            let text = "The annotations are not in order of time; they have been sorted.";
            self.warnings.add("annotations-order", "", text);
            self.out.sort_by_key(key);
        }
        Ok(AnnotationFile { annotations: self.out, ticks_hz, warnings: self.warnings.into_list() })
    }

    /// Takes the notes at time 0 that speak of the file itself: its time resolution and its own codes.
    fn take_notes(&mut self) -> Option<f64> {
        let (mut ticks_hz, mut defining) = (None, false);
        let mut own: Vec<(u8, String)> = Vec::new();
        self.out.retain(|a| {
            if a.sample != 0 || a.code != word::NOTE {
                return true;
            }
            let text = a.aux.trim();
            if let Some(hz) = text.strip_prefix(RESOLUTION) {
                ticks_hz = hz.trim().parse().ok().filter(|hz: &f64| hz.is_finite() && *hz > 0.0);
            } else if text.starts_with("## annotation type definitions") {
                defining = true;
            } else if text.starts_with("## end of definitions") {
                defining = false;
            } else if defining {
                own.extend(definition(text));
            } else {
                return true;
            }
            false
        });
        for annotation in self.out.iter_mut().filter(|a| symbol_from_code(a.code).is_none()) {
            if let Some((_, mnemonic)) = own.iter().rev().find(|(code, _)| *code == annotation.code) {
                annotation.symbol.clone_from(mnemonic);
            }
        }
        ticks_hz
    }
}

/// `code mnemonic description` of a code that the file defines for itself.
fn definition(text: &str) -> Option<(u8, String)> {
    let mut words = text.split_whitespace();
    let code = words.next()?.parse().ok().filter(|c| *c <= word::LAST_CODE)?;
    let mnemonic = words.next().filter(|m| !m.chars().any(char::is_control))?;
    Some((code, mnemonic.to_owned()))
}

#[cfg(test)]
#[path = "annotation_tests.rs"]
mod tests;
