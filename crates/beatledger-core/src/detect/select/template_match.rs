//! How similar candidates are in shape.

use rayon::prelude::*;

use crate::detect::calibration::template_match::{BEST_NEIGHBOURS, NEIGHBOURS, SAME_KIND};
use crate::detect::calibration::work::MIN_BEATS_PER_THREAD;
use crate::detect::envelope::Candidates;

/// Cosine of two shapes; where they do not fit at once, the best of three alignments.
pub fn similarity(all: &Candidates, a: usize, b: usize) -> f32 {
    let (a, b) = (all.shape(a), all.shape(b));
    let straight = cosine(a, b, all.lead_len, 0);
    if straight >= SAME_KIND {
        return straight;
    }
    [-1i64, 1].iter().map(|lag| cosine(a, b, all.lead_len, *lag)).fold(straight, f32::max)
}

fn cosine(a: &[i8], b: &[i8], lead_len: usize, lag: i64) -> f32 {
    let (mut ab, mut aa, mut bb) = (0i32, 1i32, 1i32);
    let (from_a, from_b) = ((-lag).max(0) as usize, lag.max(0) as usize);
    let n = lead_len - lag.unsigned_abs() as usize;
    for (a, b) in a.chunks_exact(lead_len).zip(b.chunks_exact(lead_len)) {
        for (x, y) in a[from_a..from_a + n].iter().zip(&b[from_b..from_b + n]) {
            let (x, y) = (i32::from(*x), i32::from(*y));
            ab += x * y;
            aa += x * x;
            bb += y * y;
        }
    }
    ab as f32 / (aa as f32 * bb as f32).sqrt()
}

/// Mean similarity of `candidate` to its best neighbours among `beats` around position `at`.
/// Neighbours are compared from the nearest on, until enough of them are of the same kind.
pub fn similarity_to_neighbours(all: &Candidates, beats: &[usize], at: usize, candidate: usize) -> f32 {
    const LAST: usize = BEST_NEIGHBOURS - 1;
    let mut best = [-1.0f32; BEST_NEIGHBOURS];
    let near = (0..=2 * NEIGHBOURS).map(|j| if j % 2 == 0 { at + j / 2 } else { at.wrapping_sub(j / 2 + 1) });
    for beat in near.filter_map(|k| beats.get(k)).filter(|b| **b != candidate) {
        let new = similarity(all, *beat, candidate);
        if new > best[LAST] {
            best[LAST] = new;
            best.sort_by(|a, b| b.total_cmp(a));
            if best[LAST] >= SAME_KIND {
                break;
            }
        }
    }
    best.iter().sum::<f32>() / BEST_NEIGHBOURS as f32
}

/// Similarity of each beat to its neighbours.
pub fn similarities(all: &Candidates, beats: &[usize]) -> Vec<f32> {
    (0..beats.len())
        .into_par_iter()
        .with_min_len(MIN_BEATS_PER_THREAD)
        .map(|k| similarity_to_neighbours(all, beats, k, beats[k]))
        .collect()
}
