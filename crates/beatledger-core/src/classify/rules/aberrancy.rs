//! Aberrant conduction: an early supraventricular beat that meets a bundle branch not yet recovered is wide,
//! but is not ventricular.
//!
//! Common practice tells it by three things together: its first forces are those of the normal beats, because
//! the ventricles are entered the usual way; it keeps some of their form; and its coupling interval varies,
//! where a ventricular focus keeps its own (Gouaux and Ashman 1947, Marriott and Sandler 1966; from memory).
//! In one lead alone the forces of another lead are not seen, and a ventricular beat may begin as a normal
//! one does: there the rule does not hold.

use super::calibration::{BEGINS_ALIKE, INTERVAL_VARIES, WHOLE_ALIKE};

/// What tells aberrant conduction.
#[derive(Clone, Copy, Debug)]
pub struct Signs {
    /// Prematurity.
    pub early: f32,
    /// Cosine of its beginning and that of a normal beat.
    pub begins: f32,
    /// Cosine of the whole complex and a normal beat.
    pub whole: f32,
    /// Mean distance of the intervals before beats of its shape from their mean, as a share of it.
    pub rr_spread: f32,
}

/// True for a beat that is early by `premature` and looks like a normal beat conducted with aberration.
pub fn is_aberrant(signs: Signs, premature: f32) -> bool {
    signs.early >= premature
        && signs.begins >= BEGINS_ALIKE
        && signs.whole >= WHOLE_ALIKE
        && signs.rr_spread >= INTERVAL_VARIES
}

#[cfg(test)]
mod tests {
    use super::*;

    fn signs(early: f32, begins: f32, whole: f32, rr_spread: f32) -> Signs {
        Signs { early, begins, whole, rr_spread }
    }

    #[test]
    fn a_wide_early_beat_that_begins_as_normal_at_changing_intervals_is_aberrant() {
        assert!(is_aberrant(signs(0.5, 0.95, 0.7, 0.25), 0.2));
    }

    #[test]
    fn a_fixed_interval_another_beginning_or_a_beat_on_time_speak_against_aberration() {
        assert!(!is_aberrant(signs(0.5, 0.95, 0.7, 0.05), 0.2), "a focus with its own coupling interval");
        assert!(!is_aberrant(signs(0.5, 0.4, 0.7, 0.25), 0.2), "other first forces");
        assert!(!is_aberrant(signs(0.5, 0.95, -0.4, 0.25), 0.2), "turned around as a whole");
        assert!(!is_aberrant(signs(0.1, 0.95, 0.7, 0.25), 0.2), "a wide beat on time");
    }
}
