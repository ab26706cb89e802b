//! Raw samples of a stretch, with missing ones bridged so that filters have something to hold on to.

use crate::model::{Recording, Span};

/// Raw samples of a stretch of one lead; where samples are missing, a bridge stands in their place.
#[derive(Clone, Debug, Default)]
pub(crate) struct Bridged {
    /// One value per sample of the stretch.
    pub raw: Vec<i32>,
    /// Missing stretches, relative to the start of the stretch, sorted and disjoint.
    pub gaps: Vec<Span>,
}

/// Reads `span` of `lead`; samples outside the recording or its segments are missing too.
///
/// A gap is bridged by holding its two edges for `hold` samples each (up to the middle of a shorter gap).
/// A filter that reaches `hold` samples to both sides therefore sees no step beside a gap, and sees the same
/// whatever stretch was read, as long as the stretch is wider than its values by three times `hold`.
pub(crate) fn read_bridged(recording: &Recording, lead: usize, span: Span, hold: i64) -> Bridged {
    let mut raw = vec![0i32; span.len().max(0) as usize];
    let Some(lead) = recording.leads.get(lead) else {
        return Bridged { raw, gaps: vec![Span::new(0, span.len())] };
    };
    let inside = span.overlap(Span::new(0, (lead.samples.len() as i64).min(recording.samples)));
    if !inside.is_empty() {
        let at = (inside.start - span.start) as usize;
        lead.samples.read(inside.start as usize, &mut raw[at..at + inside.len() as usize]);
    }
    let gaps = gaps_in(recording, span, inside, lead.missing, &raw);
    for gap in &gaps {
        bridge(&mut raw, *gap, hold);
    }
    Bridged { raw, gaps }
}

/// Missing stretches of `raw`, which holds `span`, of which only `inside` was read.
fn gaps_in(recording: &Recording, span: Span, inside: Span, missing: Option<i32>, raw: &[i32]) -> Vec<Span> {
    let mut gaps = Vec::new();
    let mut at = span.start;
    let first = recording.segments.partition_point(|s| s.end <= span.start);
    for segment in recording.segments[first..].iter().take_while(|s| s.start < span.end) {
        let known = segment.overlap(inside);
        if known.is_empty() {
            continue;
        }
        gaps.push(Span::new(at - span.start, known.start - span.start));
        at = known.end;
    }
    gaps.push(Span::new(at - span.start, span.end - span.start));
    if let Some(missing) = missing {
        // Most stretches have no missing value at all, which a whole chunk tells in one go.
        for (chunk, values) in raw.chunks(1024).enumerate().filter(|(_, v)| v.contains(&missing)) {
            for (i, _) in values.iter().enumerate().filter(|(_, v)| **v == missing) {
                let start = (chunk * 1024 + i) as i64;
                match gaps.last_mut() {
                    Some(last) if last.end == start => last.end += 1,
                    _ => gaps.push(Span::new(start, start + 1)),
                }
            }
        }
    }
    Span::merged(gaps, 0)
}

fn bridge(raw: &mut [i32], gap: Span, hold: i64) {
    let n = raw.len() as i64;
    let left = (gap.start > 0).then(|| raw[(gap.start - 1) as usize]);
    let right = (gap.end < n).then(|| raw[gap.end as usize]);
    let (left, right) = match (left, right) {
        (Some(l), Some(r)) => (l, r),
        (Some(v), None) | (None, Some(v)) => (v, v),
        (None, None) => (0, 0),
    };
    let open = gap.end >= n || gap.start <= 0;
    let middle = if open || gap.len() > 2 * hold { gap.start + hold } else { gap.start + gap.len() / 2 };
    let middle = if gap.start <= 0 { gap.start } else { middle.min(gap.end) };
    raw[gap.start as usize..middle as usize].fill(left);
    raw[middle as usize..gap.end as usize].fill(right);
}
