//! What the later stages read: the beats as they stand, with their RR intervals checked for holes.

use super::{Beat, Found, Recording, Silence, Span};
use crate::settings::Settings;

/// Beats as they stand with everything that later stages need. RR intervals across unreadable time, a gap
/// or an edge do not exist: they are NaN, never a number.
#[derive(Clone, Debug)]
pub struct Reading<'a> {
    /// The recording.
    pub recording: &'a Recording,
    /// Settings in force.
    pub settings: &'a Settings,
    /// Beats as they stand, sorted by sample.
    pub beats: &'a [Beat],
    /// Unreadable time as it stands (found and marked by a reader) and gaps, sorted and disjoint.
    pub unreadable: &'a [Span],
    /// `rr_ms[i]` is the interval from beat `i - 1` to beat `i`, ms; NaN for `i == 0` and across a hole.
    pub rr_ms: Vec<f32>,
    /// What the program found, for what only the tracing tells; `None` where nothing was looked for.
    pub found: Option<&'a Found>,
    /// Stretches of which a reader said that they are no fibrillation, sorted and disjoint.
    pub no_fibrillation: Vec<Span>,
    /// Stretches of which a reader said that they are no AV block, sorted and disjoint.
    pub no_block: Vec<Span>,
    /// Stretches of which a reader said that they are no flutter, sorted and disjoint.
    pub no_flutter: Vec<Span>,
}

impl<'a> Reading<'a> {
    /// Computes the RR intervals once.
    pub fn new(
        recording: &'a Recording,
        settings: &'a Settings,
        beats: &'a [Beat],
        unreadable: &'a [Span],
    ) -> Self {
        let mut hole = 0;
        let mut rr_ms = vec![f32::NAN; beats.len()];
        for i in 1..beats.len() {
            let between = Span::new(beats[i - 1].sample, beats[i].sample);
            while hole < unreadable.len() && unreadable[hole].end <= between.start {
                hole += 1;
            }
            if unreadable.get(hole).is_none_or(|h| !h.touches(between)) {
                rr_ms[i] = recording.rate.ms_from_samples(between.len()) as f32;
            }
        }
        Self {
            recording,
            settings,
            beats,
            unreadable,
            rr_ms,
            found: None,
            no_fibrillation: Vec::new(),
            no_block: Vec::new(),
            no_flutter: Vec::new(),
        }
    }

    /// The same with what the program found. No interval reaches across ventricular flutter or fibrillation; where
    /// beats stand inside, a reader does not agree that it is.
    pub fn with_found(self, found: &'a Found) -> Self {
        let mut reading = Self { found: Some(found), ..self };
        for waves in &found.ventricular_waves {
            let inside = reading.beats_in(*waves);
            if inside.is_empty()
                && let Some(rr) = reading.rr_ms.get_mut(inside.end)
            {
                *rr = f32::NAN;
            }
        }
        reading
    }

    /// The same with the silences in force in which contact is uncertain: no interval as long as a pause reaches across one.
    pub fn with_silences(self, silences: &[Silence]) -> Self {
        let mut reading = self;
        let is_long =
            |s: &&Silence| reading.recording.rate.ms_from_samples(s.span.len()) >= reading.settings.pause_ms;
        for silence in silences.iter().filter(is_long).copied().collect::<Vec<_>>() {
            if let Some(after) = reading.beat_after(&silence) {
                reading.rr_ms[after] = f32::NAN;
            }
        }
        reading
    }

    /// The same with the stretches of which a reader said that they are no fibrillation, no AV block and no flutter.
    pub fn with_answers(
        self,
        no_fibrillation: Vec<Span>,
        no_block: Vec<Span>,
        no_flutter: Vec<Span>,
    ) -> Self {
        Self { no_fibrillation, no_block, no_flutter, ..self }
    }

    /// The beat after a silence, with another one before it; `None` where a beat stands inside by now.
    pub fn beat_after(&self, silence: &Silence) -> Option<usize> {
        let inside = self.beats_in(Span::new(silence.span.start + 1, silence.span.end));
        (inside.is_empty() && inside.end > 0 && inside.end < self.beats.len()).then_some(inside.end)
    }

    /// Stretches of ventricular flutter or fibrillation that were found.
    pub fn ventricular_waves(&self) -> &'a [Span] {
        self.found.map_or(&[], |f| &f.ventricular_waves)
    }

    /// The interval that ends at beat `i`, ms, where there is one.
    pub fn rr_before_ms(&self, i: usize) -> Option<f32> {
        self.rr_ms.get(i).copied().filter(|rr| rr.is_finite())
    }

    /// The interval that starts at beat `i`, ms, where there is one.
    pub fn rr_after_ms(&self, i: usize) -> Option<f32> {
        self.rr_before_ms(i + 1)
    }

    /// Samples of `span` that can be read.
    pub fn readable_samples(&self, span: Span) -> i64 {
        span.len() - span.covered_by(self.unreadable)
    }

    /// Seconds of `span` that can be read.
    pub fn readable_s(&self, span: Span) -> f64 {
        self.recording.rate.seconds_from_samples(self.readable_samples(span))
    }

    /// Index of the first beat at or after `sample`.
    pub fn first_beat_from(&self, sample: i64) -> usize {
        self.beats.partition_point(|b| b.sample < sample)
    }

    /// Indices of the beats inside `span`.
    pub fn beats_in(&self, span: Span) -> std::ops::Range<usize> {
        self.first_beat_from(span.start)..self.first_beat_from(span.end)
    }
}
