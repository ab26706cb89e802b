//! Edits applied to the output of each stage. Every function is pure; a later edit wins over an earlier one.

use std::borrow::Cow;
use std::collections::BTreeMap;

use super::{Edit, Entry, Fold};
use crate::delineate;
use crate::model::{
    Beat, BeatClass, Event, EventKind, EventState, Evidence, Found, FoundBeat, Origin, Recording, Silence,
    Span,
};
use crate::settings::{Settings, TABLE};

/// An edit whose target is not there (any more): kept and shown, never dropped in silence.
#[derive(Clone, Debug, PartialEq)]
pub struct Orphan {
    /// Sequence number of the ledger entry.
    pub seq: u64,
    /// The edit in words.
    pub words: String,
    /// How many of its targets were not found.
    pub missing: usize,
}

/// Unreadable time in force: what was found, plus gaps, plus marks, minus what a reader declared readable.
pub fn unreadable_in_force(recording: &Recording, found: &Found, edits: &[(u64, Edit)]) -> Vec<Span> {
    let mut spans = found.quality.unreadable.clone();
    for (_, edit) in edits {
        match edit {
            Edit::MarkNoise { span } => spans.push(span.overlap(recording.whole())),
            Edit::UnmarkNoise { span } => spans = Span::without(&spans, &[*span]),
            _ => {}
        }
    }
    spans.extend(gaps(recording));
    Span::merged(spans, 0)
}

/// Stretches of the recording without data.
fn gaps(recording: &Recording) -> Vec<Span> {
    let mut gaps = Vec::new();
    let mut at = 0;
    for segment in &recording.segments {
        gaps.push(Span::new(at, segment.start));
        at = segment.end;
    }
    gaps.push(Span::new(at, recording.samples));
    gaps.retain(|g| !g.is_empty());
    gaps
}

/// Stretches of ventricular flutter or fibrillation that were found, less those that a reader dropped or calls
/// something else: their beats come back.
fn ventricular_waves_in_force(found: &Found, edits: &[(u64, Edit)]) -> Vec<Span> {
    let mut waves = found.ventricular_waves.clone();
    let is = |a: &Span, b: Span| 2 * a.overlap(b).len() >= a.len().min(b.len()).max(1);
    for (_, edit) in edits {
        match edit {
            Edit::DropEvent { kind: EventKind::VentricularFibrillation, span } => {
                waves.retain(|w| !is(w, *span))
            }
            Edit::ChangeEvent { kind: EventKind::VentricularFibrillation, span, new_kind, .. }
                if *new_kind != EventKind::VentricularFibrillation =>
            {
                waves.retain(|w| !is(w, *span));
            }
            Edit::KeepEvent { kind: EventKind::VentricularFibrillation, span } => {
                waves.extend(found.ventricular_waves.iter().filter(|w| is(w, *span)));
            }
            _ => {}
        }
    }
    Span::merged(waves, 0)
}

/// Stretches of which a reader said that they are not `kind`, nor one of its `kin`: what the beats make there shows.
pub fn said_not(edits: &[(u64, Edit)], kind: EventKind, kin: &[EventKind]) -> Vec<Span> {
    let mut spans = Vec::new();
    for (_, edit) in edits {
        match edit {
            Edit::DropEvent { kind: of, span } if *of == kind => spans.push(*span),
            Edit::ChangeEvent { kind: of, span, new_kind, .. }
                if *of == kind && *new_kind != kind && !kin.contains(new_kind) =>
            {
                spans.push(*span);
            }
            Edit::KeepEvent { kind: of, span } if *of == kind => spans = Span::without(&spans, &[*span]),
            _ => {}
        }
    }
    Span::merged(spans, 0)
}

/// Silences in which contact is uncertain, less those of which a reader dropped the event: their interval counts again.
pub fn silences_in_force(found: &Found, edits: &[(u64, Edit)]) -> Vec<Silence> {
    let is = |s: &Silence, b: Span| 2 * s.span.overlap(b).len() >= s.span.len().min(b.len()).max(1);
    let mut in_force = vec![true; found.silences.len()];
    for (_, edit) in edits {
        let (span, stands) = match edit {
            Edit::DropEvent { kind: EventKind::ContactUncertain, span } => (*span, false),
            Edit::KeepEvent { kind: EventKind::ContactUncertain, span }
            | Edit::ChangeEvent { kind: EventKind::ContactUncertain, span, .. } => (*span, true),
            _ => continue,
        };
        for (flag, _) in in_force.iter_mut().zip(&found.silences).filter(|(_, s)| is(s, span)) {
            *flag = stands;
        }
    }
    found.silences.iter().zip(in_force).filter(|(_, stands)| *stands).map(|(s, _)| *s).collect()
}

/// Beats as they stand: found beats with the reader's edits; beats inside unreadable time and inside ventricular
/// flutter or fibrillation are left out unless a reader placed them.
pub fn apply_beats(
    recording: &Recording,
    found: &Found,
    unreadable: &[Span],
    edits: &[(u64, Edit)],
) -> (Vec<Beat>, Vec<Orphan>) {
    let waves = ventricular_waves_in_force(found, edits);
    let hidden = if waves.is_empty() {
        Cow::Borrowed(unreadable)
    } else {
        Cow::Owned(Span::merged([unreadable, &waves].concat(), 0))
    };
    let mut beats: Vec<Beat> = outside(&found.beats, &hidden).map(beat_from_found).collect();
    if !edits.iter().any(|(_, e)| e.beat_count() > 0) {
        return (beats, Vec::new());
    }
    let mut placed: BTreeMap<i64, Beat> = BTreeMap::new();
    let mut removed = vec![false; beats.len()];
    let mut orphans = Vec::new();
    for (seq, edit) in edits {
        let missing = apply_one(recording, &mut beats, &mut placed, &mut removed, edit);
        if missing > 0 {
            orphans.push(Orphan { seq: *seq, words: edit.words(), missing });
        }
    }
    let mut keep = removed.iter().map(|r| !r);
    // `removed` has one flag per element of `beats`, so the iterator never runs out.
    beats.retain(|_| keep.next().unwrap_or(true));
    beats.extend(placed.into_values());
    beats.sort_by_key(|b| b.sample);
    (beats, orphans)
}

/// Applies one edit; gives the number of targets that were not found.
fn apply_one(
    recording: &Recording,
    beats: &mut [Beat],
    placed: &mut BTreeMap<i64, Beat>,
    removed: &mut [bool],
    edit: &Edit,
) -> usize {
    let live = |beats: &[Beat], removed: &[bool], sample: i64| {
        beats.binary_search_by_key(&sample, |b| b.sample).ok().filter(|at| !removed[*at])
    };
    match edit {
        Edit::Relabel { beats: targets, class } => {
            let mut missing = 0;
            for sample in targets {
                let beat = match live(beats, removed, *sample) {
                    Some(at) => &mut beats[at],
                    None => match placed.get_mut(sample) {
                        Some(beat) => beat,
                        None => {
                            missing += 1;
                            continue;
                        }
                    },
                };
                beat.class = *class;
                beat.origin = Origin::Reader;
            }
            missing
        }
        Edit::RemoveBeats { beats: targets } => targets
            .iter()
            .filter(|sample| match live(beats, removed, **sample) {
                Some(at) => {
                    removed[at] = true;
                    false
                }
                None => placed.remove(sample).is_none(),
            })
            .count(),
        Edit::InsertBeat { sample, class } => {
            if !recording.whole().contains(*sample) || live(beats, removed, *sample).is_some() {
                return 1;
            }
            placed.insert(*sample, placed_beat(recording, *sample, *class));
            0
        }
        Edit::MoveBeat { from, to } => {
            let taken = match live(beats, removed, *from) {
                Some(at) => {
                    removed[at] = true;
                    Some(beats[at])
                }
                None => placed.remove(from),
            };
            match taken.filter(|_| recording.whole().contains(*to)) {
                Some(beat) => {
                    placed.insert(*to, Beat { sample: *to, origin: Origin::Reader, ..beat });
                    0
                }
                None => 1,
            }
        }
        _ => 0,
    }
}

fn outside<'a>(beats: &'a [FoundBeat], holes: &'a [Span]) -> impl Iterator<Item = &'a FoundBeat> {
    let mut hole = 0;
    beats.iter().filter(move |b| {
        while hole < holes.len() && holes[hole].end <= b.sample {
            hole += 1;
        }
        holes.get(hole).is_none_or(|h| !h.contains(b.sample))
    })
}

fn beat_from_found(found: &FoundBeat) -> Beat {
    Beat {
        sample: found.sample,
        class: found.class,
        class_found: Some(found.class),
        origin: Origin::Found,
        confidence: found.confidence,
        group: found.group,
        waves: found.waves,
        evidence: found.evidence,
    }
}

fn placed_beat(recording: &Recording, sample: i64, class: BeatClass) -> Beat {
    Beat {
        sample,
        class,
        class_found: None,
        origin: Origin::Reader,
        confidence: 1.0,
        group: Beat::NO_GROUP,
        waves: delineate::one(recording, sample),
        evidence: Evidence::default(),
    }
}

/// Events as they stand: found events with what a reader said about each.
pub fn apply_events(
    mut events: Vec<Event>,
    beats: &[Beat],
    edits: &[(u64, Edit)],
) -> (Vec<Event>, Vec<Orphan>) {
    let mut orphans = Vec::new();
    for (seq, edit) in edits {
        let hit = match edit {
            Edit::KeepEvent { kind, span } => {
                with_event(&mut events, *kind, *span, |e| e.state = EventState::Kept)
            }
            Edit::DropEvent { kind, span } => {
                with_event(&mut events, *kind, *span, |e| e.state = EventState::Dropped)
            }
            Edit::ChangeEvent { kind, span, new_kind, new_span } => {
                with_event(&mut events, *kind, *span, |e| {
                    e.kind = *new_kind;
                    e.span = *new_span;
                    e.beats = beat_range(beats, *new_span);
                    e.state = EventState::Changed;
                    e.origin = Origin::Reader;
                })
            }
            Edit::AddEvent { kind, span } => {
                events.push(added_event(beats, *kind, *span));
                true
            }
            _ => true,
        };
        if !hit {
            orphans.push(Orphan { seq: *seq, words: edit.words(), missing: 1 });
        }
    }
    events.sort_by_key(|e| (e.span.start, e.kind));
    (events, orphans)
}

/// Acts on the event of `kind` that shares most with `span`; false when none shares at least half of the shorter.
fn with_event(events: &mut [Event], kind: EventKind, span: Span, act: impl FnOnce(&mut Event)) -> bool {
    let best = events
        .iter_mut()
        .filter(|e| e.kind == kind && 2 * e.span.overlap(span).len() >= e.span.len().min(span.len()).max(1))
        .max_by_key(|e| e.span.overlap(span).len());
    match best {
        Some(event) => {
            act(event);
            true
        }
        None => false,
    }
}

fn added_event(beats: &[Beat], kind: EventKind, span: Span) -> Event {
    Event {
        kind,
        span,
        beats: beat_range(beats, span),
        rate_bpm: None,
        state: EventState::Changed,
        origin: Origin::Reader,
        critical: false,
        note: String::new(),
        certainty: crate::model::Certainty::sure(),
    }
}

fn beat_range(beats: &[Beat], span: Span) -> (u32, u32) {
    let at = |sample| beats.partition_point(|b| b.sample < sample) as u32;
    (at(span.start), at(span.end))
}

/// Settings in force after these ledger entries: what beats must be found with before a session starts on them.
pub fn settings_of<'a>(base: &Settings, entries: impl IntoIterator<Item = &'a Entry>) -> Settings {
    apply_settings(base, &Fold::of(entries).in_force).0
}

/// True when beats are found alike with both: no setting that decides how they are found differs.
pub fn found_alike(a: &Settings, b: &Settings) -> bool {
    TABLE.iter().filter(|row| row.refind).all(|row| row.value(a) == row.value(b))
}

/// Settings in force: the given ones with the reader's changes; changes that are not allowed are orphans.
pub fn apply_settings(base: &Settings, edits: &[(u64, Edit)]) -> (Settings, Vec<Orphan>) {
    let mut settings = base.clone();
    let mut orphans = Vec::new();
    for (seq, edit) in edits {
        let Edit::ChangeSetting { key, value } = edit else { continue };
        if settings.set(key, *value).is_err() {
            orphans.push(Orphan { seq: *seq, words: edit.words(), missing: 1 });
        }
    }
    (settings, orphans)
}
