//! How a recording falls into data records, gaps between them included.

use std::path::Path;

use beatledger_core::model::{Lead, Recording, Span};

use super::number::{gcd, seconds_text};
use super::scale::{RangeText, range_text};
use super::write_notes::Annotations;
use crate::FormatError;
use crate::error::shown;
use crate::marks::Marks;
use crate::warn::Warnings;

/// Records longer than this are refused: the rate has no short period.
const MAX_RECORD_BYTES: u64 = 1 << 26;
const MAX_RECORDS: i64 = 99_999_999;
/// The value that stands for 'no sample here' where the lead's own does not fit into 16 bits.
const MISSING: i16 = i16::MIN;

/// One lead as it is written.
pub(super) struct LeadText {
    pub(super) range: RangeText,
    /// What is written where there is no sample; `None` when there is one everywhere.
    pub(super) missing: Option<i16>,
}

/// Samples per record, where each record begins, and what its fields say.
pub(super) struct Layout {
    pub(super) times: Times,
    pub(super) annotations: Annotations,
    pub(super) leads: Vec<LeadText>,
}

impl Layout {
    pub(super) fn of(
        recording: &Recording,
        marks: Option<&Marks>,
        path: &Path,
        warnings: &mut Warnings,
    ) -> Result<Self, FormatError> {
        check(recording).map_err(|what| FormatError::unsupported(path, what))?;
        let times = Times::of(recording).map_err(|what| FormatError::unsupported(path, what))?;
        let padded = times.padded();
        let mut leads = Vec::new();
        for lead in &recording.leads {
            leads
                .push(LeadText { range: range_of(lead, path, warnings)?, missing: missing_of(lead, padded) });
        }
        let annotations = Annotations::of(recording, marks, &times, warnings);
        Ok(Self { times, annotations, leads })
    }

    pub(super) fn record_bytes(&self) -> usize {
        self.times.per_record * 2 * self.leads.len() + self.annotations.bytes
    }
}

fn check(recording: &Recording) -> Result<(), String> {
    if recording.leads.is_empty() || recording.samples <= 0 || recording.segments.is_empty() {
        return Err("a recording without leads or samples cannot be written as EDF+".into());
    }
    if recording.leads.len() > 4000 {
        return Err(format!(
            "EDF+ holds at most 4000 leads here, the recording has {}",
            recording.leads.len()
        ));
    }
    match recording.leads.iter().find(|l| l.samples.len() as i64 != recording.samples) {
        None => Ok(()),
        Some(short) => {
            let (name, len) = (shown(&short.name), short.samples.len());
            Err(format!("lead {name} has {len} samples, the recording {}", recording.samples))
        }
    }
}

/// The value that is written where the lead has no sample.
fn missing_of(lead: &Lead, padded: bool) -> Option<i16> {
    const BLOCK: usize = 1 << 16;
    let own = lead.missing.and_then(|m| i16::try_from(m).ok());
    if own.is_some() || padded {
        return own.or(Some(MISSING));
    }
    let value = lead.missing?;
    let mut raw = vec![0; BLOCK];
    let occurs = (0..lead.samples.len()).step_by(BLOCK).any(|start| {
        let part = &mut raw[..BLOCK.min(lead.samples.len() - start)];
        lead.samples.read(start, part);
        part.contains(&value)
    });
    occurs.then_some(MISSING)
}

fn range_of(lead: &Lead, path: &Path, warnings: &mut Warnings) -> Result<RangeText, FormatError> {
    let Some(range) = range_text(lead) else {
        let what = format!(
            "the gain {} per mV of lead {} does not fit into EDF+",
            lead.adc_per_mv,
            shown(&lead.name)
        );
        return Err(FormatError::unsupported(path, what));
    };
    if range.error > 1e-9 {
        let text = format!(
            "The gain of {} has more digits than EDF+ holds; it was rounded by {:.1e} of the range. Raw samples are exact.",
            shown(&lead.name),
            range.error
        );
        warnings.add("gain-rounded", format!("lead {}", shown(&lead.name)), text);
    }
    Ok(range)
}

/// Where the data records begin.
pub(super) struct Times {
    pub(super) per_record: usize,
    /// Length of a record, ns.
    pub(super) record_ns: i128,
    pub(super) records: usize,
    /// For each stretch with data its first record and its span.
    pieces: Vec<(usize, Span)>,
    rate: (u32, u32),
}

impl Times {
    fn of(recording: &Recording) -> Result<Self, String> {
        let (samples, seconds) = recording.rate.parts();
        let divisor = gcd(u64::from(samples), u64::from(seconds));
        let (whole, whole_s) = (u64::from(samples) / divisor, u64::from(seconds) / divisor);
        if whole * 2 * recording.leads.len() as u64 > MAX_RECORD_BYTES {
            return Err(format!(
                "the rate {samples}/{seconds} Hz gives data records that are too long for EDF+"
            ));
        }
        // Both are at most 2^32, so that products with 10^9 stay within 128 bits.
        let whole_ns = i128::from(whole_s) * 1_000_000_000;
        let parts = record_parts(&recording.segments, whole as i64, whole_ns).ok_or(
            "the gaps of the recording are shorter than any data record of EDF+ that its rate allows",
        )?;
        let per_record = whole as i64 / parts;
        let mut pieces = Vec::with_capacity(recording.segments.len());
        let mut records = 0i64;
        for span in &recording.segments {
            pieces.push((records as usize, *span));
            records += span.len().max(1).div_euclid(per_record) + i64::from(span.len() % per_record > 0);
        }
        if records > MAX_RECORDS {
            return Err(format!("EDF+ holds at most {MAX_RECORDS} data records, {records} are needed"));
        }
        Ok(Self {
            per_record: per_record as usize,
            record_ns: whole_ns / i128::from(parts),
            records: records as usize,
            pieces,
            rate: (samples, seconds),
        })
    }

    /// Length of a record as the header states it.
    pub(super) fn duration_text(&self) -> String {
        seconds_text(self.record_ns)
    }

    pub(super) fn has_gaps(&self) -> bool {
        self.pieces.len() > 1
    }

    /// True when a record reaches behind its stretch of data, so that something must stand there; the last record of a
    /// recording without gaps does not count, as its true length is told apart.
    fn padded(&self) -> bool {
        self.has_gaps() && self.pieces.iter().any(|(_, s)| s.len() % self.per_record as i64 > 0)
    }

    fn piece(&self, record: usize) -> (usize, Span) {
        let at = self.pieces.partition_point(|(first, _)| *first <= record).saturating_sub(1);
        self.pieces.get(at).copied().unwrap_or((0, Span::new(0, 0)))
    }

    /// The samples of a record that there are.
    pub(super) fn samples_of(&self, record: usize) -> Span {
        let (first, span) = self.piece(record);
        let start = span.start + ((record - first) * self.per_record) as i64;
        Span::new(start, (start + self.per_record as i64).min(span.end))
    }

    /// Time of a sample from the start of the recording, ns.
    pub(super) fn ns(&self, sample: i64) -> i128 {
        i128::from(sample) * i128::from(self.rate.1) * 1_000_000_000 / i128::from(self.rate.0)
    }

    /// The record in which a sample lies, or the last one that begins before it.
    pub(super) fn record_of(&self, sample: i64) -> usize {
        let at = self.pieces.partition_point(|(_, s)| s.start <= sample).saturating_sub(1);
        let Some((first, span)) = self.pieces.get(at) else { return 0 };
        let inside = (sample.min(span.end - 1) - span.start).max(0) as usize;
        (first + inside / self.per_record).min(self.records.saturating_sub(1))
    }
}

/// In how many parts a record of whole seconds is divided so that no record reaches into the next stretch of data:
/// in none where there are no gaps; else so that stretches are filled exactly, where a few parts do that.
fn record_parts(segments: &[Span], whole: i64, whole_ns: i128) -> Option<i64> {
    const FEW: i64 = 16;
    if segments.len() < 2 {
        return Some(1);
    }
    let fits = |parts: &i64| {
        let per_record = whole / parts;
        let text = seconds_text(whole_ns / i128::from(*parts));
        whole % parts == 0
            && whole_ns % i128::from(*parts) == 0
            && text.len() <= 8
            && segments.windows(2).all(|pair| {
                let records = pair[0].len() / per_record + i64::from(pair[0].len() % per_record > 0);
                pair[0].start + records * per_record <= pair[1].start
            })
    };
    let fills = |parts: &i64| segments.iter().all(|s| s.len() % (whole / parts) == 0);
    let few = (1..=FEW.min(whole)).filter(fits).find(fills);
    few.or_else(|| (1..=whole.min(100_000)).find(fits))
}
