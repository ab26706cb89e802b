//! One lead of a joined record, put together from the segments that hold it.

use std::sync::Arc;

use beatledger_core::model::{Lead, Span, Unit};

use super::track::Track;
use crate::error::shown;
use crate::samples::{GAP, Joined};
use crate::warn::Warnings;

/// The leads that a segment holds, and its frames.
pub(super) struct Segment {
    pub(super) tracks: Vec<Option<Track>>,
    pub(super) frames: i64,
}

/// Lead `k` from all segments that hold it, on the scale of the one with the finest steps.
pub(super) fn join(
    name: &str,
    k: usize,
    stretches: &[(&Segment, Span)],
    scale: i64,
    samples: i64,
    warnings: &mut Warnings,
) -> Option<Lead> {
    let tracks: Vec<(&Track, Span)> = stretches
        .iter()
        .filter_map(|(segment, span)| {
            Some((segment.tracks[k].as_ref()?, Span::new(span.start * scale, span.end * scale)))
        })
        .collect();
    let finest = tracks
        .iter()
        .map(|(t, _)| *t)
        .reduce(|a, b| if b.adc_per_mv.abs() > a.adc_per_mv.abs() { b } else { a })?;
    let mut pieces = Vec::with_capacity(tracks.len());
    for (track, span) in &tracks {
        let mut piece = track.piece(span.start, span.len());
        if (track.adc_per_mv, track.adc_zero) != (finest.adc_per_mv, finest.adc_zero) {
            let factor = finest.adc_per_mv / track.adc_per_mv;
            piece.rescale = Some((factor, finest.adc_zero - track.adc_zero * factor));
        }
        pieces.push(piece);
    }
    let other = pieces.iter().filter(|p| p.rescale.is_some()).count();
    if other > 0 {
        let text = format!(
            "{} has another gain or baseline in {other} of its segments; they were brought to {} units per mV.",
            shown(name),
            finest.adc_per_mv
        );
        warnings.add("segment-gain", format!("signal {}", shown(name)), text);
    }
    let uncalibrated = tracks.iter().any(|(t, _)| t.unit == Unit::Uncalibrated);
    let one_range = other == 0 && tracks.iter().all(|(t, _)| t.rails == finest.rails);
    Some(Lead {
        name: name.to_owned(),
        unit: if uncalibrated { Unit::Uncalibrated } else { Unit::Millivolt },
        adc_per_mv: finest.adc_per_mv,
        adc_zero: finest.adc_zero,
        missing: Some(GAP),
        rails: finest.rails.filter(|_| one_range),
        prefilter: String::new(),
        samples: Arc::new(Joined::new(samples as usize, pieces)),
    })
}
