//! One line of a WFDB header: the record line, a signal line or a segment line.

use std::path::Path;
use std::str::FromStr;

use beatledger_core::model::{LocalTime, Rate};

use super::header::{Header, SegmentSpec, SignalSpec};
use crate::FormatError;
use crate::error::shown;
use crate::time::{local_time_from_ymd_hms, local_time_without_date};
use crate::warn::Warnings;

/// Limits against hostile headers.
const MAX_SIGNALS: usize = 256;
const MAX_SEGMENTS: u32 = 1_000_000;
const MAX_SAMPLES_PER_FRAME: u32 = 65_536;

/// One line of the header, trimmed, with its number for messages.
pub(super) struct Line<'a> {
    pub(super) path: &'a Path,
    pub(super) number: usize,
    pub(super) text: &'a str,
}

impl Line<'_> {
    pub(super) fn err(&self, expected: &str, found: impl Into<String>) -> FormatError {
        FormatError::malformed(self.path, format!("line {}", self.number), expected, found)
    }

    fn number<T: FromStr>(&self, text: &str, expected: &str) -> Result<T, FormatError> {
        text.parse().map_err(|_| self.err(expected, shown(text)))
    }

    pub(super) fn record_line(&self, warnings: &mut Warnings) -> Result<(Header, usize), FormatError> {
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
            parts: Vec::new(),
            rate,
            samples: samples.filter(|n| *n > 0),
            start,
            signals: Vec::new(),
            info: Vec::new(),
            warnings: Vec::new(),
        };
        Ok((header, signals))
    }

    /// `name samples` of a record that is joined from segments.
    pub(super) fn segment_line(&self) -> Result<SegmentSpec, FormatError> {
        let mut words = self.text.split_whitespace();
        let name = words.next().unwrap_or_default();
        let odd = |c: char| c.is_control() || matches!(c, '/' | '\\' | ':');
        if name.contains(odd) || name.starts_with('.') || (name.starts_with('~') && name != "~") {
            return Err(self.err("a plain segment name", shown(name)));
        }
        let expected = "a number of samples of 0 or more after the name of the segment";
        let samples = self.number::<i64>(words.next().unwrap_or_default(), expected)?;
        if samples < 0 {
            return Err(self.err(expected, format!("{samples}")));
        }
        Ok(SegmentSpec { name: name.to_owned(), samples })
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

    pub(super) fn signal_line(&self) -> Result<SignalSpec, FormatError> {
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
        // Only formats that store differences need it, so an odd one does not spoil the others.
        spec.first_value = word().and_then(|first| first.parse().ok()).unwrap_or(spec.adc_zero);
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
            first_value: 0,
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
