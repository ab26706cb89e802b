//! Samples of one signal as they lie in the records of a file, turned into numbers when they are asked for.

use std::sync::Arc;

use beatledger_core::model::SampleSource;

use crate::bytes::Bytes;
use crate::samples::i32_from_24_bits;

/// About this many bytes are looked at together, so that they stay in the processor's cache.
const LOOK_BYTES: u64 = 1 << 16;
/// Records of which a signal fills less than this part are looked at one by one.
const SPARSE: u64 = 16;

/// How a sample is written; both are little-endian with a sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Width {
    Two,
    Three,
}

impl Width {
    pub(crate) fn bytes(self) -> usize {
        match self {
            Self::Two => 2,
            Self::Three => 3,
        }
    }

    /// Turns bytes into as many numbers as `out` has room for; neighbours stand `step` bytes apart.
    fn decode(self, bytes: &[u8], step: usize, out: &mut [i32]) {
        let two = |b: [u8; 2]| i32::from(i16::from_le_bytes(b));
        let pairs = out.iter_mut();
        match (self, step == self.bytes()) {
            (Self::Two, true) => pairs.zip(bytes.as_chunks().0).for_each(|(to, b)| *to = two(*b)),
            (Self::Three, true) => {
                pairs.zip(bytes.as_chunks().0).for_each(|(to, b)| *to = i32_from_24_bits(*b));
            }
            (Self::Two, false) => {
                pairs.zip(bytes.chunks(step)).for_each(|(to, b)| *to = b.first_chunk().map_or(0, |b| two(*b)))
            }
            (Self::Three, false) => pairs
                .zip(bytes.chunks(step))
                .for_each(|(to, b)| *to = b.first_chunk().map_or(0, |b| i32_from_24_bits(*b))),
        }
    }
}

/// Where the samples of one signal lie.
#[derive(Clone, Debug)]
pub(crate) struct Stored {
    pub(crate) bytes: Arc<Bytes>,
    /// Byte of the first sample.
    pub(crate) first: u64,
    /// Bytes from one record to the next; at least as many as the samples of a record take.
    pub(crate) step: u64,
    /// Samples of this signal in a record, 1 or more.
    pub(crate) per_record: usize,
    pub(crate) width: Width,
    pub(crate) len: usize,
    /// What a sample reads as when its bytes are gone.
    pub(crate) lost: i32,
}

impl Stored {
    fn byte_of(&self, sample: usize) -> u64 {
        let (record, within) = (sample / self.per_record, sample % self.per_record);
        self.first + record as u64 * self.step + (within * self.width.bytes()) as u64
    }

    /// Samples from `start` on that are looked at together.
    fn together(&self, start: usize) -> usize {
        let part = (self.per_record * self.width.bytes()) as u64;
        let records = if self.step > SPARSE * part { 1 } else { (LOOK_BYTES / self.step).max(1) as usize };
        records * self.per_record - start % self.per_record
    }

    /// Deals out the bytes from the one of sample `start` on.
    fn deal(&self, bytes: &[u8], start: usize, out: &mut [i32]) {
        let width = self.width.bytes();
        let step = self.step as usize;
        if self.per_record == 1 {
            return self.width.decode(bytes, step, out);
        }
        let between = step - self.per_record * width;
        let (mut at, mut done, mut within) = (0, 0, start % self.per_record);
        while done < out.len() {
            let run = (self.per_record - within).min(out.len() - done);
            // The caller looked at all bytes up to the last sample of `out`.
            let part = bytes.get(at..at + run * width).unwrap_or_default();
            self.width.decode(part, width, &mut out[done..done + run]);
            at += run * width + between;
            done += run;
            within = 0;
        }
    }
}

impl SampleSource for Stored {
    fn len(&self) -> usize {
        self.len
    }

    fn read(&self, start: usize, out: &mut [i32]) {
        let mut scratch = Vec::new();
        let mut done = 0;
        while done < out.len() {
            let from = start + done;
            let run = self.together(from).min(out.len() - done);
            let part = &mut out[done..done + run];
            let (first, last) = (self.byte_of(from), self.byte_of(from + run - 1));
            let len = (last - first) as usize + self.width.bytes();
            match self.bytes.look(first, len, &mut scratch) {
                Some(bytes) => self.deal(bytes, from, part),
                None => part.fill(self.lost),
            }
            done += run;
        }
    }

    fn bytes(&self) -> usize {
        if self.bytes.in_memory() { self.len * self.width.bytes() } else { 0 }
    }
}

#[cfg(test)]
mod tests {
    use std::fs::File;

    use super::*;

    /// Three records: two bytes of something else, four samples, one byte of something else.
    fn made(width: Width, folder: &tempfile::TempDir, in_memory: bool) -> Stored {
        let mut bytes = vec![9; 5];
        for record in 0..3i32 {
            bytes.extend([7, 7]);
            for k in 0..4 {
                let value = (record * 4 + k - 6) * 1000;
                bytes.extend(&value.to_le_bytes()[..width.bytes()]);
            }
            bytes.push(7);
        }
        let path = folder.path().join("made");
        std::fs::write(&path, &bytes).unwrap();
        let bytes = if in_memory { Bytes::Memory(bytes) } else { Bytes::File(File::open(path).unwrap()) };
        let step = 3 + 4 * width.bytes() as u64;
        Stored { bytes: Arc::new(bytes), first: 7, step, per_record: 4, width, len: 12, lost: i32::MIN }
    }

    #[test]
    fn any_stretch_of_samples_reads_as_written_from_memory_and_from_the_file() {
        let folder = tempfile::tempdir().unwrap();
        let cases = [(Width::Two, true), (Width::Two, false), (Width::Three, true), (Width::Three, false)];
        for (width, in_memory) in cases {
            let source = made(width, &folder, in_memory);
            for start in 0..12 {
                for end in start..=12 {
                    let mut out = vec![0; end - start];
                    source.read(start, &mut out);
                    let expected: Vec<i32> = (start..end).map(|i| (i as i32 - 6) * 1000).collect();
                    assert_eq!(out, expected, "{width:?} {start}..{end}");
                }
            }
        }
    }

    #[test]
    fn single_samples_that_stand_apart_are_told_from_those_between() {
        let bytes = Arc::new(Bytes::Memory((0..12u8).flat_map(|i| [i, 0]).collect()));
        let lead = |k: u64| Stored {
            bytes: Arc::clone(&bytes),
            first: 2 * k,
            step: 6,
            per_record: 1,
            width: Width::Two,
            len: 4,
            lost: -1,
        };
        let mut out = [0; 3];
        lead(2).read(1, &mut out);
        assert_eq!(out, [5, 8, 11]);
    }

    #[test]
    fn samples_whose_bytes_are_gone_are_missing() {
        let folder = tempfile::tempdir().unwrap();
        let source = made(Width::Two, &folder, false);
        File::options().write(true).open(folder.path().join("made")).unwrap().set_len(12).unwrap();
        let mut out = [0; 4];
        source.read(8, &mut out);
        assert_eq!(out, [i32::MIN; 4]);
    }
}
