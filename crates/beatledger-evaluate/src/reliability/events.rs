//! Certainty of events, where a reference of beats and rhythms can answer.

use beatledger_core::model::{BeatClass, Event, EventKind, Rate, Span};
use beatledger_formats::wfdb::Mapping;
use beatledger_score::{Annotations, Reliability, Rules};

use crate::case::Case;

/// The share of an event that a rhythm of the reference must fill (design choice: the larger part).
const RHYTHM_SHARE: f64 = 0.5;
/// The share of the ectopic beats of a bigeminy or trigeminy that must be so in the reference (design choice: one wrong label
/// among four does not undo the pattern).
const PATTERN_SHARE: f64 = 0.75;

/// Events of one kind.
#[derive(Clone, Copy, Debug)]
pub struct Judged {
    /// Which kind.
    pub kind: EventKind,
    /// What was said and what is true.
    pub of: Reliability,
}

/// Certainty of the events of every kind that a reference answers.
pub fn events(cases: &[Case], mapping: Mapping) -> Vec<Judged> {
    let mut out: Vec<Judged> =
        EventKind::ALL.map(|kind| Judged { kind, of: Reliability::default() }).into_iter().collect();
    let labels = |class: BeatClass| {
        cases.iter().any(|case| case.sides(mapping).reference.beats.iter().any(|b| b.1 == class))
    };
    let (labels_v, labels_s) = (labels(BeatClass::V), labels(BeatClass::S));
    out.retain(|judged| {
        (labels_v || !is_ventricular(judged.kind)) && (labels_s || !is_supraventricular(judged.kind))
    });
    for case in cases {
        let sides = case.sides(mapping);
        let Some(said) = &case.said else { continue };
        for event in said.events.iter() {
            let right = is_right(event, case.rate, &sides.reference, &sides.test);
            if let (Some(right), Some(judged)) = (right, out.iter_mut().find(|j| j.kind == event.kind)) {
                judged.of.add(f64::from(event.certainty.share), right);
            }
        }
    }
    out.retain(|judged| judged.of.all().count > 0);
    out
}

/// True for what is made of ventricular beats: a reference without any does not answer.
fn is_ventricular(kind: EventKind) -> bool {
    use EventKind as K;
    matches!(
        kind,
        K::VentricularTachycardia
            | K::IdioventricularRun
            | K::VentricularCouplet
            | K::VentricularBigeminy
            | K::VentricularTrigeminy
    )
}

/// The same of supraventricular beats.
fn is_supraventricular(kind: EventKind) -> bool {
    use EventKind as K;
    matches!(
        kind,
        K::SupraventricularRun
            | K::SupraventricularCouplet
            | K::SupraventricularBigeminy
            | K::SupraventricularTrigeminy
    )
}

/// Whether the reference has the event; `None` where it does not say.
fn is_right(event: &Event, rate: Rate, reference: &Annotations, test: &Annotations) -> Option<bool> {
    use EventKind as K;
    let rhythm = |spans: &[Span]| {
        let filled = event.span.covered_by(spans) as f64 >= RHYTHM_SHARE * event.span.len() as f64;
        reference.names_rhythms.then_some(filled)
    };
    let window = Rules::WHOLE.window_samples(rate);
    let near = Span::new(event.span.start - window, event.span.end + window);
    let beats = inside(&reference.beats, near);
    let is_flutter = event.span.covered_by(&reference.flutter) > 0;
    match event.kind {
        K::AtrialFibrillation if is_flutter => None,
        K::AtrialFibrillation => rhythm(&reference.af),
        K::AtrialFlutter => rhythm(&reference.flutter),
        K::VentricularFibrillation => rhythm(&reference.vf),
        kind if K::BLOCKS.contains(&kind) => rhythm(&reference.blocks),
        K::VentricularTachycardia | K::IdioventricularRun => {
            Some(row(beats, BeatClass::is_ventricular) >= 3 || near.covered_by(&reference.vf) > 0)
        }
        K::VentricularCouplet => Some(row(beats, BeatClass::is_ventricular) >= 2),
        K::SupraventricularRun | K::SupraventricularCouplet => {
            let least = if event.kind == K::SupraventricularRun { 3 } else { 2 };
            // Fibrillation and flutter are long runs (EC57).
            let fibrillates = near.covered_by(&reference.af) + near.covered_by(&reference.flutter) > 0;
            Some(row(beats, |c| c == BeatClass::S) >= least || fibrillates)
        }
        K::VentricularBigeminy | K::VentricularTrigeminy => {
            Some(has_pattern(beats, inside(&test.beats, near), BeatClass::is_ventricular))
        }
        K::SupraventricularBigeminy | K::SupraventricularTrigeminy => {
            Some(has_pattern(beats, inside(&test.beats, near), |c| c == BeatClass::S))
        }
        K::Pause => {
            let gap = Span::new(event.span.start + window, event.span.end - window);
            Some(inside(&reference.beats, gap).is_empty())
        }
        _ => None,
    }
}

type Beats = [(i64, BeatClass)];

fn inside(beats: &Beats, span: Span) -> &Beats {
    let at = |sample: i64| beats.partition_point(|b| b.0 < sample);
    let start = at(span.start);
    &beats[start..at(span.end).max(start)]
}

/// The most beats in a row for which `is` holds.
fn row(beats: &Beats, is: impl Fn(BeatClass) -> bool) -> usize {
    beats.split(|b| !is(b.1)).map(<[_]>::len).max().unwrap_or(0)
}

fn has_pattern(reference: &Beats, test: &Beats, is: impl Fn(BeatClass) -> bool) -> bool {
    let count = |beats: &Beats| beats.iter().filter(|b| is(b.1)).count() as f64;
    count(reference) >= PATTERN_SHARE * count(test)
}

#[cfg(test)]
mod tests {
    use super::*;
    use beatledger_core::model::{Certainty, EventState, Origin};

    fn event(kind: EventKind, span: Span) -> Event {
        Event {
            kind,
            span,
            beats: (0, 0),
            rate_bpm: None,
            state: EventState::Unread,
            origin: Origin::Found,
            critical: false,
            note: String::new(),
            certainty: Certainty::sure(),
        }
    }

    fn beats(letters: &str) -> Annotations {
        let class = |c| BeatClass::ALL.into_iter().find(|k| k.letter() == c).unwrap();
        Annotations::of_beats(letters.chars().enumerate().map(|(i, c)| (1000 * i as i64, class(c))).collect())
    }

    fn answer(kind: EventKind, span: Span, reference: &Annotations) -> Option<bool> {
        is_right(&event(kind, span), Rate::whole_hz(1000), reference, &beats("NVNVNVNVN"))
    }

    #[test]
    fn runs_and_couplets_are_right_where_the_reference_has_as_many_in_a_row() {
        let span = Span::new(1000, 3001);
        let right = |kind, letters| answer(kind, span, &beats(letters));
        assert_eq!(right(EventKind::VentricularTachycardia, "NVVVN"), Some(true));
        assert_eq!(right(EventKind::VentricularTachycardia, "NVNVN"), Some(false));
        assert_eq!(right(EventKind::VentricularCouplet, "NVFNN"), Some(true));
        assert_eq!(right(EventKind::SupraventricularRun, "NSSNN"), Some(false));
        assert_eq!(right(EventKind::VentricularBigeminy, "NVNVNVNVN"), Some(true));
        assert_eq!(right(EventKind::Bradycardia, "NNNNN"), None, "no reference says it");
    }

    #[test]
    fn a_rhythm_is_right_where_it_fills_the_larger_part_and_unknown_where_no_rhythm_is_named() {
        let span = Span::new(0, 10_000);
        let af = |to, names_rhythms| Annotations { af: vec![Span::new(0, to)], names_rhythms, ..beats("NN") };
        let right = |reference| answer(EventKind::AtrialFibrillation, span, &reference);
        assert_eq!(right(af(6000, true)), Some(true));
        assert_eq!(right(af(4000, true)), Some(false));
        assert_eq!(right(af(6000, false)), None);
    }

    #[test]
    fn a_pause_with_a_reference_beat_in_it_is_none() {
        assert_eq!(answer(EventKind::Pause, Span::new(0, 3000), &beats("NNNN")), Some(false));
        assert_eq!(answer(EventKind::Pause, Span::new(1000, 2000), &beats("NNNN")), Some(true));
    }
}
