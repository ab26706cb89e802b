//! The annotation signal of a file that is written: time keeping, diary, beats and events, dealt out to the data
//! records.

use std::collections::VecDeque;

use beatledger_core::model::{EventState, Recording};

use super::mark::Mark;
use super::number::seconds_text;
use super::tal;
use super::write_layout::Times;
use crate::marks::Marks;
use crate::warn::Warnings;

const MAX_TEXT_BYTES: usize = 4096;
/// The room of a record grows by so many bytes until every entry finds a place.
const STEP_BYTES: usize = 8;

/// The annotation signal: entries, dealt out to the records.
pub(super) struct Annotations {
    /// Bytes of the signal in each record, an even number.
    pub(super) bytes: usize,
    /// Entries with the record at which they begin, in order.
    entries: Vec<(usize, Vec<u8>)>,
    /// Part of a second by which the recording starts after its header time, ns.
    start_ns: i128,
}

impl Annotations {
    pub(super) fn of(
        recording: &Recording,
        marks: Option<&Marks>,
        times: &Times,
        warnings: &mut Warnings,
    ) -> Self {
        let start_ns = recording.start.map_or(0, |s| i128::from(s.0.rem_euclid(1000)) * 1_000_000);
        let mut out = Self { bytes: 0, entries: Vec::new(), start_ns };
        for entry in &recording.diary {
            let mut text = tal::text_with_kind(entry.kind, &entry.text);
            if text.len() > MAX_TEXT_BYTES {
                let cut = (0..=MAX_TEXT_BYTES).rev().find(|i| text.is_char_boundary(*i)).unwrap_or(0);
                text.truncate(cut);
                warnings.add("text-cut", "", "A diary text was cut to 4096 bytes.");
            }
            out.push(times, (entry.span.start, entry.span.len()), &text);
        }
        if let Some(marks) = marks {
            out.push_marks(marks, times);
        }
        out.entries.sort_by_key(|(record, _)| *record);
        let longest = out.entries.iter().map(|(_, b)| b.len()).max().unwrap_or(0);
        out.bytes = (out.keeping(times, times.records).len() + longest).next_multiple_of(2).max(32);
        // Entries may wait for a later record; only when some never find room is more room needed.
        while !out.fits(times) {
            out.bytes += STEP_BYTES;
        }
        out
    }

    fn push_marks(&mut self, marks: &Marks, times: &Times) {
        for beat in &marks.beats {
            let mark = Mark::Beat { class: beat.class, origin: beat.origin };
            self.push(times, (beat.sample, 0), &mark.text());
        }
        for event in marks.events.iter().filter(|e| e.state != EventState::Dropped) {
            let mark = Mark::Event { kind: event.kind, origin: event.origin, note: event.note.clone() };
            self.push(times, (event.span.start, event.span.len()), &mark.text());
        }
    }

    fn push(&mut self, times: &Times, (start, len): (i64, i64), text: &str) {
        let onset = seconds_text(times.ns(start) + self.start_ns);
        let duration = (len > 0).then(|| seconds_text(times.ns(len)));
        self.entries.push((times.record_of(start), tal::bytes(&onset, duration.as_deref(), text)));
    }

    /// The time-keeping entry that each record begins with.
    fn keeping(&self, times: &Times, record: usize) -> Vec<u8> {
        let ns = times.ns(times.samples_of(record).start) + self.start_ns;
        // With an empty text an entry is exactly the time-keeping form.
        tal::bytes(&seconds_text(ns), None, "")
    }

    fn fits(&self, times: &Times) -> bool {
        let mut queue = self.queue();
        let mut block = Vec::new();
        for record in 0..times.records {
            if queue.front().is_none() {
                return true;
            }
            self.fill(record, times, &mut queue, &mut block);
        }
        queue.is_empty()
    }

    pub(super) fn queue(&self) -> VecDeque<&(usize, Vec<u8>)> {
        self.entries.iter().collect()
    }

    /// The block of one record: time keeping, then the entries that are due and find room.
    pub(super) fn fill(
        &self,
        record: usize,
        times: &Times,
        queue: &mut VecDeque<&(usize, Vec<u8>)>,
        block: &mut Vec<u8>,
    ) {
        block.clear();
        block.extend(self.keeping(times, record));
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
