//! Beats to figures: one file a family.
