//! The samples and annotations of the data records, read in one pass.

use sha2::Sha256;

use super::header::{Family, Header, Signal};
use super::mark::Mark;
use super::plan::Plan;
use super::tal;
use crate::FormatError;
use crate::samples::{Store, i32_from_24_bits};
use crate::source::Source;
use crate::warn::Warnings;

/// About this many bytes are read at a time.
const CHUNK_BYTES: u64 = 1 << 20;
/// More diary entries than this are counted, not kept.
const MAX_ENTRIES: usize = 100_000;

/// What the data records hold.
pub(super) struct Data {
    pub(super) signals: Vec<Store>,
    /// Samples outside the digital range, for each lead.
    pub(super) outside: Vec<u64>,
    /// Onset of each record, where it says so.
    pub(super) onsets: Vec<Option<f64>>,
    /// Onset, duration and text of each annotation.
    pub(super) notes: Vec<(f64, f64, String)>,
}

impl Data {
    /// Reads so many whole records.
    pub(super) fn read(
        source: &mut Source,
        header: &Header,
        plan: &Plan,
        records: u64,
        hash: &mut Sha256,
        warnings: &mut Warnings,
    ) -> Result<Self, FormatError> {
        let samples = (records * u64::from(plan.per_record)) as usize;
        let mut data = Self {
            signals: plan
                .leads
                .iter()
                .map(|_| Store::with_capacity(header.family == Family::Bdf, samples))
                .collect(),
            outside: vec![0; plan.leads.len()],
            onsets: Vec::new(),
            notes: Vec::new(),
        };
        // A record is no longer than the file: at least one whole record is there.
        let record_bytes = header.shape.bytes as usize;
        let at_once = (CHUNK_BYTES / header.shape.bytes).clamp(1, records);
        let mut buf = vec![0; at_once as usize * record_bytes];
        let mut left = records;
        while left > 0 {
            let want = at_once.min(left) as usize * record_bytes;
            let got = source.fill(&mut buf[..want], hash)?;
            for record in buf[..got].chunks_exact(record_bytes) {
                data.add_record(record, header, plan, warnings);
            }
            if got < want {
                break;
            }
            left -= at_once.min(left);
        }
        Ok(data)
    }

    fn add_record(&mut self, record: &[u8], header: &Header, plan: &Plan, warnings: &mut Warnings) {
        // The shape's parts lie within the record by construction.
        let part = |i: usize| {
            let (at, len) = header.shape.parts[i];
            &record[at as usize..(at + len) as usize]
        };
        for (k, (i, _)) in plan.leads.iter().enumerate() {
            let before = self.signals[k].len();
            match header.family {
                Family::Edf => {
                    let samples = part(*i).as_chunks().0.iter().map(|b| i32::from(i16::from_le_bytes(*b)));
                    self.signals[k].extend(samples);
                }
                Family::Bdf => {
                    let samples = part(*i).as_chunks().0.iter().map(|b| i32_from_24_bits(*b));
                    self.signals[k].extend(samples);
                }
            }
            let (low, high) = header.signals[*i].digital.unwrap_or((i32::MIN, i32::MAX));
            if low > header.family.range().0 || high < header.family.range().1 {
                let missing = missing_of(&header.signals[*i]);
                let mut outside = 0;
                self.signals[k].each(before, |s| {
                    outside += u64::from(!(low..=high).contains(&s) && Some(s) != missing);
                });
                self.outside[k] += outside;
            }
        }
        let number = self.onsets.len() + 1;
        let mut onset = None;
        for (k, i) in plan.annotations.iter().enumerate() {
            self.add_annotations(part(*i), k == 0, number, &mut onset, warnings);
        }
        self.onsets.push(onset);
    }

    fn add_annotations(
        &mut self,
        block: &[u8],
        keeps_time: bool,
        record: usize,
        onset: &mut Option<f64>,
        warnings: &mut Warnings,
    ) {
        let place = || format!("record {record}");
        for (n, entry) in tal::parse(block).enumerate() {
            let entry = match entry {
                Ok(entry) => entry,
                Err(what) => {
                    let text = format!("An annotation was skipped: {what}.");
                    warnings.add("annotation-skipped", place(), text);
                    continue;
                }
            };
            if !entry.is_utf8 {
                warnings.add("text-encoding", place(), "An annotation is not UTF-8; it was read as Latin-1.");
            }
            if n == 0 && keeps_time && entry.texts.first().is_some_and(String::is_empty) {
                *onset = Some(entry.onset_s);
            }
            let is_word = |t: &String| !t.trim().is_empty() && Mark::from_text(t).is_none();
            for text in entry.texts.into_iter().filter(is_word) {
                if self.notes.len() < MAX_ENTRIES {
                    self.notes.push((entry.onset_s, entry.duration_s, text));
                } else {
                    warnings.add(
                        "annotation-limit",
                        place(),
                        "More than 100000 annotations; the rest was left out.",
                    );
                }
            }
        }
    }
}

/// Our own mark in the reserved field of a signal: the value that means 'no sample here'.
pub(super) fn missing_of(signal: &Signal) -> Option<i32> {
    signal.reserved.strip_prefix("missing=")?.parse().ok()
}
