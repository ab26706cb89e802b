//! Leads that are turned upside down or change places in the middle of a recording.
//!
//! P, QRS and T cannot all change their sign between one beat and the next; an electrode that was put elsewhere, or a cable
//! plugged in the other way, can. The usual beat of each minute is compared with that of the minutes before. Where it is their
//! mirror image, or where two leads show each other's, and stay so, the change is told with its time, and everything that is
//! found afterwards is found in the tracing as it would have been.

mod calibration;
mod undone;
mod usual;

use crate::model::{LeadChange, LeadChangeKind, Recording, Span};
use calibration::{
    FEWEST_MINUTES, FOLLOW, LEADS_DIFFER_BELOW, LEAST_OF_HEIGHT, LIKE_ABOVE, MIRROR_BELOW, MIRROR_PART_BELOW,
    MOST_OF_HEIGHT,
};
use usual::{Shape, UsualBeats};

pub use undone::undone;

/// Changes of the leads, by start; `beats` are the samples of the beats.
pub fn changes(recording: &Recording, beats: &[i64]) -> Vec<LeadChange> {
    let usual = UsualBeats::of(recording, beats);
    let leads = recording.leads.len();
    let mut changes: Vec<LeadChange> = (0..leads).flat_map(|lead| turns(recording, &usual, lead)).collect();
    for first in 0..leads {
        for second in first + 1..leads {
            changes.extend(swaps(recording, &usual, first, second));
        }
    }
    changes.sort_by_key(|c| (c.span.start, c.span.end));
    changes
}

/// Stretches in which a lead is upside down against what it was before.
fn turns(recording: &Recording, usual: &UsualBeats<'_>, lead: usize) -> Vec<LeadChange> {
    let mirror = |before: &[Shape], minute: usize| {
        let shape = usual.at(minute, lead)?;
        Some(is_mirror(&before[0], shape).then(|| vec![shape.iter().map(|v| -v).collect()]))
    };
    let begins = |before: &[Shape], beat: i64| {
        usual::single(recording, lead, beat).is_some_and(|shape| usual::alike(&before[0], &shape) < 0.0)
    };
    stretches(recording, usual, &[lead], mirror, begins)
        .into_iter()
        .map(|span| LeadChange { span, kind: LeadChangeKind::Turned(lead) })
        .collect()
}

/// Stretches in which two leads show each other's beats.
fn swaps(recording: &Recording, usual: &UsualBeats<'_>, first: usize, second: usize) -> Vec<LeadChange> {
    let exchanged = |before: &[Shape], minute: usize| {
        let (a, b) = (usual.at(minute, first)?, usual.at(minute, second)?);
        let differ = usual::alike(&before[0], &before[1]) < LEADS_DIFFER_BELOW;
        let are = differ && is_same(&before[0], b) && is_same(&before[1], a);
        Some(are.then(|| vec![b.clone(), a.clone()]))
    };
    let begins = |before: &[Shape], beat: i64| {
        let [a, b] = [first, second].map(|lead| usual::single(recording, lead, beat));
        a.zip(b).is_some_and(|(a, b)| {
            let crossed = usual::alike(&before[0], &b) + usual::alike(&before[1], &a);
            crossed > usual::alike(&before[0], &a) + usual::alike(&before[1], &b)
        })
    };
    stretches(recording, usual, &[first, second], exchanged, begins)
        .into_iter()
        .map(|span| LeadChange { span, kind: LeadChangeKind::Swapped(first, second) })
        .collect()
}

/// Stretches of minutes that `is_changed` against the usual beats before them, which follow slowly. It gives nothing where a
/// minute has no usual beat, and the beats as they would have been where it is changed. `begins` tells of a single beat whether
/// it is.
fn stretches(
    recording: &Recording,
    usual: &UsualBeats<'_>,
    leads: &[usize],
    is_changed: impl Fn(&[Shape], usize) -> Option<Option<Vec<Shape>>>,
    begins: impl Fn(&[Shape], i64) -> bool,
) -> Vec<Span> {
    let mut spans: Vec<Span> = Vec::new();
    let mut before: Option<Vec<Shape>> = None;
    // The change that is in force, and since when the tracing has been otherwise.
    let (mut since, mut otherwise): (Option<i64>, Vec<usize>) = (None, Vec::new());
    for minute in 0..usual.minutes() {
        let now: Option<Vec<Shape>> = leads.iter().map(|l| usual.at(minute, *l).cloned()).collect();
        let Some(now) = now else { continue };
        let Some(known) = &mut before else {
            before = Some(now);
            continue;
        };
        let Some(changed) = is_changed(known, minute) else { continue };
        if changed.is_some() == since.is_some() {
            otherwise.clear();
            follow(known, &changed.unwrap_or(now));
            continue;
        }
        otherwise.push(minute);
        if otherwise.len() < FEWEST_MINUTES {
            continue;
        }
        let is_new = |beat: &i64| begins(known, *beat) == since.is_none();
        let at = usual.beats_around(otherwise[0]).find(|beat| {
            let inside = usual.beats_after(*beat);
            is_new(beat) && 2 * inside.iter().filter(|b| is_new(b)).count() > inside.len()
        });
        let at = at.unwrap_or_else(|| usual.start_of(otherwise[0]));
        match since.take() {
            Some(from) => spans.push(Span::new(from, at)),
            None => since = Some(at),
        }
        otherwise.clear();
    }
    spans.extend(since.map(|from| Span::new(from, recording.samples)));
    spans
}

fn follow(known: &mut [Shape], now: &[Shape]) {
    for (known, now) in known.iter_mut().zip(now) {
        known.iter_mut().zip(now).for_each(|(k, n)| *k += FOLLOW * (n - *k));
    }
}

/// True when a shape is the mirror image of another, in its QRS complex and after it.
fn is_mirror(before: &Shape, now: &Shape) -> bool {
    let parts = [usual::QRS, usual::AFTER];
    let part_is_mirrored =
        |part: std::ops::Range<usize>| usual::alike_in(&before[part.clone()], &now[part]) < MIRROR_PART_BELOW;
    usual::alike(before, now) < MIRROR_BELOW && parts.into_iter().all(part_is_mirrored)
}

/// True when a shape is the same as another.
fn is_same(before: &Shape, now: &Shape) -> bool {
    let height = usual::height(now) / usual::height(before).max(f32::MIN_POSITIVE);
    usual::alike(before, now) > LIKE_ABOVE && (LEAST_OF_HEIGHT..=MOST_OF_HEIGHT).contains(&height)
}

#[cfg(test)]
mod tests;
