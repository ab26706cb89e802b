//! Diary tables in CSV: `time,elapsed_s,duration_s,kind,text,source`.
//!
//! Our own convention on RFC 4180. Reading accepts comma, semicolon or TAB, a byte-order mark, CRLF, times of
//! day alone, and rows that are wrong: those are reported with their line and left out.

mod clock;

use std::path::Path;

use beatledger_core::model::{DiaryEntry, DiaryKind, LocalTime, Rate, Span, Warning};

use crate::FormatError;
use crate::error::shown;
use crate::source::read_small;
use crate::time::{date_is_known, iso_date_time};
use crate::warn::Warnings;
use clock::{Clock, samples_from_clock};

const MAX_BYTES: u64 = 1 << 28;
const MAX_ROWS: usize = 100_000;
const COLUMNS: [&str; 6] = ["time", "elapsed_s", "duration_s", "kind", "text", "source"];
const KINDS: [(DiaryKind, &str); 6] = [
    (DiaryKind::Symptom, "symptom"),
    (DiaryKind::Activity, "activity"),
    (DiaryKind::Medication, "medication"),
    (DiaryKind::Button, "button"),
    (DiaryKind::Sleep, "sleep"),
    (DiaryKind::Note, "note"),
];

/// What a diary file holds.
#[derive(Clone, Debug, Default)]
pub struct Diary {
    /// Entries sorted by start.
    pub entries: Vec<DiaryEntry>,
    /// What was odd, with line numbers.
    pub warnings: Vec<Warning>,
}

/// Reads a diary for a recording that starts at `start` with `rate` samples per second.
///
/// # Errors
/// One sentence when the file cannot be opened or has no header row that can be understood. Rows that cannot
/// be read are warnings.
pub fn read(path: impl AsRef<Path>, start: Option<LocalTime>, rate: Rate) -> Result<Diary, FormatError> {
    let path = path.as_ref();
    parse(path, &read_small(path, MAX_BYTES, "a diary")?, start, rate)
}

fn parse(path: &Path, bytes: &[u8], start: Option<LocalTime>, rate: Rate) -> Result<Diary, FormatError> {
    if let Some(at) = bytes.iter().position(|b| *b == 0) {
        return Err(FormatError::malformed(path, format!("byte {at}"), "text", "a NUL byte"));
    }
    let mut warnings = Warnings::default();
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => {
            warnings.add("text-encoding", "", "The diary is not UTF-8; it was read as Windows-1252.");
            bytes.iter().map(|b| windows_1252(*b)).collect()
        }
    };
    let first = text.lines().find(|l| !l.trim().is_empty()).unwrap_or_default();
    let delimiter = [b',', b';', b'\t']
        .into_iter()
        .max_by_key(|d| (first.bytes().filter(|b| b == d).count(), std::cmp::Reverse(*d)))
        .unwrap_or(b',');
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(delimiter)
        .flexible(true)
        .has_headers(false)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut rows = reader.records();
    let header = match rows.next() {
        Some(Ok(header)) => header,
        _ => return Err(FormatError::malformed(path, "line 1", "a header row", "nothing")),
    };
    let table = Table::of(path, &header, start, rate, delimiter == b';')?;
    let mut entries = table.entries(&text, rows, &mut warnings);
    entries.sort_by_key(|e| e.span);
    Ok(Diary { entries, warnings: warnings.into_list() })
}

/// Where the columns stand, and what turns times into samples.
struct Table {
    columns: [Option<usize>; 6],
    start: Option<LocalTime>,
    rate: Rate,
    decimal_comma: bool,
}

impl Table {
    fn of(
        path: &Path,
        header: &csv::StringRecord,
        start: Option<LocalTime>,
        rate: Rate,
        decimal_comma: bool,
    ) -> Result<Self, FormatError> {
        let columns = COLUMNS.map(|name| header.iter().position(|h| h.eq_ignore_ascii_case(name)));
        if columns[0].is_none() && columns[1].is_none() {
            let found = shown(&header.iter().collect::<Vec<_>>().join(","));
            return Err(FormatError::malformed(path, "line 1", "a column 'time' or 'elapsed_s'", found));
        }
        Ok(Self { columns, start, rate, decimal_comma })
    }

    fn entries(
        &self,
        text: &str,
        rows: impl Iterator<Item = csv::Result<csv::StringRecord>>,
        warnings: &mut Warnings,
    ) -> Vec<DiaryEntry> {
        let mut entries = Vec::new();
        let mut previous_ms = None;
        for row in rows {
            let Ok(row) = row else {
                warnings.add("diary-row", "", "A row is no table row; it was left out.");
                continue;
            };
            let line = line_of(&row, text);
            if row.iter().all(str::is_empty) {
                continue;
            }
            if entries.len() == MAX_ROWS {
                warnings.add(
                    "diary-limit",
                    format!("line {line}"),
                    "More than 100000 rows; the rest was left out.",
                );
                break;
            }
            match self.entry(&row, &mut previous_ms) {
                Ok((entry, note)) => {
                    entries.push(entry);
                    if let Some(note) = note {
                        warnings.add("diary-kind", format!("line {line}"), note);
                    }
                }
                Err(what) => warnings.add(
                    "diary-row",
                    format!("line {line}"),
                    format!("{what}; the row was left out."),
                ),
            }
        }
        entries
    }

    fn cell<'r>(&self, row: &'r csv::StringRecord, column: usize) -> &'r str {
        self.columns[column].and_then(|i| row.get(i)).unwrap_or_default()
    }

    /// One entry, with a remark where its kind is none that is known.
    fn entry(
        &self,
        row: &csv::StringRecord,
        previous_ms: &mut Option<i64>,
    ) -> Result<(DiaryEntry, Option<String>), String> {
        let (time, elapsed) = (self.cell(row, 0), self.cell(row, 1));
        let start = if elapsed.is_empty() {
            let clock = Clock::parse(time)?;
            samples_from_clock(clock, self.start, self.rate, previous_ms)?
        } else {
            self.rate.samples_from_seconds(self.seconds(elapsed)?)
        };
        let duration = match self.cell(row, 2) {
            "" => 0,
            text => self.rate.samples_from_seconds(self.seconds(text).and_then(|s| match s >= 0.0 {
                true => Ok(s),
                false => Err(format!("Expected a duration of 0 s or more, found {}", shown(text))),
            })?),
        };
        let word = self.cell(row, 3);
        let kind = KINDS.iter().find(|(_, w)| w.eq_ignore_ascii_case(word)).map(|(k, _)| *k);
        let is_known = kind.is_some() || word.is_empty() || word.eq_ignore_ascii_case("other");
        let note =
            (!is_known).then(|| format!("The kind {} is not known; the entry is a note.", shown(word)));
        let entry = DiaryEntry {
            span: Span::new(start, start.saturating_add(duration)),
            kind: kind.unwrap_or(DiaryKind::Note),
            text: self.cell(row, 4).to_owned(),
        };
        Ok((entry, note))
    }

    fn seconds(&self, text: &str) -> Result<f64, String> {
        let number = if self.decimal_comma { text.replace(',', ".") } else { text.to_owned() };
        let value = number.parse::<f64>().ok().filter(|s| s.is_finite() && s.abs() < 1e8);
        value.ok_or_else(|| format!("Expected seconds, found {}", shown(text)))
    }
}

/// Line of a row; the table reader counts the empty lines before a row as part of it.
fn line_of(row: &csv::StringRecord, text: &str) -> u64 {
    let Some(position) = row.position() else { return 0 };
    let rest = usize::try_from(position.byte()).ok().and_then(|at| text.get(at..)).unwrap_or_default();
    let empty = rest.chars().take_while(|c| matches!(c, '\r' | '\n')).filter(|c| *c == '\n').count();
    position.line() + empty as u64
}

/// Writes a diary as an exact interchange file: texts are not altered, so a cell that begins with `=`, `+`,
/// `-` or `@` may run as a formula when the file is opened in a spreadsheet.
///
/// # Errors
/// One sentence when the file cannot be written.
pub fn write(
    path: impl AsRef<Path>,
    entries: &[DiaryEntry],
    start: Option<LocalTime>,
    rate: Rate,
) -> Result<(), FormatError> {
    let path = path.as_ref();
    let text = text_of(entries, start, rate).map_err(|e| FormatError::io(path, "writing", e))?;
    std::fs::write(path, text).map_err(|e| FormatError::io(path, "writing", e))
}

fn text_of(entries: &[DiaryEntry], start: Option<LocalTime>, rate: Rate) -> std::io::Result<Vec<u8>> {
    let mut out = csv::Writer::from_writer(Vec::new());
    out.write_record(COLUMNS)?;
    for entry in entries {
        let ms = rate.ms_from_samples(entry.span.start);
        let time =
            start.filter(|s| date_is_known(*s)).map(|s| iso_date_time(LocalTime(s.0 + ms.round() as i64)));
        let seconds = |samples: i64| format!("{:.6}", rate.seconds_from_samples(samples));
        let duration = if entry.span.is_empty() { String::new() } else { seconds(entry.span.len()) };
        let kind = KINDS.iter().find(|(k, _)| *k == entry.kind).map_or("note", |(_, w)| *w);
        let source = if entry.kind == DiaryKind::Button { "device" } else { "patient" };
        let time = time.unwrap_or_default();
        out.write_record([&time, &seconds(entry.span.start), &duration, kind, &entry.text, source])?;
    }
    out.into_inner().map_err(|e| std::io::Error::other(e.to_string()))
}

/// Windows-1252 as the Unicode consortium's mapping table has it; its five undefined bytes stay as they are.
fn windows_1252(byte: u8) -> char {
    const FROM_0X80: [u16; 32] = [
        0x20ac, 0x81, 0x201a, 0x0192, 0x201e, 0x2026, 0x2020, 0x2021, 0x02c6, 0x2030, 0x0160, 0x2039, 0x0152,
        0x8d, 0x017d, 0x8f, 0x90, 0x2018, 0x2019, 0x201c, 0x201d, 0x2022, 0x2013, 0x2014, 0x02dc, 0x2122,
        0x0161, 0x203a, 0x0153, 0x9d, 0x017e, 0x0178,
    ];
    match byte {
        0x80..=0x9f => char::from_u32(u32::from(FROM_0X80[usize::from(byte) - 0x80])).unwrap_or('?'),
        _ => char::from(byte),
    }
}

#[cfg(test)]
#[path = "diary_tests.rs"]
mod tests;
