//! The text header of a WFDB record: one record line, one line a signal, comments.

use std::path::Path;
use std::str::FromStr;

use beatledger_core::model::{LocalTime, Rate, Warning};

use crate::FormatError;
use crate::error::shown;
use crate::source::{read_small, text_from_bytes};
use crate::time::{local_time_from_ymd_hms, local_time_without_date};
use crate::warn::Warnings;

/// Limits against hostile headers.
const MAX_BYTES: u64 = 1 << 20;
const MAX_SIGNALS: usize = 256;
const MAX_SEGMENTS: u32 = 1_000_000;
const MAX_SAMPLES_PER_FRAME: u32 = 65_536;

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
    /// 16-bit sum of all samples, where stated.
    pub checksum: Option<i32>,
    /// Lead name, empty when there is none.
    pub description: String,
}

/// What a `.hea` file says.
#[derive(Clone, Debug)]
pub struct Header {
    /// Record name.
    pub name: String,
    /// Number of segments when the record is joined from others; then there are no signal lines.
    pub segments: Option<u32>,
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
    if header.segments.is_none() {
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

/// One line of the header, trimmed, with its number for messages.
struct Line<'a> {
    path: &'a Path,
    number: usize,
    text: &'a str,
}

impl Line<'_> {
    fn err(&self, expected: &str, found: impl Into<String>) -> FormatError {
        FormatError::malformed(self.path, format!("line {}", self.number), expected, found)
    }

    fn number<T: FromStr>(&self, text: &str, expected: &str) -> Result<T, FormatError> {
        text.parse().map_err(|_| self.err(expected, shown(text)))
    }

    fn record_line(&self, warnings: &mut Warnings) -> Result<(Header, usize), FormatError> {
        let mut words = self.text.split_whitespace();
        let name = words.next().unwrap_or_default();
        let (name, segments) = match name.split_once('/') {
            Some((name, n)) => (name, Some(self.number::<u32>(n, "a number of segments")?)),
            None => (name, None),
        };
        if segments.is_some_and(|n| n > MAX_SEGMENTS) {
            return Err(self.err("at most 1000000 segments", format!("{}", segments.unwrap_or(0))));
        }
        let count = words.next().unwrap_or_default();
        let signals = self.number::<usize>(count, "a number of signals from 0 to 256")?;
        if signals > MAX_SIGNALS {
            return Err(self.err("a number of signals from 0 to 256", shown(count)));
        }
        let rate = words.next().map_or(Ok(Rate::whole_hz(250)), |w| self.rate(w))?;
        let samples = match words.next() {
            Some(w) => Some(self.number::<i64>(w, "a number of samples")?),
            None => None,
        };
        if samples.is_some_and(|n| n < 0) {
            return Err(self.err("a number of samples of 0 or more", format!("{}", samples.unwrap_or(0))));
        }
        let start = self.start(words.next(), words.next(), warnings);
        let header = Header {
            name: name.to_owned(),
            segments,
            rate,
            samples: samples.filter(|n| *n > 0),
            start,
            signals: Vec::new(),
            info: Vec::new(),
            warnings: Vec::new(),
        };
        Ok((header, signals))
    }

    /// Sampling rate, before an optional `/counter frequency(base counter)`.
    fn rate(&self, word: &str) -> Result<Rate, FormatError> {
        let hz = word.split(['/', '(']).next().unwrap_or_default();
        let expected = "a sampling rate above 0 Hz";
        Rate::from_hz(self.number(hz, expected)?).ok_or_else(|| self.err(expected, shown(hz)))
    }

    /// The start; one that cannot be read is unknown, with a warning, because the signal is sound without it.
    fn start(&self, time: Option<&str>, date: Option<&str>, warnings: &mut Warnings) -> Option<LocalTime> {
        let place = format!("line {}", self.number);
        let clock = time_of_day(time?);
        let Some((h, m, s, ms)) = clock else {
            let text = format!("Expected a start time H:M:S, found {}; it is unknown.", shown(time?));
            warnings.add("start-unreadable", place, text);
            return None;
        };
        let dated = date.and_then(day_month_year);
        let dated = dated.and_then(|(d, mo, y)| local_time_from_ymd_hms((y, mo, d), (h, m, s, ms)));
        if dated.is_some() {
            return dated;
        }
        let text =
            format!("The start date is {}; only the time of day is known.", shown(date.unwrap_or_default()));
        warnings.add("date-unknown", place, text);
        local_time_without_date(h, m, s, ms)
    }

    fn signal_line(&self) -> Result<SignalSpec, FormatError> {
        let mut rest = self.text;
        let mut word = || -> Option<&str> {
            let (word, tail) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
            rest = tail.trim_start();
            Some(word).filter(|w| !w.is_empty())
        };
        let file = word().unwrap_or_default().to_owned();
        let format = word().ok_or_else(|| self.err("a signal format", "the end of the line"))?;
        let mut spec = self.format_field(file, format)?;
        let gain = word();
        if let Some(bits) = word() {
            spec.adc_bits = Some(self.number(bits, "an ADC resolution in bits")?).filter(|b| *b > 0);
        }
        if let Some(zero) = word() {
            spec.adc_zero = self.number(zero, "an ADC zero")?;
        }
        spec.baseline = f64::from(spec.adc_zero);
        let _first_value = word();
        if let Some(sum) = word() {
            spec.checksum = Some(self.number(sum, "a checksum")?);
        }
        let _block_size = word();
        spec.description = rest.trim().to_owned();
        if let Some(gain) = gain {
            self.gain_field(gain, &mut spec)?;
        }
        Ok(spec)
    }

    /// `fmt[xSPF][:SKEW][+OFFSET]`.
    fn format_field(&self, file: String, field: &str) -> Result<SignalSpec, FormatError> {
        let cut = |from: usize| field[from..].find(['x', ':', '+']).map_or(field.len(), |i| from + i);
        let digits = cut(0);
        let mut spec = SignalSpec {
            file,
            format: self.number(&field[..digits], "a signal format number")?,
            samples_per_frame: 1,
            skew_samples: 0,
            offset_bytes: 0,
            gain: None,
            baseline: 0.0,
            unit: "mV".to_owned(),
            adc_bits: None,
            adc_zero: 0,
            checksum: None,
            description: String::new(),
        };
        let mut at = digits;
        while at < field.len() {
            let end = cut(at + 1);
            let value = &field[at + 1..end];
            match &field[at..=at] {
                "x" => spec.samples_per_frame = self.number(value, "a number of samples per frame")?,
                ":" => spec.skew_samples = self.number(value, "a skew in samples")?,
                _ => spec.offset_bytes = self.number(value, "an offset in bytes")?,
            }
            at = end;
        }
        if !(1..=MAX_SAMPLES_PER_FRAME).contains(&spec.samples_per_frame) {
            return Err(self.err("1 to 65536 samples per frame", format!("{}", spec.samples_per_frame)));
        }
        Ok(spec)
    }

    /// `gain[(baseline)][/units]`.
    fn gain_field(&self, field: &str, spec: &mut SignalSpec) -> Result<(), FormatError> {
        let (numbers, unit) = field.split_once('/').map_or((field, None), |(n, u)| (n, Some(u)));
        let gain = match numbers.split_once('(') {
            Some((gain, baseline)) => {
                spec.baseline = self.number(baseline.trim_end_matches(')'), "a baseline in brackets")?;
                gain
            }
            None => numbers,
        };
        let gain: f64 = self.number(gain, "a gain")?;
        if !gain.is_finite() || !spec.baseline.is_finite() {
            return Err(self.err("a finite gain and baseline", shown(field)));
        }
        spec.gain = Some(gain).filter(|g| *g != 0.0);
        if let Some(unit) = unit.filter(|u| !u.is_empty()) {
            spec.unit = unit.to_owned();
        }
        Ok(())
    }
}

/// `H:M:S[.frac]`, `M:S` or `S` as hour, minute, second, ms.
fn time_of_day(text: &str) -> Option<(u32, u32, u32, u32)> {
    let mut parts = text.rsplit(':');
    let seconds: f64 = parts.next()?.parse().ok().filter(|s: &f64| (0.0..86_400.0).contains(s))?;
    let minutes: u32 = parts.next().map_or(Some(0), |m| m.parse().ok())?;
    let hours: u32 = parts.next().map_or(Some(0), |h| h.parse().ok())?;
    let ms = (seconds * 1000.0).round() as u64 + u64::from(minutes) * 60_000 + u64::from(hours) * 3_600_000;
    if parts.next().is_some() || ms >= 86_400_000 {
        return None;
    }
    let of = |unit: u64, base: u64| (ms / unit % base) as u32;
    Some((of(3_600_000, 24), of(60_000, 60), of(1000, 60), of(1, 1000)))
}

fn day_month_year(text: &str) -> Option<(u32, u32, i32)> {
    let mut parts = text.splitn(3, '/');
    Some((parts.next()?.parse().ok()?, parts.next()?.parse().ok()?, parts.next()?.parse().ok()?))
}

#[cfg(test)]
#[path = "header_tests.rs"]
mod tests;
