//! What a change would do to events, in words.

use std::collections::BTreeMap;

use beatledger_core::model::{Event, EventKind, Rate, Span};
use beatledger_core::session::Snapshot;
use beatledger_report::values::duration_text;

/// What happens to the events of one kind.
#[derive(Default)]
struct Happens<'a> {
    gone: Vec<&'a Event>,
    come: Vec<&'a Event>,
    moved: Vec<(Span, Span)>,
}

/// What becomes of the events when a change is made, a few words a kind: which come, which go, which move. `but` is the event
/// that the change itself speaks of.
pub fn event_changes(before: &Snapshot, after: &Snapshot, but: Option<(EventKind, Span)>) -> Vec<String> {
    let mut of_kinds: BTreeMap<EventKind, Happens<'_>> = BTreeMap::new();
    let counted = |e: &&Event| {
        e.stands() && !e.kind.is_landmark() && !e.kind.is_of_leads() && but != Some((e.kind, e.span))
    };
    let places = |day: &Snapshot| {
        let mut list: Vec<(EventKind, Span)> =
            day.events.iter().filter(counted).map(|e| (e.kind, e.span)).collect();
        list.sort_unstable();
        list
    };
    let (old, new) = (places(before), places(after));
    let is_new = |e: &&Event, list: &[(EventKind, Span)]| list.binary_search(&(e.kind, e.span)).is_err();
    for event in before.events.iter().filter(counted).filter(|e| is_new(e, &new)) {
        of_kinds.entry(event.kind).or_default().gone.push(event);
    }
    for event in after.events.iter().filter(counted).filter(|e| is_new(e, &old)) {
        let happens = of_kinds.entry(event.kind).or_default();
        match happens.gone.iter().position(|gone| gone.span.touches(event.span)) {
            Some(at) => {
                let gone = happens.gone.remove(at);
                happens.moved.push((gone.span, event.span));
            }
            None => happens.come.push(event),
        }
    }
    let rate = before.recording.rate;
    of_kinds.iter().flat_map(|(kind, happens)| words(*kind, happens, rate)).collect()
}

fn words(kind: EventKind, happens: &Happens<'_>, rate: Rate) -> Vec<String> {
    let name = |n: usize| match n {
        1 => format!("1 {}", kind.inside_a_sentence()),
        n => format!("{n} x {}", kind.inside_a_sentence()),
    };
    let mut out = Vec::new();
    if !happens.come.is_empty() {
        let must = if happens.come.iter().any(|e| e.critical) { " (must be read)" } else { "" };
        out.push(format!("makes {}{must}", name(happens.come.len())));
    }
    if !happens.gone.is_empty() {
        out.push(format!("ends {}", name(happens.gone.len())));
    }
    match happens.moved[..] {
        [] => {}
        [(from, to)] => {
            let seconds = |samples: i64| duration_text(rate.seconds_from_samples(samples.abs()));
            let ends = [("start", to.start - from.start), ("end", to.end - from.end)];
            for (end, by) in ends.into_iter().filter(|(_, by)| *by != 0) {
                out.push(format!("moves the {end} of {} by {}", kind.inside_a_sentence(), seconds(by)));
            }
        }
        ref moved => out.push(format!("moves {}", name(moved.len()))),
    }
    out
}
