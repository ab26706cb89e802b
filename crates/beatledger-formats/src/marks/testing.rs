//! Made marks for tests.

use beatledger_core::model::{BeatClass, Origin, Rate, Span};

use super::{MarkedBeat, Marks};

impl Marks {
    pub(crate) fn whole(&self) -> Span {
        Span::new(0, self.samples)
    }
}

/// Normal beats at these samples.
pub(crate) fn marks_at(hz: u32, places: &[i64]) -> Marks {
    let rate = Rate::whole_hz(hz);
    let beat = |i: usize| MarkedBeat {
        sample: places[i],
        time_s: rate.seconds_from_samples(places[i]),
        rr_ms: i.checked_sub(1).map(|k| rate.ms_from_samples(places[i] - places[k])),
        class: BeatClass::N,
        class_found: Some(BeatClass::N),
        origin: Origin::Found,
        confidence: 0.9,
        group: Some(0),
    };
    Marks {
        rate,
        samples: places.last().map_or(0, |p| p + 100),
        start: None,
        source_sha256: String::new(),
        beats: (0..places.len()).map(beat).collect(),
        events: Vec::new(),
        diary: Vec::new(),
    }
}
