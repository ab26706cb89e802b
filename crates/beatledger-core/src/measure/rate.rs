//! Mean rate of the day, of the waking hours and of the night, and the slowest and fastest window that count.

use super::Day;
use super::day::inside_one;
use crate::model::{EventKind, LocalTime, Reading, Span};
use crate::rhythm::rate::{Window, fastest, slowest};

/// Intervals and the samples that they last together.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Intervals {
    /// Number of intervals.
    pub count: usize,
    /// Their sum.
    pub samples: i64,
}

impl Intervals {
    /// Takes one more interval in.
    pub fn add(&mut self, samples: i64) {
        self.count += 1;
        self.samples += samples;
    }

    /// 60000 / mean RR, bpm: never the mean of the rates.
    pub fn mean_bpm(&self, day: &Day<'_>) -> Option<f64> {
        (self.samples > 0).then(|| day.columns.bpm_from_samples(self.count, self.samples))
    }
}

/// Intervals of the whole day, of the waking hours and of the night.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MeanRates {
    /// All intervals.
    pub all: Intervals,
    /// Those that begin outside the night.
    pub waking: Intervals,
    /// Those that begin in the night.
    pub night: Intervals,
}

/// Sums the intervals; without a start time there is no night and `waking` holds everything.
pub fn mean_rates(day: &Day<'_>) -> MeanRates {
    let columns = &day.columns;
    let nights = nights(day.reading());
    let mut out = MeanRates::default();
    let mut night = 0;
    for i in 1..columns.len() {
        if !columns.joined(i) {
            continue;
        }
        let (from, samples) = (columns.samples[i - 1], columns.samples[i] - columns.samples[i - 1]);
        while night < nights.len() && nights[night].end <= from {
            night += 1;
        }
        out.all.add(samples);
        match nights.get(night) {
            Some(span) if span.contains(from) => out.night.add(samples),
            _ => out.waking.add(samples),
        }
    }
    out
}

/// The nights of a recording, from `night_from_h` to `night_to_h` of the next day; none without a start time.
pub fn nights(reading: &Reading<'_>) -> Vec<Span> {
    let (recording, settings) = (reading.recording, reading.settings);
    let Some(LocalTime(start_ms)) = recording.start else { return Vec::new() };
    let at = |local_ms: f64| recording.rate.samples_from_ms(local_ms - start_ms as f64);
    let last_ms = start_ms as f64 + recording.rate.ms_from_samples(recording.samples);
    let mut midnight_ms = (start_ms - LocalTime(start_ms).ms_of_day() - LocalTime::DAY_MS) as f64;
    let mut nights = Vec::new();
    while midnight_ms <= last_ms {
        let next_ms = midnight_ms + LocalTime::DAY_MS as f64;
        let from = at(midnight_ms + settings.night_from_h * 3_600_000.0);
        let to = at(next_ms + settings.night_to_h * 3_600_000.0);
        nights.push(Span::new(from, to).overlap(recording.whole()));
        midnight_ms = next_ms;
    }
    nights.retain(|n| !n.is_empty());
    nights
}

/// The slowest window that no dropped 'slowest rate' covers.
pub fn slowest_that_counts(day: &Day<'_>) -> Option<Window> {
    let dropped = day.dropped_of(&[EventKind::SlowestRate]);
    slowest(&day.windows, |w| !inside_one(&dropped, day.span_of_window(w)))
}

/// The fastest window that no dropped 'fastest rate' covers.
pub fn fastest_that_counts(day: &Day<'_>) -> Option<Window> {
    let dropped = day.dropped_of(&[EventKind::FastestRate]);
    fastest(&day.windows, |w| !inside_one(&dropped, day.span_of_window(w)))
}

/// Slowest and fastest window that count of the waking hours, and of the night; a window belongs where it begins.
pub fn extremes_by_clock(day: &Day<'_>) -> ([Option<Window>; 2], [Option<Window>; 2]) {
    let nights = nights(day.reading());
    let (slow, fast) = (day.dropped_of(&[EventKind::SlowestRate]), day.dropped_of(&[EventKind::FastestRate]));
    let at_night = |w: &Window| {
        let from = day.columns.samples[w.first];
        nights.iter().any(|n| n.contains(from))
    };
    let free = |dropped: &[Span], w: &Window| !inside_one(dropped, day.span_of_window(w));
    let of = |night: bool| {
        [
            slowest(&day.windows, |w| at_night(w) == night && free(&slow, w)),
            fastest(&day.windows, |w| at_night(w) == night && free(&fast, w)),
        ]
    };
    (of(false), of(true))
}

/// Time in which the rate is beyond a limit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Beyond {
    /// Time in windows beyond the limit, samples.
    pub inside: i64,
    /// Time in all windows, samples.
    pub all: i64,
    /// Where it is beyond the limit: sorted, disjoint.
    pub spans: Vec<Span>,
}

impl Beyond {
    /// The longest stretch, the first of equal ones.
    pub fn longest(&self) -> Option<Span> {
        self.spans.iter().rev().max_by_key(|s| s.len()).copied()
    }
}

/// Time in windows whose rate is `beyond` a limit; each window stands for its last interval.
pub fn time_beyond(day: &Day<'_>, beyond: impl Fn(f64) -> bool) -> Beyond {
    let samples = &day.columns.samples;
    let mut out = Beyond::default();
    for window in &day.windows {
        let span = Span::new(samples[window.last - 1], samples[window.last]);
        out.all += span.len();
        if beyond(window.bpm) {
            out.inside += span.len();
            match out.spans.last_mut() {
                Some(last) if last.end == span.start => last.end = span.end,
                _ => out.spans.push(span),
            }
        }
    }
    out
}

/// 60000 / mean RR over the readable intervals inside atrial fibrillation, bpm.
pub fn fibrillation_bpm(day: &Day<'_>) -> Option<f64> {
    let mut out = Intervals::default();
    let told = day.columns.marks(day.fibrillation.iter().map(|span| day.reading().beats_in(*span)));
    for i in (1..day.columns.len()).filter(|i| told[*i] && told[*i - 1] && day.columns.joined(*i)) {
        out.add(day.columns.samples[i] - day.columns.samples[i - 1]);
    }
    out.mean_bpm(day)
}
