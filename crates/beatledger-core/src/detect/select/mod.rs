//! From candidates to beats: clear ones first, then doubtful ones by shape and timing, then a second pass.
//!
//! This folder knows the candidates of the whole recording, their heights, shapes and places.
//! It reads no samples, and polarity and names of leads play no part.

mod clear_beats;
mod doubtful_beats;
mod extra_beats;
mod second_pass;
#[cfg(test)]
mod second_pass_tests;
mod selection;
mod template_match;
#[cfg(test)]
mod tests;

use self::selection::Context;
use crate::detect::envelope::Candidates;

pub use self::selection::Selection;

/// Selects the beats. `rate_hz` is that of the steps.
pub fn select(all: &Candidates, rate_hz: f64, refractory_s: f64) -> Selection {
    let refractory = (refractory_s * rate_hz).round() as i64;
    let context = Context { all, rate_hz, refractory };
    let clear = clear_beats::clear_beats(&context);
    let clear = clear_beats::with_early_beats(&context, &clear);
    let beats = doubtful_beats::with_doubtful_beats(&context, &clear);
    let selection = extra_beats::without_extra_beats(&context, &beats);
    second_pass::second_pass(&context, selection)
}
