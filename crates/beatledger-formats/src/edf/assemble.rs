//! Puts header and data of an EDF file together into a recording.

use std::path::Path;
use std::sync::Arc;

use beatledger_core::model::{DiaryEntry, Identity, Lead, LocalTime, Recording, SampleSource, Span};

use super::data::{Data, missing_of};
use super::header::{Family, Header, Kind};
use super::identity::{
    RecordingField, patient_from_plus, recording_from_plus, three_numbers, year_from_two_digits,
};
use super::plan::Plan;
use super::records::{Timeline, timeline};
use super::tal;
use crate::FormatError;
use crate::bytes::Bytes;
use crate::error::shown;
use crate::samples::{GAP, Joined};
use crate::stored::{Stored, Width};
use crate::time::{local_time_from_ymd_hms, local_time_without_date};
use crate::warn::Warnings;

/// All that the recording is made of.
pub(super) struct Parts<'a> {
    pub(super) path: &'a Path,
    pub(super) header: &'a Header,
    pub(super) plan: Plan,
    pub(super) data: Data,
    pub(super) bytes: Arc<Bytes>,
    /// Where in the bytes the first record begins.
    pub(super) data_at: u64,
    /// Whole records in the bytes; fewer may have been looked at.
    pub(super) records: usize,
    pub(super) warnings: Warnings,
}

impl Parts<'_> {
    pub(super) fn into_recording(mut self, sha256: String) -> Result<Recording, FormatError> {
        let is_plus = self.header.kind != Kind::Plain;
        let field =
            if is_plus { recording_from_plus(&self.header.recording) } else { RecordingField::default() };
        let segments = self.segments(field.samples)?;
        let samples = segments.last().map_or(0, |s| s.end);
        let first_s = self.data.onsets.first().copied().flatten().unwrap_or(0.0);
        let start = self.start(field.date, first_s);
        let diary = self.diary(first_s, samples);
        let identity = match is_plus {
            true => Identity { recorder: field.recorder, ..patient_from_plus(&self.header.patient) },
            false => Identity {
                name: self.header.patient.clone(),
                recorder: self.header.recording.clone(),
                ..Identity::default()
            },
        };
        let kind = match self.header.kind {
            Kind::Plain => "",
            Kind::PlusContinuous => "+C",
            Kind::PlusDiscontinuous => "+D",
        };
        let leads = self.leads(&segments);
        Ok(Recording {
            name: self.path.file_stem().map(|s| s.to_string_lossy().into_owned()).unwrap_or_default(),
            format: format!("{}{kind}", self.header.family.name()),
            sha256,
            identity,
            start,
            rate: self.plan.rate,
            samples,
            segments,
            leads,
            others: self.plan.others,
            diary,
            warnings: self.warnings.into_list(),
        })
    }

    /// Where the data lie; `said` is the number of samples before the last record was filled up.
    fn segments(&mut self, said: Option<i64>) -> Result<Vec<Span>, FormatError> {
        let per_record = i64::from(self.plan.per_record);
        let total = self.records as i64 * per_record;
        let end = said.filter(|n| (total - per_record + 1..=total).contains(n)).unwrap_or(total);
        if self.data.onsets.len() < self.records {
            return Ok(vec![Span::new(0, end)]);
        }
        let silent = self.data.onsets.iter().filter(|o| o.is_none()).count();
        if self.header.kind != Kind::Plain && silent > 0 {
            let text = format!(
                "{silent} data records do not say when they begin; they were taken to follow the one before."
            );
            self.warnings.add("time-keeping", "", text);
        }
        match timeline(&self.data.onsets, self.plan.rate, per_record) {
            Timeline::Continuous => {}
            Timeline::Segments(mut segments) => {
                if self.header.kind != Kind::PlusDiscontinuous {
                    let text = format!(
                        "The file says it is continuous, its times give {} segments; they are kept apart.",
                        segments.len()
                    );
                    self.warnings.add("not-continuous", "", text);
                }
                if let (Some(last), Some(said)) = (segments.last_mut(), said)
                    && (last.end - per_record + 1..=last.end).contains(&said)
                {
                    last.end = said;
                }
                return Ok(segments);
            }
            Timeline::Broken(record, found) if self.header.kind == Kind::PlusDiscontinuous => {
                let place = format!("record {}", record + 1);
                let expected = "data records in order of time, without overlap";
                return Err(FormatError::malformed(self.path, place, expected, found));
            }
            Timeline::Broken(record, found) => {
                let text =
                    format!("Expected data records in order of time, found {found}; the times were ignored.");
                self.warnings.add("time-keeping", format!("record {}", record + 1), text);
            }
        }
        Ok(vec![Span::new(0, end)])
    }

    /// Wall clock of the first sample: EDF+ four-digit date first, then the 8-byte fields; the fraction of a
    /// second comes from the first record.
    fn start(&mut self, plus_date: Option<Option<(i32, u32, u32)>>, first_s: f64) -> Option<LocalTime> {
        let time = self.three("start time", "byte 176", &self.header.time.clone());
        let date = self.three("start date", "byte 168", &self.header.date.clone());
        let date = date.map(|[d, m, yy]| (year_from_two_digits(yy), m, d));
        let date = match (plus_date, date) {
            (Some(None), Some((1985, 1, 1)) | None) => None,
            (Some(Some(plus)), Some(short)) if plus != short => {
                let text = format!(
                    "The start date is {:04}-{:02}-{:02} in the recording field and {:04}-{:02}-{:02} in the date field; the first was taken.",
                    plus.0, plus.1, plus.2, short.0, short.1, short.2
                );
                self.warnings.add("dates-differ", "byte 168", text);
                Some(plus)
            }
            (Some(Some(plus)), _) => Some(plus),
            (None, Some(short)) => {
                let text = format!(
                    "The start year has two digits, {:02}; it was read as {}.",
                    short.0 % 100,
                    short.0
                );
                self.warnings.add("year-two-digits", "byte 168", text);
                Some(short)
            }
            (_, short) => short,
        };
        let [h, m, s] = time?;
        let start = match date {
            Some(date) => local_time_from_ymd_hms(date, (h, m, s, 0)),
            None => None,
        };
        let start = start.or_else(|| {
            let text = "The start date is unknown; only the time of day is known.";
            self.warnings.add("date-unknown", "byte 168", text);
            // Midnight on an unknown date is how an unknown start is written.
            local_time_without_date(h, m, s, 0).filter(|t| t.0 != 0)
        })?;
        if !(0.0..1.0).contains(&first_s) {
            let text =
                format!("Expected the first data record within a second of the start, found {first_s} s.");
            self.warnings.add("start-offset", "record 1", text);
        }
        Some(LocalTime(start.0 + (first_s * 1000.0).round() as i64))
    }

    fn three(&mut self, what: &str, place: &str, text: &str) -> Option<[u32; 3]> {
        match three_numbers(text) {
            Some((numbers, true)) => Some(numbers),
            Some((numbers, false)) => {
                let message = format!("Expected points in the {what}, found {}; it was read.", shown(text));
                self.warnings.add("date-separator", place, message);
                Some(numbers)
            }
            None => {
                let message = format!(
                    "Expected a {what} of three two-digit numbers, found {}; it is unknown.",
                    shown(text)
                );
                self.warnings.add("start-unreadable", place, message);
                None
            }
        }
    }

    fn diary(&mut self, first_s: f64, samples: i64) -> Vec<DiaryEntry> {
        let mut diary = Vec::with_capacity(self.data.notes.len());
        for (onset_s, duration_s, text) in std::mem::take(&mut self.data.notes) {
            let start = self.plan.rate.samples_from_seconds(onset_s - first_s);
            if !(0..=samples).contains(&start) {
                let message = format!(
                    "{} stands at {onset_s} s, outside the recording; it was moved to the edge.",
                    shown(&text)
                );
                self.warnings.add("annotation-outside", "", message);
            }
            let start = start.clamp(0, samples);
            let end = start.saturating_add(self.plan.rate.samples_from_seconds(duration_s)).min(samples);
            let (kind, text) = tal::kind_and_text(&text);
            diary.push(DiaryEntry { span: Span::new(start, end), kind, text: text.to_owned() });
        }
        diary.sort_by_key(|e| e.span);
        diary
    }

    fn leads(&mut self, segments: &[Span]) -> Vec<Lead> {
        let held: i64 = segments.iter().map(|s| s.len()).sum();
        let mut leads = Vec::with_capacity(self.plan.leads.len());
        for (k, (i, calibration)) in self.plan.leads.iter().enumerate() {
            let signal = &self.header.signals[*i];
            let name = if signal.label.is_empty() { format!("ECG {}", i + 1) } else { signal.label.clone() };
            if self.data.outside[k] > 0 {
                let (low, high) = signal.digital.unwrap_or_default();
                let text = format!(
                    "{} samples of {} lie outside its digital range {low} to {high}; they were kept.",
                    self.data.outside[k],
                    shown(&name)
                );
                self.warnings.add("range", format!("signal {}", i + 1), text);
            }
            let gaps = segments.len() > 1;
            let own = missing_of(signal);
            let missing = own.or((gaps || !self.bytes.in_memory()).then_some(GAP));
            let stored = Arc::new(self.stored(*i, held as usize, own.unwrap_or(GAP)));
            let samples: Arc<dyn SampleSource> = match gaps {
                true => Arc::new(Joined::of_segments(segments, stored, own)),
                false => stored,
            };
            leads.push(Lead {
                name,
                unit: calibration.unit.clone(),
                adc_per_mv: calibration.adc_per_mv,
                adc_zero: calibration.adc_zero,
                missing: if gaps { Some(GAP) } else { missing },
                rails: signal.digital,
                prefilter: signal.prefilter.clone(),
                samples,
            });
        }
        leads
    }

    /// The samples of signal `i` where they lie.
    fn stored(&self, i: usize, len: usize, lost: i32) -> Stored {
        Stored {
            bytes: Arc::clone(&self.bytes),
            first: self.data_at + self.header.shape.parts[i].0,
            step: self.header.shape.bytes,
            per_record: self.plan.per_record as usize,
            width: match self.header.family {
                Family::Edf => Width::Two,
                Family::Bdf => Width::Three,
            },
            len,
            lost,
        }
    }
}
