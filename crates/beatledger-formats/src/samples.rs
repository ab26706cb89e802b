//! Samples in memory: as narrow as their format allows, and joined from pieces where a recording has gaps.

use std::sync::Arc;

use beatledger_core::model::{SampleSource, Span};

/// Value of a sample that is not there; no sample of 24 bits or fewer can have it.
pub(crate) const GAP: i32 = i32::MIN;

/// A stretch beyond this is no ambulatory recording; times that claim it are not believed.
pub(crate) const MAX_DAYS: f64 = 60.0;

/// Samples of one signal as they are read from a file.
#[derive(Debug)]
pub(crate) enum Store {
    /// Formats of 16 bits or fewer.
    Narrow(Vec<i16>),
    /// Formats of more bits.
    Wide(Vec<i32>),
}

impl Store {
    pub(crate) fn with_capacity(wide: bool, samples: usize) -> Self {
        match wide {
            true => Self::Wide(Vec::with_capacity(samples)),
            false => Self::Narrow(Vec::with_capacity(samples)),
        }
    }

    pub(crate) fn len(&self) -> usize {
        match self {
            Self::Narrow(v) => v.len(),
            Self::Wide(v) => v.len(),
        }
    }

    /// Appends samples; a narrow store is made only for formats whose samples all fit into it.
    pub(crate) fn extend(&mut self, samples: impl Iterator<Item = i32>) {
        match self {
            Self::Narrow(v) => v.extend(samples.map(|s| s as i16)),
            Self::Wide(v) => v.extend(samples),
        }
    }

    pub(crate) fn truncate(&mut self, samples: usize) {
        match self {
            Self::Narrow(v) => v.truncate(samples),
            Self::Wide(v) => v.truncate(samples),
        }
    }

    /// Looks at every sample from `start` on.
    pub(crate) fn each(&self, start: usize, mut look: impl FnMut(i32)) {
        match self {
            Self::Narrow(v) => v.iter().skip(start).for_each(|s| look(i32::from(*s))),
            Self::Wide(v) => v.iter().skip(start).for_each(|s| look(*s)),
        }
    }

    pub(crate) fn into_source(self) -> Arc<dyn SampleSource> {
        match self {
            Self::Narrow(v) => Arc::new(v),
            Self::Wide(v) => Arc::new(v),
        }
    }
}

/// 24-bit two's complement, little-endian.
pub(crate) fn i32_from_24_bits([a, b, c]: [u8; 3]) -> i32 {
    i32::from_le_bytes([0, a, b, c]) >> 8
}

/// A stretch of a recording and the samples that fill it.
#[derive(Clone, Debug)]
pub(crate) struct Piece {
    /// Where it lies in the recording.
    pub(crate) span: Span,
    /// Where its samples are; from sample `from` on there are at least as many as the span is long.
    pub(crate) held: Arc<dyn SampleSource>,
    pub(crate) from: usize,
    /// Value that means 'no sample here' in this piece.
    pub(crate) missing: Option<i32>,
    /// Factor and offset onto the scale of the lead, where the piece has another one.
    pub(crate) rescale: Option<(f64, f64)>,
}

/// Samples with gaps: only what was recorded takes memory, however long a gap claims to be.
#[derive(Debug)]
pub(crate) struct Joined {
    len: usize,
    pieces: Vec<Piece>,
}

impl Joined {
    /// Joins pieces that are sorted and do not overlap into a recording of `len` samples.
    pub(crate) fn new(len: usize, mut pieces: Vec<Piece>) -> Self {
        pieces.retain(|p| !p.span.is_empty());
        Self { len, pieces }
    }

    /// Samples that lie one after the other in `held` and fill the segments of a recording.
    pub(crate) fn of_segments(segments: &[Span], held: Arc<dyn SampleSource>, missing: Option<i32>) -> Self {
        let mut from = 0;
        let mut pieces = Vec::with_capacity(segments.len());
        for span in segments {
            pieces.push(Piece { span: *span, held: Arc::clone(&held), from, missing, rescale: None });
            from += span.len() as usize;
        }
        Self::new(segments.last().map_or(0, |s| s.end as usize), pieces)
    }
}

impl SampleSource for Joined {
    fn len(&self) -> usize {
        self.len
    }

    fn read(&self, start: usize, out: &mut [i32]) {
        let wanted = Span::new(start as i64, (start + out.len()) as i64);
        out.fill(GAP);
        let first = self.pieces.partition_point(|p| p.span.end <= wanted.start);
        for piece in self.pieces[first..].iter().take_while(|p| p.span.start < wanted.end) {
            let part = piece.span.overlap(wanted);
            let at = (part.start - wanted.start) as usize;
            let to = &mut out[at..at + part.len() as usize];
            piece.held.read(piece.from + (part.start - piece.span.start) as usize, to);
            for value in to {
                if Some(*value) == piece.missing {
                    *value = GAP;
                } else if let Some((factor, offset)) = piece.rescale {
                    *value = rescaled(*value, factor, offset);
                }
            }
        }
    }

    fn bytes(&self) -> usize {
        // Pieces that follow each other often share one list.
        let runs = self.pieces.chunk_by(|a, b| Arc::ptr_eq(&a.held, &b.held));
        runs.map(|run| run[0].held.bytes()).sum()
    }
}

/// The value on another scale, rounded; never the value of a gap.
fn rescaled(value: i32, factor: f64, offset: f64) -> i32 {
    // A cast of a float saturates.
    ((f64::from(value) * factor + offset).round() as i32).max(GAP + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn gaps_read_as_missing_and_take_no_memory() {
        let segments = [Span::new(0, 2), Span::new(1_000_000, 1_000_003)];
        let source = Joined::of_segments(&segments, Arc::new(vec![1i16, 2, 3, -7, 5]), Some(-7));
        let mut out = vec![0; 3];
        source.read(1, &mut out);
        assert_eq!(out, [2, GAP, GAP]);
        source.read(1_000_000, &mut out);
        assert_eq!(out, [3, GAP, 5]);
        assert_eq!((source.len(), source.bytes()), (1_000_003, 10));
    }

    #[test]
    fn a_piece_of_another_scale_is_brought_to_the_scale_of_the_lead() {
        let held: Arc<dyn SampleSource> = Arc::new(vec![0i16, 10, -10, i16::MIN]);
        let piece = Piece {
            span: Span::new(2, 6),
            held,
            from: 0,
            missing: Some(-32768),
            rescale: Some((2.5, 100.0)),
        };
        let source = Joined::new(7, vec![piece]);
        let mut out = vec![0; 7];
        source.read(0, &mut out);
        assert_eq!(out, [GAP, GAP, 100, 125, 75, GAP, GAP]);
        assert_eq!(rescaled(i32::MAX, -1e9, 0.0), GAP + 1);
    }
}
