//! Beats to what is known of their conduction from the atria: AV block, block at the exit of the sinus node, atrial flutter.
//!
//! P waves are looked for between the beats where something speaks for more of them than of QRS complexes: a long interval or
//! a slow rate (`p_waves`). The intervals are then named from what lies in them (`gaps`), a stretch of atria and ventricles that
//! go their own ways from both their rhythms (`dissociation`), two P waves to a beat from the averaged cycle (`two_to_one`), and
//! flutter from the tracing between T and the next complex (`flutter`). What the P waves do not show is not told. This stage knows
//! samples, quality, beats and their wave limits.

mod calibration;
mod dissociation;
mod first_degree;
mod flutter;
mod gaps;
mod on_time;
mod p_waves;
mod tracing;
mod two_to_one;

use rayon::prelude::*;

use crate::model::{Averaged, Conducted, Conduction, FoundBeat, Quality, Recording, Span};
pub use calibration::ON_TIME_CONFIDENCE;
use calibration::{BESIDE_S, JOIN_S, SEARCH_S};

/// What is known of the conduction of `beats`, by start, and the beats that seem early only because a P wave before them was
/// not conducted: indices, rising.
pub fn conduction(
    recording: &Recording,
    quality: &Quality,
    beats: &[FoundBeat],
    averaged: &[Averaged],
) -> (Vec<Conducted>, Vec<usize>) {
    let named = |span: &Span, finding| Conducted { span: *span, finding, count: 0 };
    let flutter = flutter::flutter(recording, quality, beats);
    let two: Vec<Span> = Span::without(&two_to_one::two_to_one(recording, quality, beats), &flutter);
    let (mut out, on_time) = between_beats(recording, quality, beats);
    let in_flutter = |span: Span| 2 * span.covered_by(&flutter) >= span.len();
    out.retain(|c| !in_flutter(c.span) && 2 * c.span.covered_by(&two) < c.span.len());
    let taken = Span::merged(out.iter().map(|c| c.span).chain(flutter.iter().copied()).collect(), 0);
    let first = first_degree::first_degree(recording, averaged);
    out.extend(Span::without(&first, &taken).iter().map(|s| named(s, Conduction::FirstDegree)));
    out.extend(two.iter().map(|s| named(s, Conduction::TwoToOne)));
    out.extend(flutter.iter().map(|s| named(s, Conduction::Flutter)));
    out.sort_by_key(|c| (c.span.start, c.finding));
    (out, on_time)
}

/// What P waves between the beats show, window by window, and the beats that are not early; like findings that are near are one
/// stretch.
fn between_beats(
    recording: &Recording,
    quality: &Quality,
    beats: &[FoundBeat],
) -> (Vec<Conducted>, Vec<usize>) {
    let length = recording.rate.samples_from_seconds(SEARCH_S).max(1);
    let found: Vec<(Vec<Conducted>, Vec<usize>)> = (0..recording.samples.div_euclid(length) + 1)
        .into_par_iter()
        .filter_map(|w| {
            let span = Span::new(w * length, (w + 1) * length);
            let p = p_waves::PWaves::of(recording, quality, beats, span)?;
            Some(match dissociation::complete(&p, beats, span) {
                Some(complete) => (vec![complete], on_time::escapes(beats, span)),
                None => (gaps::named(&p, beats, span), on_time::on_time(&p, beats, span)),
            })
        })
        .collect();
    let (found, on_time): (Vec<_>, Vec<_>) = found.into_iter().unzip();
    let found = joined(found.concat(), recording.rate.samples_from_seconds(JOIN_S));
    let mut on_time = on_time.concat();
    let beside = recording.rate.samples_from_seconds(BESIDE_S);
    let blocks: Vec<Span> = found.iter().filter(|c| is_block(c.finding)).map(|c| c.span).collect();
    let blocks = Span::merged(blocks.iter().map(|s| s.widened(beside, recording.whole())).collect(), 0);
    on_time.retain(|i| blocks.iter().any(|s| s.contains(beats[*i].sample)));
    (found, on_time)
}

/// True where P waves that come on time are not conducted.
fn is_block(finding: Conduction) -> bool {
    use Conduction::{Advanced, Complete, ExitBlock, MobitzOne, MobitzTwo, NotTold, TwoToOne};
    matches!(finding, Advanced | Complete | ExitBlock | MobitzOne | MobitzTwo | NotTold | TwoToOne)
}

/// Findings of one kind that follow within `near` samples as one.
fn joined(mut found: Vec<Conducted>, near: i64) -> Vec<Conducted> {
    found.sort_by_key(|c| (c.finding, c.span.start));
    let mut out: Vec<Conducted> = Vec::new();
    for next in found {
        match out.last_mut() {
            Some(last) if last.finding == next.finding && next.span.start - last.span.end <= near => {
                last.span.end = last.span.end.max(next.span.end);
                last.count += next.count;
            }
            _ => out.push(next),
        }
    }
    out
}
