//! A bare list of beat times as a day: no tracing, no classes, so that the figures of a day can be worked out of it.
//!
//! Every beat is taken as N. What is no sinus interval is then left out by the filters of variability alone, and
//! atrial fibrillation is told by the intervals alone, as no P wave can be looked for.

use crate::model::{Beat, BeatClass, Evidence, Identity, Origin, Rate, Reading, Recording, Span, Waves};
use crate::settings::Settings;

/// Places of a list are held to a microsecond, which is finer than any list is written.
const PER_SECOND: u32 = 1_000_000;
/// Beats later than this after the first are left out, ms: more than a year is no recording.
const LONGEST_MS: f64 = 366.0 * 86_400_000.0;

/// A list laid out as a day.
#[derive(Clone, Debug)]
pub struct RrDay {
    recording: Recording,
    beats: Vec<Beat>,
    gaps: Vec<Span>,
    left_out: usize,
}

impl RrDay {
    /// Lays out beats at `beats_ms`, ms from any zero, and the stretches `gaps_ms` (from, to) on the same clock in
    /// which nothing is known: no interval reaches across one. A time that is no number, does not come after the
    /// one before, or lies more than a year after the first is left out and counted.
    pub fn new(beats_ms: &[f64], gaps_ms: &[(f64, f64)]) -> Self {
        let rate = Rate::whole_hz(PER_SECOND);
        let zero_ms = beats_ms.iter().copied().find(|ms| ms.is_finite()).unwrap_or(0.0);
        let place = |ms: f64| rate.samples_from_ms((ms - zero_ms).clamp(-LONGEST_MS, LONGEST_MS));
        let mut beats: Vec<Beat> = Vec::with_capacity(beats_ms.len());
        for ms in beats_ms {
            let within = ms.is_finite() && (0.0..LONGEST_MS).contains(&(ms - zero_ms));
            let at = place(*ms);
            if within && beats.last().is_none_or(|before| at > before.sample) {
                beats.push(beat(at));
            }
        }
        let samples = beats.last().map_or(0, |b| b.sample + 1);
        let whole = Span::new(0, samples);
        let known = gaps_ms.iter().filter(|(from, to)| from.is_finite() && to.is_finite());
        let gaps = Span::merged(known.map(|g| Span::new(place(g.0), place(g.1)).overlap(whole)).collect(), 0);
        Self { recording: recording(rate, samples), left_out: beats_ms.len() - beats.len(), beats, gaps }
    }

    /// Times that were left out.
    pub fn left_out(&self) -> usize {
        self.left_out
    }

    /// The day as the figures read it.
    pub fn reading<'a>(&'a self, settings: &'a Settings) -> Reading<'a> {
        Reading::new(&self.recording, settings, &self.beats, &self.gaps)
    }
}

fn beat(sample: i64) -> Beat {
    Beat {
        sample,
        class: BeatClass::N,
        class_found: None,
        origin: Origin::Found,
        confidence: 1.0,
        group: Beat::NO_GROUP,
        waves: Waves::default(),
        evidence: Evidence::default(),
    }
}

fn recording(rate: Rate, samples: i64) -> Recording {
    Recording {
        name: String::new(),
        format: "RR intervals".into(),
        sha256: String::new(),
        identity: Identity::default(),
        start: None,
        rate,
        samples,
        segments: vec![Span::new(0, samples)],
        leads: Vec::new(),
        others: Vec::new(),
        diary: Vec::new(),
        warnings: Vec::new(),
    }
}
