//! The rows, taken from what stands, and cut to a stretch of the recording.

use beatledger_core::model::{
    Beat, BeatClass, Certainty, DiaryEntry, Event, EventKind, EventState, LocalTime, Origin, Rate, Reading,
    Recording, Span,
};
use beatledger_core::settings::Settings;

/// A beat as a row.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MarkedBeat {
    /// Sample at the recording's rate.
    pub sample: i64,
    /// Seconds from the first sample.
    pub time_s: f64,
    /// Interval from the beat before, ms; `None` at the first beat and across unreadable time.
    pub rr_ms: Option<f64>,
    /// Class in force.
    pub class: BeatClass,
    /// Class that the program found; `None` for a beat that a reader placed.
    pub class_found: Option<BeatClass>,
    /// Who is behind the class.
    pub origin: Origin,
    /// Confidence of the program, 0 to 1; 1 where a reader spoke.
    pub confidence: f32,
    /// Shape group; `None` for a beat that belongs to none.
    pub group: Option<u32>,
}

/// An event as a row.
#[derive(Clone, Debug, PartialEq)]
pub struct MarkedEvent {
    /// What it is.
    pub kind: EventKind,
    /// Where, in samples.
    pub span: Span,
    /// Beats that belong to it; `None` for unreadable time.
    pub beats: Option<u32>,
    /// Mean rate, where it has one.
    pub rate_bpm: Option<f32>,
    /// What a reader said.
    pub state: EventState,
    /// Who found it.
    pub origin: Origin,
    /// Cause or qualifier in trade words.
    pub note: String,
    /// How sure the program is of it, and why it is doubtful where it is.
    pub certainty: Certainty,
}

/// Beats, events and diary of a recording.
#[derive(Clone, Debug, PartialEq)]
pub struct Marks {
    /// Sampling rate that the samples count at.
    pub rate: Rate,
    /// Samples of the recording.
    pub samples: i64,
    /// Wall clock of sample 0.
    pub start: Option<LocalTime>,
    /// SHA-256 of the recording; empty when it is not to be told.
    pub source_sha256: String,
    /// Beats, sorted by sample.
    pub beats: Vec<MarkedBeat>,
    /// Events, sorted by start.
    pub events: Vec<MarkedEvent>,
    /// Diary, sorted by start.
    pub diary: Vec<DiaryEntry>,
}

impl Marks {
    /// The rows of what stands. `unreadable` is sorted and disjoint, gaps included.
    pub fn of(
        recording: &Recording,
        beats: &[Beat],
        events: &[Event],
        unreadable: &[Span],
        diary: &[DiaryEntry],
    ) -> Self {
        // Settings play no part in where intervals are.
        let settings = Settings::default();
        let reading = Reading::new(recording, &settings, beats, unreadable);
        let rate = recording.rate;
        let row = |i: usize, beat: &Beat| MarkedBeat {
            sample: beat.sample,
            time_s: rate.seconds_from_samples(beat.sample),
            // The interval anew from its samples, as the reading holds it with less precision.
            rr_ms: reading.rr_before_ms(i).map(|_| rate.ms_from_samples(beat.sample - beats[i - 1].sample)),
            class: beat.class,
            class_found: beat.class_found,
            origin: beat.origin,
            confidence: beat.confidence,
            group: Some(beat.group).filter(|g| *g != Beat::NO_GROUP),
        };
        let event = |e: &Event| MarkedEvent {
            kind: e.kind,
            span: e.span,
            beats: (e.kind != EventKind::Unreadable).then(|| e.beat_count()),
            rate_bpm: e.rate_bpm.filter(|r| r.is_finite()),
            state: e.state,
            origin: e.origin,
            note: e.note.clone(),
            certainty: e.certainty.clone(),
        };
        Self {
            rate,
            samples: recording.samples,
            start: recording.start,
            source_sha256: recording.sha256.clone(),
            beats: beats.iter().enumerate().map(|(i, b)| row(i, b)).collect(),
            events: events.iter().map(event).collect(),
            diary: diary.to_vec(),
        }
    }

    /// The rows inside `span`, counted from its start. The first beat has no interval; an event that reaches out is
    /// cut, with its beats counted anew and its rate left out.
    #[must_use]
    pub fn cut(&self, span: Span) -> Self {
        let span = span.overlap(Span::new(0, self.samples));
        let inside = self.beats.iter().filter(|b| span.contains(b.sample));
        let mut beats: Vec<MarkedBeat> = inside
            .map(|b| MarkedBeat {
                sample: b.sample - span.start,
                time_s: self.rate.seconds_from_samples(b.sample - span.start),
                ..*b
            })
            .collect();
        if let Some(first) = beats.first_mut() {
            first.rr_ms = None;
        }
        let events = self.events.iter().filter(|e| e.span.touches(span)).map(|e| {
            let part = e.span.overlap(span);
            let moved = Span::new(part.start - span.start, part.end - span.start);
            let count = beats.iter().filter(|b| moved.contains(b.sample)).count() as u32;
            let whole = part == e.span;
            MarkedEvent {
                span: moved,
                beats: if whole { e.beats } else { e.beats.map(|_| count) },
                rate_bpm: e.rate_bpm.filter(|_| whole),
                ..e.clone()
            }
        });
        Self {
            samples: span.len(),
            start: self.start.map(|s| crate::cut::moved(s, self.rate, span.start)),
            events: events.collect(),
            diary: crate::cut::diary_in(&self.diary, span),
            beats,
            ..self.clone()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::marks::testing::marks_at;

    #[test]
    fn a_cut_counts_from_its_own_start_and_its_first_beat_has_no_interval() {
        let mut marks = marks_at(250, &[0, 200, 400, 600, 800]);
        marks.events = vec![MarkedEvent {
            kind: EventKind::VentricularTachycardia,
            span: Span::new(200, 601),
            beats: Some(3),
            rate_bpm: Some(75.0),
            state: EventState::Unread,
            origin: Origin::Found,
            note: String::new(),
            certainty: Certainty::sure(),
        }];
        let cut = marks.cut(Span::new(300, 700));
        let list: Vec<_> = cut.beats.iter().map(|b| (b.sample, b.time_s, b.rr_ms)).collect();
        assert_eq!(list, [(100, 0.4, None), (300, 1.2, Some(800.0))]);
        let event = &cut.events[0];
        assert_eq!((event.span, event.beats, event.rate_bpm), (Span::new(0, 301), Some(2), None));
        assert_eq!((cut.samples, marks.cut(marks.whole()).beats.len()), (400, 5));
    }
}
