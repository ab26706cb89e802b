//! Aberrant conduction: an early supraventricular beat that meets a bundle branch not yet recovered is wide, but is
//! not ventricular.
//!
//! Common practice tells it by three things together: its first forces are those of the normal beats, because the
//! ventricles are entered the usual way; it keeps some of their form; and its coupling interval varies, where a
//! ventricular focus keeps its own (Gouaux and Ashman 1947, Marriott and Sandler 1966; from memory).
//! In one lead alone the forces of another lead are not seen, and a ventricular beat may begin as a normal one does:
//! there the rule is not asked.

use super::features::Numbers;
use super::names;

/// The first forces are at least this alike, as a cosine.
const BEGINS_ALIKE: f32 = 0.8;
/// The whole complex is at least this alike.
const ALIKE: f32 = 0.3;
/// The intervals before beats of such a shape lie this far from their mean, as a share of it. Ventricular foci of
/// the open data stay below 0.12.
const VARIES: f32 = 0.2;
/// Fewest leads that show how a beat begins.
pub const LEAST_LEADS: usize = 2;
/// What it takes from the score of a ventricular beat: as much as a score can be shared with others of its shape.
pub const LESS_VENTRICULAR: f32 = 6.0;

const EARLY: usize = names::place("early");
const START_LIKE: usize = names::place("start_like");
const START_LIKE_NEAR: usize = names::place("start_like_near");
const COSINE: usize = names::place("cosine");
const LIKE_NEAR: usize = names::place("like_near");
const SPREAD: usize = names::place("kin_rr_spread");

/// True for a beat that is early by `premature` and looks like a normal beat conducted with aberration.
pub fn is_aberrant(row: &Numbers, premature: f32) -> bool {
    row[EARLY] >= premature
        && row[START_LIKE].max(row[START_LIKE_NEAR]) >= BEGINS_ALIKE
        && row[COSINE].max(row[LIKE_NEAR]) >= ALIKE
        && row[SPREAD] >= VARIES
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::classify::features::COUNT;

    fn row(early: f32, start: f32, whole: f32, spread: f32) -> Numbers {
        let mut row = [0.0; COUNT];
        (row[EARLY], row[START_LIKE], row[COSINE], row[SPREAD]) = (early, start, whole, spread);
        row
    }

    #[test]
    fn a_wide_early_beat_that_begins_as_normal_at_changing_intervals_is_aberrant() {
        assert!(is_aberrant(&row(0.5, 0.95, 0.7, 0.25), 0.2));
    }

    #[test]
    fn a_fixed_interval_another_beginning_or_a_beat_on_time_speak_against_aberration() {
        assert!(!is_aberrant(&row(0.5, 0.95, 0.7, 0.05), 0.2), "a focus with its own coupling interval");
        assert!(!is_aberrant(&row(0.5, 0.4, 0.7, 0.25), 0.2), "other first forces");
        assert!(!is_aberrant(&row(0.5, 0.95, -0.4, 0.25), 0.2), "turned around as a whole");
        assert!(!is_aberrant(&row(0.1, 0.95, 0.7, 0.25), 0.2), "a wide beat on time");
    }
}
