//! Beats that seem early after a long interval, whose P wave comes when it should: conducted beats, not ectopic ones.

use super::calibration::{CYCLES_BACK, ON_TIME};
use super::gaps::usual_cycle;
use super::p_waves::PWaves;
use crate::model::{BeatClass, FoundBeat, Span};

/// Indices of the S beats of `span` whose P wave follows the one before it, conducted or not, by the usual P-P interval.
pub(super) fn on_time(p: &PWaves, beats: &[FoundBeat], span: Span) -> Vec<usize> {
    let at = |sample: i64| beats.partition_point(|b| b.sample < sample);
    let is_on_time = |i: &usize| {
        let own = p.conducted(beats[*i].sample)?;
        let usual = usual_cycle(p, own)?;
        let before = p.between(own - (CYCLES_BACK * usual) as i64, own).last().copied()?;
        let cycles = (own - before) as f64 / usual;
        // A P wave between the two may lie in a QRS complex.
        Some((cycles - cycles.round()).abs() <= ON_TIME && cycles > 0.5)
    };
    let inside = at(span.start)..at(span.end);
    inside.filter(|i| beats[*i].class == BeatClass::S && is_on_time(i) == Some(true)).collect()
}

/// Indices of the S beats of a stretch in which the ventricles keep their own rate: escape beats are not early.
pub(super) fn escapes(beats: &[FoundBeat], span: Span) -> Vec<usize> {
    let at = |sample: i64| beats.partition_point(|b| b.sample < sample);
    (at(span.start)..at(span.end)).filter(|i| beats[*i].class == BeatClass::S).collect()
}
