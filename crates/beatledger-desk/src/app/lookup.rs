//! Finding beats, events and night hours in a snapshot.

use beatledger_core::model::{BeatClass, Event, LocalTime, Span};
use beatledger_core::session::Snapshot;
use beatledger_report::values::{day_clock, grouped};

use crate::app::selection::Selection;

/// The selection that choosing an event makes: its beats, its span, and the event itself.
pub fn selection_of_event(snapshot: &Snapshot, event: &Event) -> Selection {
    let at = day_clock(&snapshot.recording, event.span.start);
    let mut selection =
        Selection::of_beats(event_beats(snapshot, event), event.kind.words().to_owned() + " at " + &at);
    selection.span = Some(event.span);
    selection.event = Some((event.kind, event.span));
    selection
}

/// Samples of the beats of an event.
pub fn event_beats(snapshot: &Snapshot, event: &Event) -> Vec<i64> {
    let (from, to) = (event.beats.0 as usize, event.beats.1 as usize);
    snapshot.beats.get(from..to.max(from)).unwrap_or_default().iter().map(|b| b.sample).collect()
}

/// Samples of the beats inside `span`.
pub fn beats_in(snapshot: &Snapshot, span: Span) -> Vec<i64> {
    let at = |sample| snapshot.beats.partition_point(|b| b.sample < sample);
    snapshot.beats[at(span.start)..at(span.end)].iter().map(|b| b.sample).collect()
}

/// Index of the beat at exactly `sample`.
pub fn beat_at(snapshot: &Snapshot, sample: i64) -> Option<usize> {
    snapshot.beats.binary_search_by_key(&sample, |b| b.sample).ok()
}

/// How many of `samples` have which class, such as `12 V, 3 N`; samples without a beat are left out.
pub fn class_mix(snapshot: &Snapshot, samples: &[i64]) -> String {
    let mut counts = [0usize; 5];
    if samples.len() > 64 {
        // One walk over both sorted lists is cheaper than a search per beat.
        let mut wanted = samples.iter().peekable();
        for beat in snapshot.beats.iter() {
            while wanted.peek().is_some_and(|s| **s < beat.sample) {
                wanted.next();
            }
            if wanted.peek() == Some(&&beat.sample) {
                counts[beat.class.index()] += 1;
            }
        }
    } else {
        for at in samples.iter().filter_map(|s| beat_at(snapshot, *s)) {
            counts[snapshot.beats[at].class.index()] += 1;
        }
    }
    let parts: Vec<String> = BeatClass::ALL
        .iter()
        .filter(|c| counts[c.index()] > 0)
        .map(|c| format!("{} {}", grouped(counts[c.index()] as u64), c.letter()))
        .collect();
    parts.join(", ")
}

/// Night hours of the recording by the settings in force; none when the start is unknown.
pub fn nights(snapshot: &Snapshot) -> Vec<Span> {
    let recording = &snapshot.recording;
    let Some(start) = recording.start else { return Vec::new() };
    let (from_h, to_h) = (snapshot.settings.night_from_h, snapshot.settings.night_to_h);
    let length_h = if to_h > from_h { to_h - from_h } else { 24.0 - from_h + to_h };
    let sample_at =
        |ms_from_midnight: f64| recording.rate.samples_from_ms(ms_from_midnight - start.ms_of_day() as f64);
    let days = (recording.hours() / 24.0).ceil() as i64 + 1;
    (-1..=days)
        .map(|day| {
            let from_ms = day as f64 * LocalTime::DAY_MS as f64 + from_h * 3_600_000.0;
            Span::new(sample_at(from_ms), sample_at(from_ms + length_h * 3_600_000.0))
        })
        .map(|night| night.overlap(recording.whole()))
        .filter(|night| !night.is_empty())
        .collect()
}
