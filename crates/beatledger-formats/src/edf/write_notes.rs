//! The annotation signal of a file that is written: time keeping and diary, dealt out to the data records.

use std::collections::VecDeque;

use beatledger_core::model::Recording;

use super::number::seconds_text;
use super::tal;
use crate::warn::Warnings;

const MAX_TEXT_BYTES: usize = 4096;

/// The annotation signal: the diary as entries, dealt out to the records.
pub(super) struct Annotations {
    /// Bytes of the signal in each record, an even number.
    pub(super) bytes: usize,
    /// Entries with the record at which they begin, in order.
    entries: Vec<(usize, Vec<u8>)>,
    /// Part of a second by which the recording starts after its header time, ns.
    start_ns: i128,
    seconds: u32,
}

impl Annotations {
    pub(super) fn of(recording: &Recording, seconds: u32, records: usize, warnings: &mut Warnings) -> Self {
        let start_ns = recording.start.map_or(0, |s| i128::from(s.0.rem_euclid(1000)) * 1_000_000);
        let (num, den) = recording.rate.parts();
        let ns = |sample: i64| i128::from(sample) * i128::from(den) * 1_000_000_000 / i128::from(num);
        let mut entries = Vec::new();
        for entry in &recording.diary {
            let onset = seconds_text(ns(entry.span.start) + start_ns);
            let duration = (!entry.span.is_empty()).then(|| seconds_text(ns(entry.span.len())));
            let mut text = tal::text_with_kind(entry.kind, &entry.text);
            if text.len() > MAX_TEXT_BYTES {
                let cut = (0..=MAX_TEXT_BYTES).rev().find(|i| text.is_char_boundary(*i)).unwrap_or(0);
                text.truncate(cut);
                warnings.add("text-cut", "", "A diary text was cut to 4096 bytes.");
            }
            let record = ns(entry.span.start).max(0) / (i128::from(seconds) * 1_000_000_000);
            let record = usize::try_from(record).unwrap_or(usize::MAX).min(records - 1);
            entries.push((record, tal::bytes(&onset, duration.as_deref(), &text)));
        }
        entries.sort_by_key(|(record, _)| *record);
        let mut out = Self { bytes: 0, entries, start_ns, seconds };
        let longest = out.entries.iter().map(|(_, b)| b.len()).max().unwrap_or(0);
        out.bytes = (out.keeping(records).len() + longest).next_multiple_of(2).max(32);
        // Entries may wait for a later record; only when some never find room is more room needed.
        while !out.fits(records) {
            out.bytes *= 2;
        }
        out
    }

    /// The time-keeping entry that each record begins with.
    fn keeping(&self, record: usize) -> Vec<u8> {
        let ns = record as i128 * i128::from(self.seconds) * 1_000_000_000 + self.start_ns;
        // With an empty text an entry is exactly the time-keeping form.
        tal::bytes(&seconds_text(ns), None, "")
    }

    fn fits(&self, records: usize) -> bool {
        let mut queue = self.queue();
        let mut block = Vec::new();
        for record in 0..records {
            if queue.front().is_none() {
                return true;
            }
            self.fill(record, &mut queue, &mut block);
        }
        queue.is_empty()
    }

    pub(super) fn queue(&self) -> VecDeque<&(usize, Vec<u8>)> {
        self.entries.iter().collect()
    }

    /// The block of one record: time keeping, then the entries that are due and find room.
    pub(super) fn fill(&self, record: usize, queue: &mut VecDeque<&(usize, Vec<u8>)>, block: &mut Vec<u8>) {
        block.clear();
        block.extend(self.keeping(record));
        while let Some((due, bytes)) = queue.front() {
            if *due > record || block.len() + bytes.len() > self.bytes {
                break;
            }
            block.extend(bytes);
            queue.pop_front();
        }
        block.resize(self.bytes, 0);
    }
}
