//! From filtered samples to candidates: places that may be beats.
//!
//! Each lead gives two channels, the envelope of its QRS band and that of the second differences of the band.
//! Every channel is brought to its own usual beat, and all are averaged, weighted by how clearly beats stand out.
//! The peaks of this common envelope are the candidates.
//! This folder knows samples and their quality; which candidates are beats is decided elsewhere.

mod activity;
mod block;
mod candidates;
mod common_envelope;
mod lead_marks;
mod peak_levels;
mod peaks;

use rayon::prelude::*;

use self::block::Block;
use crate::condition::band::Band;
use crate::condition::calibration::BLOCK_S;
use crate::condition::seconds::seconds_in;
use crate::detect::calibration::envelope::SHAPE_HALF_WIDTH_S;
use crate::model::{Progress, Quality, Recording};

pub use self::candidates::{Candidate, Candidates, LeadMarks};

/// Finds the candidates of the whole recording.
pub fn candidates(recording: &Recording, quality: &Quality, band: &Band, progress: &Progress) -> Candidates {
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
    let lead_len = 2 * band.steps(SHAPE_HALF_WIDTH_S) + 1;
    let mut all = Candidates::new(recording.leads.len(), lead_len, seconds as usize);
    all.places.reserve_exact(parts.iter().map(|p| p.places.len()).sum());
    all.marks.reserve_exact(all.places.capacity());
    all.shapes.reserve_exact(parts.iter().map(|p| p.shapes.len()).sum());
    parts.into_iter().for_each(|part| all.append(part));
    all
}
