//! The truth as annotations of the WFDB code table.

use beatledger_core::model::BeatClass;
use beatledger_formats::marks::{UNREADABLE, rhythm};
use beatledger_formats::wfdb::Annotation;

use crate::make::Made;

/// Readable beats, changes of rhythm, and marks where signal is lost on all leads and comes back.
pub(crate) fn annotations(made: &Made) -> Vec<Annotation> {
    let truth = &made.truth;
    let mut out: Vec<Annotation> = Vec::with_capacity(truth.beats.len() + 64);
    let mut push = |sample: i64, symbol: &str, aux: &str, subtype: i8| {
        // Every symbol used here is in the code table.
        out.extend(Annotation::new(sample, symbol).map(|a| Annotation { subtype, ..a.with_aux(aux) }));
    };
    if let Some(first) = truth.beats.iter().find(|b| b.readable) {
        push((first.sample - 1).max(0), "+", "(N", 0);
    }
    for beat in truth.beats.iter().filter(|b| b.readable) {
        let symbol = match beat.class {
            BeatClass::N => "N",
            BeatClass::S => "A",
            BeatClass::V => "V",
            BeatClass::F => "F",
            BeatClass::Q => "Q",
        };
        push(beat.sample, symbol, "", 0);
    }
    for event in &truth.events {
        if let Some(name) = rhythm(event.kind) {
            // One sample beside the beats, as two annotations of a signal may not share a sample.
            push((event.span.start - 1).max(0), "+", name, 0);
            push(event.span.end, "+", "(N", 0);
        }
    }
    for span in &truth.unreadable {
        push(span.start, "~", "", UNREADABLE);
        push(span.end.min(made.recording.samples - 1), "~", "", 0);
    }
    out.sort_by_key(|a| a.sample);
    out
}
