//! An event over some beats, as it is found.

use std::ops::Range;

use super::calibration::{RUN_CERTAINTY, S_COUPLET_CERTAINTY, V_COUPLET_CERTAINTY};
use super::columns::Columns;
use crate::model::{Certainty, Event, EventKind, EventState, Origin, Span};
use crate::statistics::on_curve;

/// A found event over ectopic `beats` and those between them. Its certainty follows from the mean confidence of the ectopic
/// ones: their labels are wrong together rather than each by itself.
pub(super) fn ectopic_event(columns: &Columns<'_>, kind: EventKind, beats: Range<usize>) -> Event {
    let ectopic = beats.clone().filter(|i| columns.is_ectopic(*i)).map(|i| &columns.reading.beats[i]);
    let found = ectopic.filter(|b| b.origin == Origin::Found);
    let (sum, n) = found.fold((0.0, 0u32), |(sum, n), b| (sum + b.confidence, n + 1));
    let mean = sum / n.max(1) as f32;
    let certainty = match n {
        0 => Certainty::sure(),
        _ => Certainty::of(share(kind, mean), || {
            format!("its ectopic beats are labelled so with {:.0} % confidence", 100.0 * mean)
        }),
    };
    Event { certainty, ..event_over(columns, kind, beats) }
}

/// Chance that an event is one whose beats have this mean confidence; bigeminy and trigeminy as much as their beats.
fn share(kind: EventKind, mean: f32) -> f32 {
    let curve = match kind {
        EventKind::VentricularTachycardia
        | EventKind::IdioventricularRun
        | EventKind::SupraventricularRun => RUN_CERTAINTY,
        EventKind::VentricularCouplet => V_COUPLET_CERTAINTY,
        EventKind::SupraventricularCouplet => S_COUPLET_CERTAINTY,
        _ => return mean,
    };
    on_curve(curve, f64::from(mean)) as f32
}

/// A found event over `beats`: from the first beat to one past the last, with the mean rate between them.
pub(super) fn event_over(columns: &Columns<'_>, kind: EventKind, beats: Range<usize>) -> Event {
    let (first, last) = (columns.samples[beats.start], columns.samples[beats.end - 1]);
    Event {
        kind,
        span: Span::new(first, last + 1),
        beats: (beats.start as u32, beats.end as u32),
        rate_bpm: columns.mean_bpm(beats).map(|bpm| bpm as f32),
        state: EventState::Unread,
        origin: Origin::Found,
        critical: false,
        note: String::new(),
        certainty: crate::model::Certainty::sure(),
    }
}
