//! Reads a table of samples into a recording.

use std::path::Path;
use std::sync::Arc;

use beatledger_core::model::{Identity, Lead, OtherSignal, Rate, Recording, SampleSource, Span, Unit};
use sha2::Sha256;

use super::layout::{Layout, layout, number};
use super::times::{rate_from, segments};
use crate::choose::{Candidate, leads, mv_per_unit};
use crate::error::shown;
use crate::reader::HEAD_BYTES;
use crate::samples::{GAP, Joined};
use crate::source::{Source, hex, text_from_bytes};
use crate::warn::Warnings;
use crate::{FormatError, Reader};

const CHUNK_BYTES: usize = 1 << 18;
const MAX_LINE_BYTES: usize = 1 << 20;
/// Steps of one millivolt: samples are kept to 0.01 microvolt, finer than recorders resolve.
const STEPS_PER_MV: f64 = 100_000.0;
/// Steps of one unit where the unit is not known.
const STEPS_PER_UNIT: f64 = 1000.0;

/// Reads tables of samples.
pub struct TableReader;

impl Reader for TableReader {
    fn name(&self) -> &'static str {
        "table of samples"
    }

    fn recognises(&self, head: &[u8]) -> bool {
        !head.contains(&0) && layout(&text_from_bytes(head).0).is_some()
    }

    fn read(&self, path: &Path) -> Result<Recording, FormatError> {
        let mut source = Source::open(path)?;
        let mut hash = Sha256::default();
        let mut table = Table::at(path);
        let mut buf = vec![0; CHUNK_BYTES];
        let mut line = Vec::new();
        loop {
            let got = source.fill(&mut buf, &mut hash)?;
            for part in buf[..got].split_inclusive(|b| *b == b'\n') {
                line.extend_from_slice(part);
                if line.ends_with(b"\n") {
                    table.line(&line)?;
                    line.clear();
                }
                if line.len() > MAX_LINE_BYTES {
                    let place = format!("line {}", table.lines + 1);
                    let found = format!("{} bytes and more", line.len());
                    return Err(FormatError::malformed(path, place, "a line of at most 1 MiB", found));
                }
            }
            if got < buf.len() {
                break;
            }
        }
        table.line(&line)?;
        table.into_recording(hex(hash))
    }
}

/// The table as it grows line by line.
struct Table<'a> {
    path: &'a Path,
    lines: usize,
    bytes: usize,
    /// Cells that rows lack at their ends; each costs a sample without a byte in the file.
    absent: usize,
    /// The lines before the first row of numbers.
    head: String,
    layout: Option<Layout>,
    /// For each column why it is no lead, or its scale.
    verdicts: Vec<Result<f64, String>>,
    samples: Vec<Vec<i32>>,
    times_s: Vec<f64>,
    warnings: Warnings,
}

impl<'a> Table<'a> {
    fn at(path: &'a Path) -> Self {
        Self {
            path,
            lines: 0,
            bytes: 0,
            absent: 0,
            head: String::new(),
            layout: None,
            verdicts: Vec::new(),
            samples: Vec::new(),
            times_s: Vec::new(),
            warnings: Warnings::default(),
        }
    }

    fn line(&mut self, bytes: &[u8]) -> Result<(), FormatError> {
        self.lines += 1;
        self.bytes += bytes.len();
        let (text, _) = text_from_bytes(bytes);
        let text = text.trim_end();
        if self.layout.is_none() {
            if self.head.len() + text.len() > 2 * HEAD_BYTES as usize {
                let expected = "a row of numbers within the first 8192 bytes";
                return Err(FormatError::malformed(
                    self.path,
                    format!("line {}", self.lines),
                    expected,
                    "none",
                ));
            }
            self.head.push_str(text);
            self.head.push('\n');
            let Some(layout) = layout(&self.head) else { return Ok(()) };
            self.verdicts = verdicts(&layout);
            self.samples = vec![Vec::new(); self.verdicts.len()];
            self.layout = Some(layout);
        }
        if text.is_empty() || text.starts_with('#') {
            return Ok(());
        }
        self.row(text)
    }

    fn row(&mut self, text: &str) -> Result<(), FormatError> {
        let Some(layout) = &self.layout else { return Ok(()) };
        let mut cells = text.split(layout.separator);
        for (i, verdict) in self.verdicts.iter().enumerate() {
            let cell = cells.next();
            self.absent += usize::from(cell.is_none());
            let value = cell.and_then(|c| number(c, layout.separator));
            match (layout.time, verdict) {
                (Some((time, seconds)), _) if time == i => {
                    let Some(value) = value else {
                        let place = format!("line {}", self.lines);
                        let found = shown(cell.unwrap_or_default());
                        return Err(FormatError::malformed(self.path, place, "a time as a number", found));
                    };
                    self.times_s.push(value * seconds);
                }
                (_, Ok(steps)) => {
                    let step = value.map(|v| (v * steps).round()).filter(|s| s.abs() < f64::from(i32::MAX));
                    if step.is_none() && !is_empty(cell) {
                        let text = format!(
                            "Expected a number for {}, found {}; the sample is missing.",
                            shown(&layout.columns[i].name),
                            shown(cell.unwrap_or_default())
                        );
                        self.warnings.add("cell-unreadable", format!("line {}", self.lines), text);
                    }
                    self.samples[i].push(step.map_or(GAP, |s| s as i32));
                }
                _ => {}
            }
        }
        // A short row is read as far as it goes, but short rows may not ask for more memory than the file is long.
        if self.absent > self.bytes / 2 {
            let (columns, cells) = (self.verdicts.len(), text.split(layout.separator).count());
            let place = format!("line {}", self.lines);
            let expected = format!("{columns} cells in nearly every row");
            return Err(FormatError::malformed(
                self.path,
                place,
                expected,
                format!("{cells}, and many such rows"),
            ));
        }
        Ok(())
    }

    fn into_recording(mut self, sha256: String) -> Result<Recording, FormatError> {
        let Some(layout) = self.layout.take() else {
            let expected = "a row of numbers behind a header with a time, or behind a line '# rate_hz='";
            return Err(FormatError::malformed(self.path, "whole file", expected, "none"));
        };
        let others: Vec<OtherSignal> = self.others(&layout);
        let Some(rows) =
            self.verdicts.iter().zip(&self.samples).find(|(v, _)| v.is_ok()).map(|(_, s)| s.len())
        else {
            let names: Vec<_> =
                others.iter().take(8).map(|o| format!("{}: {}", shown(&o.name), o.reason)).collect();
            let what = format!("none of its columns is an ECG lead ({})", names.join("; "));
            return Err(FormatError::unsupported(self.path, what));
        };
        let (rate, segments) = self.place(&layout, rows)?;
        let leads = self.leads(&layout, &segments);
        Ok(Recording {
            name: self.path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default(),
            format: "table of samples".to_owned(),
            sha256,
            identity: Identity::default(),
            start: layout.start,
            rate,
            samples: segments.last().map_or(0, |s| s.end),
            segments,
            leads,
            others,
            diary: Vec::new(),
            warnings: self.warnings.into_list(),
        })
    }

    fn others(&self, layout: &Layout) -> Vec<OtherSignal> {
        let time = layout.time.map(|(i, _)| i);
        let each = layout.columns.iter().zip(&self.verdicts).enumerate().filter(|(i, _)| Some(*i) != time);
        each.filter_map(|(_, (c, v))| Some(OtherSignal { name: c.name.clone(), reason: v.clone().err()? }))
            .collect()
    }

    /// Rate and stretches of so many rows.
    fn place(&self, layout: &Layout, rows: usize) -> Result<(Rate, Vec<Span>), FormatError> {
        let whole = vec![Span::new(0, rows as i64)];
        if layout.time.is_none() {
            // Without a time column the layout has a rate.
            return Ok((layout.rate.unwrap_or(Rate::whole_hz(250)), whole));
        }
        let Some(rate) = layout.rate.or_else(|| rate_from(&self.times_s)) else {
            let expected = "times that give a sampling rate, or a line '# rate_hz='";
            return Err(FormatError::malformed(self.path, "time column", expected, format!("{rows} row(s)")));
        };
        let placed = segments(&self.times_s, rate).map_err(|(row, expected)| {
            let found = format!("{} s", self.times_s[row]);
            FormatError::malformed(self.path, format!("row {}", row + 1), expected, found)
        })?;
        Ok((rate, placed))
    }

    fn leads(&mut self, layout: &Layout, segments: &[Span]) -> Vec<Lead> {
        let mut leads = Vec::new();
        for (i, (column, verdict)) in layout.columns.iter().zip(&self.verdicts).enumerate() {
            let Ok(steps) = verdict else { continue };
            let mv = mv_per_unit(&column.unit);
            if mv.is_none() {
                let text = format!(
                    "{} has no unit; 200 units per mV are assumed, amplitudes are not calibrated.",
                    shown(&column.name)
                );
                self.warnings.add("uncalibrated", format!("column {}", i + 1), text);
            }
            let held = Arc::new(std::mem::take(&mut self.samples[i]));
            let samples: Arc<dyn SampleSource> = match segments.len() {
                1 => held,
                _ => Arc::new(Joined::of_segments(segments, held, Some(GAP))),
            };
            leads.push(Lead {
                name: column.name.clone(),
                unit: if mv.is_some() { Unit::Millivolt } else { Unit::Uncalibrated },
                adc_per_mv: if mv.is_some() { STEPS_PER_MV } else { steps * 200.0 },
                adc_zero: 0.0,
                missing: Some(GAP),
                rails: None,
                prefilter: String::new(),
                samples,
            });
        }
        leads
    }
}

/// Steps of one unit of each lead column, or why the column is no lead.
fn verdicts(layout: &Layout) -> Vec<Result<f64, String>> {
    let time = layout.time.map(|(i, _)| i);
    let candidate = |c| Candidate { name: c, unit: "", per_record: 1 };
    let candidates: Vec<_> = layout
        .columns
        .iter()
        .enumerate()
        .map(|(i, c)| match Some(i) == time {
            true => Candidate { unit: "s", ..candidate("") },
            false => Candidate { unit: &c.unit, ..candidate(&c.name) },
        })
        .collect();
    let steps = |unit: &str| mv_per_unit(unit).map_or(STEPS_PER_UNIT, |mv| mv * STEPS_PER_MV);
    let chosen = leads(&candidates).into_iter().zip(&layout.columns);
    chosen.map(|(verdict, column)| verdict.map(|()| steps(&column.unit))).collect()
}

/// True for a cell that says on purpose that there is no sample.
fn is_empty(cell: Option<&str>) -> bool {
    let word = cell.unwrap_or_default().trim().trim_matches('"').to_ascii_lowercase();
    matches!(word.as_str(), "" | "nan" | "na" | "null" | "-")
}

#[cfg(test)]
#[path = "read_tests.rs"]
mod tests;
