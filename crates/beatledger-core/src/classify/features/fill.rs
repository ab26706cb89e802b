//! Fills the row of one beat: every feature is set in one of the files named here.

use super::inputs::FeatureInputs;
use super::row::{FeatureRow, RowBuilder};
use super::{beat_timing, clusters, morphology, neighbours, waves};

/// The features of beat `i`.
pub fn row(inputs: &FeatureInputs<'_>, i: usize) -> FeatureRow {
    let mut row = RowBuilder::new();
    beat_timing::set(inputs, i, &mut row);
    morphology::set(inputs, i, &mut row);
    waves::set(inputs, i, &mut row);
    clusters::set(inputs, i, &mut row);
    neighbours::set(inputs, i, &mut row);
    row.finish()
}
