//! Beats, rhythms, signal quality and diary as annotations of the WFDB code table.

use beatledger_core::model::{BeatClass, EventKind, EventState};

use super::Marks;
use crate::edf::text_with_kind;
use crate::wfdb::Annotation;

/// Subtype of a signal-quality mark: nothing can be read from here on; 0 is readable again (WFDB annotation table
/// and the EC57 comparison programs built on it).
pub const UNREADABLE: i8 = -1;
/// Longest text of an annotation, bytes.
const MAX_AUX: usize = 255;

/// Rhythm text of an event that is a rhythm, by the WFDB list of rhythm annotations.
pub fn rhythm(kind: EventKind) -> Option<&'static str> {
    match kind {
        EventKind::AtrialFibrillation => Some("(AFIB"),
        EventKind::AtrialFlutter => Some("(AFL"),
        EventKind::SupraventricularBigeminy => Some("(AB"),
        EventKind::VentricularFibrillation => Some("(VFL"),
        EventKind::VentricularTachycardia => Some("(VT"),
        EventKind::IdioventricularRun => Some("(IVR"),
        EventKind::VentricularBigeminy => Some("(B"),
        EventKind::VentricularTrigeminy => Some("(T"),
        EventKind::SupraventricularRun => Some("(SVTA"),
        EventKind::Bradycardia => Some("(SBR"),
        _ => None,
    }
}

fn symbol(class: BeatClass) -> &'static str {
    match class {
        BeatClass::N => "N",
        BeatClass::S => "S",
        BeatClass::V => "V",
        BeatClass::F => "F",
        BeatClass::Q => "Q",
    }
}

/// The annotations, sorted by sample. Beats by class; `+` with a rhythm text where a rhythm begins and `(N` (or the
/// rhythm around it) where it ends; `~` where signal is lost and comes back; `"` with the words of the diary and with
/// the kind of every other event. Events that a reader dropped are left out. Two annotations never share a sample:
/// a mark that meets a beat stands beside it.
pub fn annotations(marks: &Marks) -> Vec<Annotation> {
    let mut out: Vec<Annotation> = Vec::with_capacity(marks.beats.len() + 2 * marks.events.len() + 16);
    let mut push = |sample: i64, symbol: &str, aux: &str, subtype: i8| {
        let aux = &aux[..(0..=aux.len().min(MAX_AUX)).rev().find(|n| aux.is_char_boundary(*n)).unwrap_or(0)];
        // Every symbol used here is in the code table.
        out.extend(Annotation::new(sample, symbol).map(|a| Annotation { subtype, ..a.with_aux(aux) }));
    };
    for beat in &marks.beats {
        push(beat.sample, symbol(beat.class), "", 0);
    }
    let kept = || marks.events.iter().filter(|e| e.state != EventState::Dropped);
    for (sample, text) in rhythm_changes(marks) {
        push(sample, "+", text, 0);
    }
    for event in kept() {
        if event.kind == EventKind::Unreadable {
            push(event.span.start, "~", "", UNREADABLE);
            push(event.span.end.min(marks.samples - 1), "~", "", 0);
        } else if rhythm(event.kind).is_none() {
            push(event.span.start, "\"", event.kind.words(), 0);
        }
    }
    for entry in &marks.diary {
        push(entry.span.start, "\"", &text_with_kind(entry.kind, &entry.text), 0);
    }
    out.sort_by_key(|a| a.sample);
    set_apart(out, marks.samples)
}

/// Where the rhythm changes, and to what: of rhythms that overlap the one that began last holds.
fn rhythm_changes(marks: &Marks) -> Vec<(i64, &'static str)> {
    let rhythms: Vec<_> = marks
        .events
        .iter()
        .filter(|e| e.state != EventState::Dropped)
        .filter_map(|e| Some((e.span, rhythm(e.kind)?)))
        .collect();
    let first = marks.beats.first().map_or(0, |b| (b.sample - 1).max(0));
    let mut places: Vec<i64> = rhythms.iter().flat_map(|(s, _)| [s.start, s.end]).collect();
    places.push(first);
    places.sort_unstable();
    places.dedup();
    let mut out: Vec<(i64, &'static str)> = Vec::new();
    for place in places.into_iter().filter(|p| *p < marks.samples) {
        let holding = rhythms.iter().filter(|(s, _)| s.contains(place)).max_by_key(|(s, _)| s.start);
        let text = holding.map_or("(N", |(_, text)| text);
        if out.last().is_none_or(|(_, before)| *before != text) {
            out.push((place, text));
        }
    }
    out
}

/// Moves marks off the samples that are taken: beats keep their place, others go to the nearest free sample before,
/// or after where there is none.
fn set_apart(sorted: Vec<Annotation>, samples: i64) -> Vec<Annotation> {
    let is_beat = |a: &Annotation| matches!(a.symbol.as_str(), "N" | "S" | "V" | "F" | "Q");
    let mut taken: std::collections::BTreeSet<i64> =
        sorted.iter().filter(|a| is_beat(a)).map(|a| a.sample).collect();
    let mut out = Vec::with_capacity(sorted.len());
    for annotation in sorted {
        if is_beat(&annotation) {
            out.push(annotation);
            continue;
        }
        let free = |s: &i64| !taken.contains(s);
        let before = (0..=annotation.sample).rev().take(64).find(free);
        let place = before.or_else(|| (annotation.sample..samples).find(free)).unwrap_or(annotation.sample);
        taken.insert(place);
        out.push(Annotation { sample: place, ..annotation });
    }
    out.sort_by_key(|a| a.sample);
    out
}

#[cfg(test)]
mod tests {
    use beatledger_core::model::{DiaryEntry, DiaryKind, Origin, Span};

    use super::*;
    use crate::marks::MarkedEvent;
    use crate::marks::testing::marks_at;
    use crate::wfdb::{read_annotation_file, write_annotations};

    fn event(kind: EventKind, start: i64, end: i64) -> MarkedEvent {
        MarkedEvent {
            kind,
            span: Span::new(start, end),
            beats: Some(2),
            rate_bpm: None,
            state: EventState::Unread,
            origin: Origin::Found,
            note: String::new(),
            certainty: beatledger_core::model::Certainty::sure(),
        }
    }

    #[test]
    fn rhythms_open_and_close_with_the_texts_of_the_code_table() {
        let mut marks = marks_at(250, &[100, 300, 500, 700, 900, 1100]);
        marks.beats[2].class = BeatClass::V;
        marks.events = vec![
            event(EventKind::AtrialFibrillation, 300, 901),
            event(EventKind::VentricularTachycardia, 500, 701),
            event(EventKind::Pause, 900, 1100),
            event(EventKind::Unreadable, 1150, 1200),
        ];
        for kind in [EventKind::Bradycardia, EventKind::Pause] {
            marks.events.push(MarkedEvent { state: EventState::Dropped, ..event(kind, 0, 900) });
        }
        marks.diary =
            vec![DiaryEntry { span: Span::new(500, 500), kind: DiaryKind::Symptom, text: "dizzy".into() }];
        let list = annotations(&marks);
        let row = |a: &Annotation| (a.sample, a.symbol.clone(), a.aux.clone(), a.subtype);
        let marks_only: Vec<_> = list.iter().filter(|a| !"NV".contains(&a.symbol)).map(row).collect();
        let expected = [
            (99, "+", "(N", 0),
            (299, "+", "(AFIB", 0),
            (498, "\"", "Symptom: dizzy", 0),
            (499, "+", "(VT", 0),
            (701, "+", "(AFIB", 0),
            (899, "\"", "Pause", 0),
            (901, "+", "(N", 0),
            (1150, "~", "", -1),
            (1199, "~", "", 0),
        ];
        let mut expected: Vec<_> = expected.map(|(s, y, t, u)| (s, y.to_owned(), t.to_owned(), u)).into();
        expected.sort();
        let mut found = marks_only;
        found.sort();
        assert_eq!(found, expected);
        let mut places: Vec<_> = list.iter().map(|a| a.sample).collect();
        places.dedup();
        assert_eq!(places.len(), list.len(), "no two annotations share a sample");
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.atr");
        write_annotations(&path, &list, Some(marks.rate)).unwrap();
        assert_eq!(read_annotation_file(&path, Some(marks.rate)).unwrap().annotations, list);
    }
}
