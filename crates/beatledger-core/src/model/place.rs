//! Places in a recording: rational sampling rate, half-open spans, local wall-clock time.

use serde::{Deserialize, Serialize};

/// Seconds a minute.
pub const SECONDS_PER_MINUTE: f64 = 60.0;
/// Milliseconds a second.
pub const MS_PER_SECOND: f64 = 1000.0;

/// Sampling rate as a rational number: `samples` per `seconds`, so that 128.5 Hz stays exact.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Rate {
    samples: u32,
    seconds: u32,
}

impl Rate {
    /// A rate of `samples` per `seconds`; `None` if either is zero.
    pub fn new(samples: u32, seconds: u32) -> Option<Self> {
        (samples > 0 && seconds > 0).then_some(Self { samples, seconds })
    }

    /// A whole number of samples per second; zero is read as 1 Hz.
    pub const fn whole_hz(hz: u32) -> Self {
        Self { samples: if hz == 0 { 1 } else { hz }, seconds: 1 }
    }

    /// The nearest rational rate to `hz` with a denominator of at most 10 000; `None` unless 0 < hz < 4e9 and finite.
    pub fn from_hz(hz: f64) -> Option<Self> {
        if !(hz.is_finite() && hz > 0.0 && hz < f64::from(u32::MAX) / 10_000.0) {
            return None;
        }
        let seconds = (1..=10_000u32)
            .find(|d| ((hz * f64::from(*d)).round() - hz * f64::from(*d)).abs() < 1e-9 * hz * f64::from(*d))
            .unwrap_or(10_000);
        Self::new((hz * f64::from(seconds)).round() as u32, seconds)
    }

    /// Numerator and denominator: samples, seconds.
    pub fn parts(self) -> (u32, u32) {
        (self.samples, self.seconds)
    }

    /// Samples per second.
    pub fn hz(self) -> f64 {
        f64::from(self.samples) / f64::from(self.seconds)
    }

    /// Seconds from the first sample to sample `sample`.
    pub fn seconds_from_samples(self, sample: i64) -> f64 {
        sample as f64 * f64::from(self.seconds) / f64::from(self.samples)
    }

    /// Milliseconds that `samples` last.
    pub fn ms_from_samples(self, samples: i64) -> f64 {
        self.seconds_from_samples(samples) * MS_PER_SECOND
    }

    /// The sample nearest to `seconds`, halves to even.
    pub fn samples_from_seconds(self, seconds: f64) -> i64 {
        (seconds * self.hz()).round_ties_even() as i64
    }

    /// The number of samples nearest to `ms` milliseconds, halves to even.
    pub fn samples_from_ms(self, ms: f64) -> i64 {
        self.samples_from_seconds(ms / MS_PER_SECOND)
    }
}

/// A half-open stretch of the recording, in samples: `start` belongs to it, `end` does not.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Span {
    /// First sample.
    pub start: i64,
    /// One past the last sample.
    pub end: i64,
}

impl Span {
    /// A span from `start` to `end`; an end before the start gives an empty span at `start`.
    pub fn new(start: i64, end: i64) -> Self {
        Self { start, end: end.max(start) }
    }

    /// Number of samples.
    pub fn len(self) -> i64 {
        self.end - self.start
    }

    /// True when no sample belongs to it.
    pub fn is_empty(self) -> bool {
        self.end <= self.start
    }

    /// True when `sample` lies inside.
    pub fn contains(self, sample: i64) -> bool {
        self.start <= sample && sample < self.end
    }

    /// The samples that both spans share; empty when none.
    pub fn overlap(self, other: Span) -> Span {
        Span::new(self.start.max(other.start), self.end.min(other.end))
    }

    /// True when the two share at least one sample.
    pub fn touches(self, other: Span) -> bool {
        !self.overlap(other).is_empty()
    }

    /// `spans` with `holes` cut out of them.
    pub fn without(spans: &[Span], holes: &[Span]) -> Vec<Span> {
        let cut = |left: Vec<Span>, hole: &Span| -> Vec<Span> {
            let both = |s: &Span| {
                [Span::new(s.start, s.end.min(hole.start)), Span::new(s.start.max(hole.end), s.end)]
            };
            left.iter().flat_map(both).filter(|s| !s.is_empty()).collect()
        };
        holes.iter().fold(spans.to_vec(), cut)
    }

    /// The span widened by `by` samples at both ends and cut to `within`.
    pub fn widened(self, by: i64, within: Span) -> Span {
        Span::new(self.start - by, self.end + by).overlap(within)
    }

    /// Sorts spans and joins those that touch or lie within `gap` samples of each other; empty ones vanish.
    pub fn merged(mut spans: Vec<Span>, gap: i64) -> Vec<Span> {
        spans.retain(|s| !s.is_empty());
        spans.sort();
        let mut out: Vec<Span> = Vec::with_capacity(spans.len());
        for span in spans {
            match out.last_mut() {
                Some(last) if span.start <= last.end + gap => last.end = last.end.max(span.end),
                _ => out.push(span),
            }
        }
        out
    }

    /// Total number of samples of `sorted` (sorted, disjoint) spans that lie inside `self`.
    pub fn covered_by(self, sorted: &[Span]) -> i64 {
        let first = sorted.partition_point(|s| s.end <= self.start);
        sorted[first..].iter().take_while(|s| s.start < self.end).map(|s| s.overlap(self).len()).sum()
    }
}

/// Milliseconds since 1970-01-01 00:00 on the recorder's own wall clock; no zone is implied.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct LocalTime(
    /// Milliseconds since 1970-01-01T00:00 local.
    pub i64,
);

impl LocalTime {
    /// Milliseconds in a day.
    pub const DAY_MS: i64 = 86_400_000;

    /// Milliseconds since midnight of the same day.
    pub fn ms_of_day(self) -> i64 {
        self.0.rem_euclid(Self::DAY_MS)
    }

    /// Hour of the day, 0..=23.
    pub fn hour(self) -> u32 {
        (self.ms_of_day() / 3_600_000) as u32
    }

    /// `HH:MM:SS` of the time of day.
    pub fn clock(self) -> String {
        let s = self.ms_of_day() / 1000;
        format!("{:02}:{:02}:{:02}", s / 3600, s / 60 % 60, s % 60)
    }

    /// `HH:MM:SS.mmm` of the time of day.
    pub fn clock_ms(self) -> String {
        format!("{}.{:03}", self.clock(), self.ms_of_day() % 1000)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rate_of_257_samples_in_2_seconds_stays_exact() {
        let rate = Rate::new(257, 2).unwrap();
        assert_eq!(rate.hz(), 128.5);
        assert_eq!(rate.seconds_from_samples(257 * 3600), 7200.0);
        assert_eq!(Rate::from_hz(128.5), Some(rate));
        assert_eq!(Rate::from_hz(f64::NAN), None);
        assert_eq!(Rate::from_hz(0.0), None);
    }

    #[test]
    fn spans_are_half_open_and_merge() {
        let merged =
            Span::merged(vec![Span::new(50, 60), Span::new(0, 10), Span::new(10, 20), Span::new(5, 5)], 0);
        assert_eq!(merged, vec![Span::new(0, 20), Span::new(50, 60)]);
        assert_eq!(Span::new(15, 55).covered_by(&merged), 10);
        assert!(!Span::new(0, 10).contains(10));
    }

    #[test]
    fn clock_time_wraps_at_midnight() {
        assert_eq!(LocalTime(LocalTime::DAY_MS + 3_723_004).clock_ms(), "01:02:03.004");
        assert_eq!(LocalTime(-1000).clock(), "23:59:59");
    }
}
