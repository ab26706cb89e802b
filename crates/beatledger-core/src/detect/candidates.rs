//! Places that may be beats: peaks of the leads' common envelope, with height, background and shape.

use rayon::prelude::*;

use super::block::{Block, SHAPE_S};
use super::marks::Marks;
use crate::condition::band::Band;
use crate::condition::quality::seconds_in;
use crate::model::{Progress, Quality, Recording};

/// Seconds of candidates found at a time.
const BLOCK_S: i64 = 300;

/// A place that may be a beat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Candidate {
    /// Step of the working rate.
    pub step: i64,
    /// Height of the common envelope; the usual beat nearby is 1.
    pub height: f32,
    /// The usual height between beats nearby, in the same measure.
    pub rest: f32,
    /// Height of the bends alone, in the same measure: small for T waves.
    pub sharpness: f32,
    /// How clearly beats stand out nearby on the best lead, 0 to 1.
    pub clearness: f32,
}

/// All candidates of a recording, sorted, with their shapes.
#[derive(Clone, Debug, Default)]
pub(super) struct Candidates {
    /// The places.
    pub places: Vec<Candidate>,
    /// What the leads show at each place.
    pub marks: Vec<Marks>,
    /// Shapes one after another, `shape_len` values each: the banded leads side by side.
    pub shapes: Vec<i8>,
    /// Values a shape.
    pub shape_len: usize,
    /// Values a lead within a shape.
    pub lead_len: usize,
    /// How clearly beats stand out, 0 to 1, by lead and second.
    pub clear: Vec<Vec<f32>>,
    /// Peak to peak of the samples as they are, ADC units, by lead and second.
    pub size: Vec<Vec<f32>>,
    /// How much the samples stir between beats, ADC units, by lead and second: see [`super::stir`].
    pub stir: Vec<Vec<f32>>,
}

impl Candidates {
    /// The shape of candidate `i`.
    pub fn shape(&self, i: usize) -> &[i8] {
        &self.shapes[i * self.shape_len..(i + 1) * self.shape_len]
    }
}

/// Finds the candidates of the whole recording.
pub(super) fn candidates(
    recording: &Recording,
    quality: &Quality,
    band: &Band,
    progress: &Progress,
) -> Candidates {
    let seconds = seconds_in(recording) as i64;
    let blocks: Vec<i64> = (0..(seconds + BLOCK_S - 1) / BLOCK_S).collect();
    let done = std::sync::atomic::AtomicUsize::new(0);
    let parts: Vec<Candidates> = blocks
        .par_iter()
        .map(|b| {
            if progress.is_cancelled() {
                return Candidates::default();
            }
            let out = Block::read(recording, quality, band, (b * BLOCK_S, BLOCK_S), seconds).candidates();
            progress.set(1 + done.fetch_add(1, std::sync::atomic::Ordering::Relaxed), blocks.len());
            out
        })
        .collect();
    let lead_len = 2 * band.steps(SHAPE_S) + 1;
    let shape_len = lead_len * recording.leads.len();
    let clear = vec![Vec::with_capacity(seconds as usize); recording.leads.len()];
    let (size, stir) = (clear.clone(), clear.clone());
    let mut all = Candidates { shape_len, lead_len, clear, size, stir, ..Candidates::default() };
    all.places.reserve_exact(parts.iter().map(|p| p.places.len()).sum());
    all.marks.reserve_exact(all.places.capacity());
    all.shapes.reserve_exact(parts.iter().map(|p| p.shapes.len()).sum());
    for part in parts {
        all.places.extend(part.places);
        all.marks.extend(part.marks);
        all.shapes.extend(part.shapes);
        for (all, part) in all.clear.iter_mut().zip(part.clear) {
            all.extend(part);
        }
        for (all, part) in all.size.iter_mut().zip(part.size) {
            all.extend(part);
        }
        for (all, part) in all.stir.iter_mut().zip(part.stir) {
            all.extend(part);
        }
    }
    all
}
