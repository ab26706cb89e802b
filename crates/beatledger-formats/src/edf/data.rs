//! What the data records hold besides samples: times, annotations, and how many samples lie outside their range.

use sha2::Sha256;

use super::header::{Family, Header, Signal};
use super::mark::Mark;
use super::plan::Plan;
use super::tal;
use crate::FormatError;
use crate::bytes::IN_MEMORY_BYTES;
use crate::samples::i32_from_24_bits;
use crate::source::Source;
use crate::warn::Warnings;

/// About this many bytes are read at a time.
const CHUNK_BYTES: u64 = 1 << 20;
/// More diary entries than this are counted, not kept.
const MAX_ENTRIES: usize = 100_000;

/// What the data records hold.
#[derive(Default)]
pub(super) struct Data {
    /// The bytes of the records, where they are few enough to be kept.
    pub(super) kept: Option<Vec<u8>>,
    /// Samples outside the digital range, for each lead.
    pub(super) outside: Vec<u64>,
    /// Onset of each record that was looked at, where it says so.
    pub(super) onsets: Vec<Option<f64>>,
    /// Onset, duration and text of each annotation.
    pub(super) notes: Vec<(f64, f64, String)>,
}

impl Data {
    /// Reads so many whole records; their bytes are kept when they are few enough.
    pub(super) fn read(
        source: &mut Source,
        header: &Header,
        plan: &Plan,
        records: u64,
        hash: &mut Sha256,
        warnings: &mut Warnings,
    ) -> Result<Self, FormatError> {
        let mut data = Self { outside: vec![0; plan.leads.len()], ..Self::default() };
        // A record is no longer than the file: at least one whole record is there.
        let record_bytes = header.shape.bytes as usize;
        let at_once = (CHUNK_BYTES / header.shape.bytes).clamp(1, records);
        let all_bytes = records * header.shape.bytes;
        let keep = all_bytes <= IN_MEMORY_BYTES;
        let mut buf =
            Vec::with_capacity(if keep { all_bytes } else { at_once * header.shape.bytes } as usize);
        let mut left = records;
        while left > 0 {
            if !keep {
                buf.clear();
            }
            let from = buf.len();
            let want = at_once.min(left) as usize * record_bytes;
            source.append(&mut buf, want, hash)?;
            for record in buf[from..].chunks_exact(record_bytes) {
                data.add_record(record, header, plan, warnings);
            }
            if buf.len() - from < want {
                break;
            }
            left -= at_once.min(left);
        }
        data.kept = keep.then_some(buf);
        Ok(data)
    }

    pub(super) fn add_record(
        &mut self,
        record: &[u8],
        header: &Header,
        plan: &Plan,
        warnings: &mut Warnings,
    ) {
        // The shape's parts lie within the record by construction.
        let part = |i: usize| {
            let (at, len) = header.shape.parts[i];
            &record[at as usize..(at + len) as usize]
        };
        for (outside, (i, _)) in self.outside.iter_mut().zip(&plan.leads) {
            *outside += count_outside(part(*i), &header.signals[*i], header.family);
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

/// Samples that lie outside the digital range of their signal.
fn count_outside(part: &[u8], signal: &Signal, family: Family) -> u64 {
    let (low, high) = signal.digital.unwrap_or((i32::MIN, i32::MAX));
    if low <= family.range().0 && high >= family.range().1 {
        return 0;
    }
    let missing = missing_of(signal);
    let is_outside = |s: i32| !(low..=high).contains(&s) && Some(s) != missing;
    let count = match family {
        Family::Edf => {
            part.as_chunks().0.iter().filter(|b| is_outside(i16::from_le_bytes(**b).into())).count()
        }
        Family::Bdf => part.as_chunks().0.iter().filter(|b| is_outside(i32_from_24_bits(**b))).count(),
    };
    count as u64
}

/// Our own mark in the reserved field of a signal: the value that means 'no sample here'.
pub(super) fn missing_of(signal: &Signal) -> Option<i32> {
    signal.reserved.strip_prefix("missing=")?.parse().ok()
}
