//! Samples with gaps: only what was recorded takes memory, however long a gap claims to be.

use beatledger_core::model::{SampleSource, Span};

/// Value inside a gap; no 16-bit sample can have it.
pub(super) const GAP: i32 = i32::MIN;

/// Samples of the segments one after the other, and where each segment lies in the recording.
#[derive(Debug)]
pub(super) struct Gapped {
    /// Sorted and disjoint; their lengths add up to the number of samples held.
    pub(super) segments: Vec<Span>,
    pub(super) held: Vec<i16>,
    /// For samples that the file itself marks as missing: they read as [`GAP`] too.
    pub(super) missing: Option<i32>,
}

impl SampleSource for Gapped {
    fn len(&self) -> usize {
        self.segments.last().map_or(0, |s| s.end as usize)
    }

    fn read(&self, start: usize, out: &mut [i32]) {
        let wanted = Span::new(start as i64, (start + out.len()) as i64);
        out.fill(GAP);
        let mut at = 0;
        for segment in &self.segments {
            let part = segment.overlap(wanted);
            let from = at + (part.start - segment.start) as usize;
            at += segment.len() as usize;
            if part.is_empty() {
                continue;
            }
            let held = &self.held[from..from + part.len() as usize];
            let to = &mut out[(part.start - wanted.start) as usize..];
            for (to, from) in to.iter_mut().zip(held) {
                let value = i32::from(*from);
                *to = if Some(value) == self.missing { GAP } else { value };
            }
        }
    }

    fn bytes(&self) -> usize {
        self.held.len() * 2
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gaps_read_as_missing_and_take_no_memory() {
        let segments = vec![Span::new(0, 2), Span::new(1_000_000, 1_000_003)];
        let source = Gapped { segments, held: vec![1, 2, 3, -7, 5], missing: Some(-7) };
        let mut out = vec![0; 3];
        source.read(1, &mut out);
        assert_eq!(out, [2, GAP, GAP]);
        source.read(1_000_000, &mut out);
        assert_eq!(out, [3, GAP, 5]);
        assert_eq!((source.len(), source.bytes()), (1_000_003, 10));
    }
}
