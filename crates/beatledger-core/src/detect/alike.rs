//! How alike candidates are in shape.

use rayon::prelude::*;

use super::candidates::Candidates;
use super::choose::AT_LEAST;

/// Shapes at least this alike are of one kind.
pub(super) const ALIKE: f32 = 0.9;
/// Clear beats to either side that a doubtful one is compared with.
const NEIGHBOURS: usize = 8;

/// Cosine of two shapes; when they do not fit at once, the best of three alignments.
pub(super) fn likeness(all: &Candidates, a: usize, b: usize) -> f32 {
    let (a, b) = (all.shape(a), all.shape(b));
    let straight = cosine(a, b, all.lead_len, 0);
    if straight >= ALIKE {
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

/// How alike `candidate` is to the beats around position `at` in `beats`, nearest first: the mean of the first
/// three that are alike, or of the three best.
pub(super) fn likeness_at(all: &Candidates, beats: &[usize], at: usize, candidate: usize) -> f32 {
    let mut best = [-1.0f32; 3];
    let near = (0..=2 * NEIGHBOURS).map(|j| if j % 2 == 0 { at + j / 2 } else { at.wrapping_sub(j / 2 + 1) });
    for beat in near.filter_map(|k| beats.get(k)).filter(|b| **b != candidate) {
        let new = likeness(all, *beat, candidate);
        if new > best[2] {
            best[2] = new;
            best.sort_by(|a, b| b.total_cmp(a));
            if best[2] >= ALIKE {
                break;
            }
        }
    }
    best.iter().sum::<f32>() / 3.0
}

/// How alike each beat is to those around it.
pub(super) fn likenesses(all: &Candidates, beats: &[usize]) -> Vec<f32> {
    (0..beats.len())
        .into_par_iter()
        .with_min_len(AT_LEAST)
        .map(|k| likeness_at(all, beats, k, beats[k]))
        .collect()
}
