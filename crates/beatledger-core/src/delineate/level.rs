//! The level that P, T and ST are measured against.

use super::calibration::{LEVEL_GAP_MS, LEVEL_MS};
use super::qrs::Limits;
use super::window::{Window, mean};

/// Level before the QRS complex, mV: a mean that ends just before it.
pub(super) fn level_before(w: &Window, qrs: Limits) -> f32 {
    let gap = w.samples(LEVEL_GAP_MS);
    let end = qrs.on.saturating_sub(gap);
    mean(&w.best_mv, end.saturating_sub(w.samples(LEVEL_MS).max(1)), end)
}
