//! Small days for tests: a letter a beat, the intervals between them in ms, at 1000 samples a second.

use std::sync::Arc;

use crate::model::{
    Averaged, Beat, BeatClass, Event, EventKind, Evidence, Found, FoundBeat, Identity, Lead, LocalTime,
    Origin, Rate, Reading, Recording, Span, Unit, Waves,
};
use crate::settings::Settings;

/// Everything that a reading borrows.
#[derive(Clone)]
pub(crate) struct Made {
    pub recording: Recording,
    pub settings: Settings,
    pub beats: Vec<Beat>,
    pub unreadable: Vec<Span>,
}

/// Beats of the classes `letters`, the first at sample 0, `rr_ms` apart (repeated when shorter); one sample
/// lasts 1 ms.
pub(crate) fn made(letters: &str, rr_ms: &[i64]) -> Made {
    let mut sample = 0;
    let mut beats = Vec::new();
    for (i, letter) in letters.chars().enumerate() {
        if i > 0 {
            sample += rr_ms[(i - 1) % rr_ms.len()];
        }
        beats.push(beat(sample, BeatClass::from_letter(letter).unwrap()));
    }
    Made {
        recording: recording(beats.last().map_or(0, |b| b.sample + 1)),
        settings: Settings::default(),
        beats,
        unreadable: Vec::new(),
    }
}

/// Sinus beats `rr_ms` apart.
pub(crate) fn sinus(rr_ms: &[i64]) -> Made {
    made(&"N".repeat(rr_ms.len() + 1), rr_ms)
}

impl Made {
    /// Makes `start..end` unreadable.
    pub fn with_hole(mut self, start: i64, end: i64) -> Self {
        self.unreadable.push(Span::new(start, end));
        self.unreadable = Span::merged(self.unreadable, 0);
        let holes = self.unreadable.clone();
        self.beats.retain(|b| !holes.iter().any(|h| h.contains(b.sample)));
        self
    }

    /// Starts the recording at `ms` after midnight.
    pub fn starting_at(mut self, ms: i64) -> Self {
        self.recording.start = Some(LocalTime(ms));
        self
    }

    /// Gives every beat the same clearness of its P wave.
    pub fn with_p(mut self, p_before: f32) -> Self {
        self.beats.iter_mut().for_each(|b| b.evidence.p_before = Some(p_before));
        self
    }

    /// Moves everything `by` samples later.
    pub fn later(mut self, by: i64) -> Self {
        self.beats.iter_mut().for_each(|b| b.sample += by);
        self.unreadable.iter_mut().for_each(|s| *s = Span::new(s.start + by, s.end + by));
        self.recording.samples += by;
        self.recording.segments = vec![self.recording.whole()];
        self
    }

    /// What was found: beats N at the same places, and for each five minutes the averaged beat of all of them with the
    /// limits `waves`.
    pub fn found_averaged(&self, waves: Waves) -> Found {
        let found = |b: &Beat| FoundBeat {
            sample: b.sample,
            class: BeatClass::N,
            confidence: 1.0,
            group: 0,
            waves: Waves::default(),
            evidence: Evidence::default(),
        };
        let mut averaged: Vec<Averaged> = Vec::new();
        for window in self.beats.iter().map(|b| (b.sample / 300_000) as u32) {
            match averaged.last_mut() {
                Some(last) if last.window == window => last.beats += 1,
                _ => averaged.push(Averaged { window, beats: 1, waves, doubt: None }),
            }
        }
        let beats: Vec<FoundBeat> = self.beats.iter().map(found).collect();
        Found { in_average: vec![true; beats.len()], averaged, beats, ..Found::default() }
    }

    /// What was found: these beats with their classes. Each has a confidence and a group of its own, so that a test
    /// can tell whose facts it sees.
    pub fn found(&self) -> Found {
        let found = |(i, b): (usize, &Beat)| FoundBeat {
            sample: b.sample,
            class: b.class,
            confidence: 1.0 / (1.0 + i as f32),
            group: 3 + i as u32,
            waves: b.waves,
            evidence: b.evidence,
        };
        Found { beats: self.beats.iter().enumerate().map(found).collect(), ..Found::default() }
    }

    pub fn reading(&self) -> Reading<'_> {
        Reading::new(&self.recording, &self.settings, &self.beats, &self.unreadable)
    }
}

/// Intervals without order, 380 to 900 ms, the same on every run (Lehmer generator).
pub(crate) fn irregular(count: usize) -> Vec<i64> {
    let mut state = 20_240_601u64;
    let mut next = || {
        state = state * 48_271 % 2_147_483_647;
        380 + (state % 521) as i64
    };
    (0..count).map(|_| next()).collect()
}

/// The kinds of `events`, in order.
pub(crate) fn kinds(events: &[Event]) -> Vec<EventKind> {
    events.iter().map(|e| e.kind).collect()
}

fn beat(sample: i64, class: BeatClass) -> Beat {
    Beat {
        sample,
        class,
        class_found: Some(class),
        origin: Origin::Found,
        confidence: 1.0,
        group: 0,
        waves: Waves::default(),
        evidence: Evidence::default(),
    }
}

fn recording(samples: i64) -> Recording {
    Recording {
        name: "made".into(),
        format: "made".into(),
        sha256: String::new(),
        identity: Identity::default(),
        start: None,
        rate: Rate::whole_hz(1000),
        samples,
        segments: vec![Span::new(0, samples)],
        leads: vec![Lead {
            name: "ECG 1".into(),
            unit: Unit::Millivolt,
            adc_per_mv: 200.0,
            adc_zero: 0.0,
            missing: None,
            rails: None,
            prefilter: String::new(),
            samples: Arc::new(Vec::<i16>::new()),
        }],
        others: Vec::new(),
        diary: Vec::new(),
        warnings: Vec::new(),
    }
}
