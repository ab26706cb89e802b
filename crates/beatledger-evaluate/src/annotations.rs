//! Annotation files as an annotator's view of a recording.

use std::path::Path;

use beatledger_core::model::Span;
use beatledger_formats::FormatError;
use beatledger_formats::wfdb::{Annotation, Mapping, beat_class, read_annotations};
use beatledger_score::Annotations;

/// Bits of the subtype of a signal-quality mark that say 'unreadable' (EC57: subtype bits 4 and 5).
const UNREADABLE: u8 = 0x30;
/// Name of second degree AV block (annotation codes of PhysioBank, from memory).
const BLOCK: &str = "BII";

/// The reference of a record of `samples` samples, classes as in the literature.
///
/// # Errors
/// When the annotation file cannot be read.
pub fn reference(path: &Path, samples: i64) -> Result<Annotations, FormatError> {
    Ok(annotations(&read_annotations(path)?, Mapping::Literature, samples))
}

/// Beats, ventricular fibrillation, atrial fibrillation and flutter, and unreadable time. What is open at
/// the end lasts to `end`.
pub(crate) fn annotations(all: &[Annotation], mapping: Mapping, end: i64) -> Annotations {
    let beat = |a: &Annotation| Some((a.sample, beat_class(&a.symbol, mapping)?));
    Annotations {
        vf: between(all, end, |a| match a.symbol.as_str() {
            "[" => Some(true),
            "]" => Some(false),
            _ => None,
        }),
        shutdown: between(all, end, |a| {
            (a.symbol == "~").then_some(a.subtype as u8 & UNREADABLE == UNREADABLE)
        }),
        af: between(all, end, |a| rhythm(a).map(|r| r == "AFIB")),
        flutter: between(all, end, |a| rhythm(a).map(|r| r == "AFL")),
        blocks: between(all, end, |a| rhythm(a).map(|r| r == BLOCK)),
        names_rhythms: all.iter().any(|a| rhythm(a).is_some()),
        ..Annotations::of_beats(all.iter().filter_map(beat).collect())
    }
}

/// Name of the rhythm that a mark starts, such as `AFIB`.
fn rhythm(a: &Annotation) -> Option<&str> {
    (a.symbol == "+").then(|| a.aux.trim_matches('\0').trim())?.strip_prefix('(')
}

/// Stretches from each mark that says `true` to the next that says `false`. A mark `]` is the last sample of
/// its stretch and other marks the first of the next; the sample between is of no weight.
fn between(all: &[Annotation], end: i64, says: impl Fn(&Annotation) -> Option<bool>) -> Vec<Span> {
    let (mut out, mut open) = (Vec::new(), None);
    for a in all {
        match (says(a), open) {
            (Some(true), None) => open = Some(a.sample),
            (Some(false), Some(start)) => {
                out.push(Span::new(start, a.sample + i64::from(a.symbol == "]")));
                open = None;
            }
            _ => {}
        }
    }
    out.extend(open.map(|start| Span::new(start, end.max(start))));
    Span::merged(out, 0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use beatledger_core::model::BeatClass;

    fn mark(sample: i64, symbol: &str, aux: &str) -> Annotation {
        Annotation::new(sample, symbol).unwrap().with_aux(aux)
    }

    #[test]
    fn rhythm_marks_last_to_the_next_one_and_the_last_to_the_end() {
        let all = [
            mark(10, "+", "(AFIB"),
            mark(20, "N", ""),
            mark(50, "+", "(AFL\0"),
            mark(70, "+", "(N"),
            mark(90, "+", "(AFIB"),
        ];
        let seen = annotations(&all, Mapping::Literature, 100);
        assert_eq!(seen.af, [Span::new(10, 50), Span::new(90, 100)]);
        assert_eq!(seen.flutter, [Span::new(50, 70)]);
        assert_eq!(seen.beats, [(20, BeatClass::N)]);
    }

    /// EC57: subtype bits 4 and 5 say unreadable, -1 in the MIT-BIH database has both; any other subtype ends it.
    #[test]
    fn noise_marks_with_both_bits_are_unreadable_time_and_fibrillation_lies_between_brackets() {
        let noise = |sample, subtype| Annotation { subtype, ..mark(sample, "~", "") };
        let all = [noise(10, -1), noise(20, 3), noise(30, 0x33), noise(35, 0x10), mark(40, "[", "")];
        let seen = annotations(&all, Mapping::Literature, 50);
        assert_eq!(seen.shutdown, [Span::new(10, 20), Span::new(30, 35)]);
        assert_eq!(seen.vf, [Span::new(40, 50)]);
        let closed = [mark(5, "[", ""), mark(9, "]", "")];
        assert_eq!(annotations(&closed, Mapping::Ec57, 50).vf, [Span::new(5, 10)]);
    }

    #[test]
    fn escape_beats_are_n_in_the_literature_and_s_by_the_standard() {
        let all = [mark(5, "j", "")];
        assert_eq!(annotations(&all, Mapping::Literature, 9).beats, [(5, BeatClass::N)]);
        assert_eq!(annotations(&all, Mapping::Ec57, 9).beats, [(5, BeatClass::S)]);
    }
}
