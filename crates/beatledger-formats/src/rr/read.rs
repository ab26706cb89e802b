//! Reads a list of RR intervals.

use std::path::Path;

use beatledger_core::model::Recording;

use super::RrList;
use super::layout::{Item, items, median};
use crate::samples::MAX_DAYS;
use crate::source::{read_small, text_from_bytes};
use crate::warn::Warnings;
use crate::{FormatError, Reader};

/// A day has about 100 000 lines of 15 bytes; a year fits.
const MAX_BYTES: u64 = 1 << 30;
/// A list whose median is below this is in seconds: no heart has a median interval of 10 ms, none one of 10 s.
const SECONDS_BELOW: f64 = 10.0;
/// An interval longer than this is time without measured beats (common practice); one of 3 s and more is told of.
const LONGEST_MS: f64 = 10_000.0;
const LONG_MS: f64 = 3000.0;
/// An interval shorter than this is a slip of the pen.
const LEAST_MS: f64 = 1.0;
/// A list does not reach beyond this.
const MOST_MS: f64 = MAX_DAYS * 86_400_000.0;
/// A clock beyond this has no room for milliseconds in its number.
const LAST_CLOCK_MS: f64 = 1e15;
/// Intervals whose median makes a heart: 300 to 20 beats a minute and some room.
const PLAUSIBLE_MS: std::ops::Range<f64> = 150.0..4000.0;
/// A time column and its intervals may differ by this much before beats are missing between, ms.
const SLACK_MS: f64 = 20.0;

/// Knows lists of intervals, so that a reader hears what the file is: there is no tracing in it to open.
pub struct RrReader;

impl Reader for RrReader {
    fn name(&self) -> &'static str {
        "list of RR intervals"
    }

    fn recognises(&self, head: &[u8]) -> bool {
        is_list(head)
    }

    fn read(&self, path: &Path) -> Result<Recording, FormatError> {
        let what = "its content is a list of RR intervals, which has no tracing to show; `beatledger read` prints its figures";
        Err(FormatError::unsupported(path, what))
    }
}

/// True when the first bytes of a file are a list of intervals: lines of one or two numbers, of which the one that is
/// no time has the size of RR intervals in ms or in seconds, and the time, where there is one, goes on by them.
pub fn is_list(head: &[u8]) -> bool {
    const LEAST: usize = 3;
    if head.contains(&0) {
        return false;
    }
    let text = text_from_bytes(head).0;
    // A table of samples of one lead states its rate.
    if text.contains("rate_hz") {
        return false;
    }
    // The last line may be cut.
    let whole = text.rfind('\n').map_or("", |at| &text[..at]);
    let items = items(whole);
    let values: Vec<f64> = items.iter().filter_map(value).collect();
    let numbers = values.len();
    let sound = values.iter().all(|v| *v > 0.0) && numbers >= LEAST;
    sound
        && items.iter().all(|i| !matches!(i, Item::Unreadable { .. }))
        && median(values).is_some_and(|m| PLAUSIBLE_MS.contains(&(m * scale(m))) && steps_fit(&items, m))
}

/// True when there is no time column, or its usual step is the usual interval in some unit.
fn steps_fit(items: &[Item], middle: f64) -> bool {
    let Some(step) = median(steps(items)) else { return true };
    let ratio = step * time_scale(items, middle) / (middle * scale(middle));
    (0.9..1.1).contains(&ratio)
}

/// Steps of the time column, in its unit.
fn steps(items: &[Item]) -> Vec<f64> {
    let times = items.iter().filter_map(|i| match i {
        Item::Interval { time, .. } => *time,
        _ => None,
    });
    times.clone().zip(times.skip(1)).map(|(a, b)| b - a).collect()
}

fn value(item: &Item) -> Option<f64> {
    match item {
        Item::Interval { value, .. } => Some(*value),
        _ => None,
    }
}

/// ms of one unit of a list with this median.
fn scale(median: f64) -> f64 {
    if median < SECONDS_BELOW { 1000.0 } else { 1.0 }
}

/// Reads a list of intervals. The unit is told from their size and said in a warning. A first value of more than
/// 3 s is the time before the first beat. Values that are no interval (0 and below, above 10 s, no number) and
/// times that do not fit the intervals become gaps, and warnings count them.
///
/// # Errors
/// One sentence when the file cannot be opened or holds no list of intervals.
pub fn read(path: impl AsRef<Path>) -> Result<RrList, FormatError> {
    let path = path.as_ref();
    let bytes = read_small(path, MAX_BYTES, "a list of RR intervals")?;
    let (text, _) = text_from_bytes(&bytes);
    let items = items(&text);
    let middle = median(items.iter().filter_map(value).collect());
    let plausible = |m: &f64| PLAUSIBLE_MS.contains(&(m * scale(*m)));
    let Some(middle) = middle.filter(plausible).filter(|_| !bytes.contains(&0)) else {
        let expected = "RR intervals in ms or seconds, one a line, with a median of 150 to 4000 ms";
        let found = middle.map_or("no number above 0".to_owned(), |m| format!("a median of {m}"));
        return Err(FormatError::malformed(path, "whole file", expected, found));
    };
    let mut builder = Builder::new(scale(middle), middle * scale(middle), time_scale(&items, middle));
    items.iter().enumerate().for_each(|(at, item)| builder.item(at, item));
    Ok(builder.finish())
}

/// ms of one unit of the time column, from its steps and the intervals beside it.
fn time_scale(items: &[Item], middle: f64) -> f64 {
    let step = median(steps(items)).unwrap_or(1.0);
    let wanted = middle * scale(middle) / step;
    let units = [1.0, 1000.0, 60_000.0];
    units
        .into_iter()
        .min_by(|a, b| (a / wanted).ln().abs().total_cmp(&(b / wanted).ln().abs()))
        .unwrap_or(1.0)
}

/// The list as it grows.
struct Builder {
    unit_ms: f64,
    middle_ms: f64,
    time_unit_ms: f64,
    list: RrList,
    warnings: Warnings,
    long: usize,
    full: bool,
}

impl Builder {
    fn new(unit_ms: f64, middle_ms: f64, time_unit_ms: f64) -> Self {
        let mut warnings = Warnings::default();
        let unit = if unit_ms == 1.0 { "ms" } else { "seconds" };
        let text = format!(
            "The median interval is {middle_ms:.0} ms when the list is read in {unit}; it was read so."
        );
        warnings.add("rr-unit", "", text);
        Self { unit_ms, middle_ms, time_unit_ms, list: RrList::default(), warnings, long: 0, full: false }
    }

    fn item(&mut self, at: usize, item: &Item) {
        let last_ms = self.list.beats_ms.last().copied();
        if let (Some(first), Some(last)) = (self.list.beats_ms.first(), last_ms)
            && last - first > MOST_MS
        {
            if !self.full {
                let text = format!("The list goes on beyond {MAX_DAYS} days; the rest was left out.");
                self.warnings.add("rr-limit", "", text);
                self.full = true;
            }
            return;
        }
        match *item {
            Item::Gap { ms } => self.gap(ms),
            Item::Unreadable { line } => {
                let text = "Expected a number; a gap of one usual interval was put there.";
                self.warnings.add("rr-unreadable", format!("line {line}"), text);
                self.gap(self.middle_ms);
            }
            Item::Interval { line, value, time } => {
                let ms = value * self.unit_ms;
                if let Some(time) = time {
                    self.timed(line, time * self.time_unit_ms, ms);
                } else if at == 0 && LONG_MS < ms && ms <= MOST_MS {
                    let text =
                        format!("The first value, {ms:.0} ms, was read as the time before the first beat.");
                    self.warnings.add("rr-first", format!("line {line}"), text);
                    self.list.beats_ms.push(ms);
                } else {
                    self.interval(line, last_ms, ms);
                }
            }
        }
    }

    fn interval(&mut self, line: usize, last_ms: Option<f64>, ms: f64) {
        if last_ms.is_none() {
            self.list.beats_ms.push(0.0);
        }
        if (LEAST_MS..=LONGEST_MS).contains(&ms) {
            self.long += usize::from(ms > LONG_MS);
            self.list.beats_ms.push(last_ms.unwrap_or(0.0) + ms);
            return;
        }
        let text =
            format!("An interval of {ms} ms is none between beats that follow each other; it is a gap.");
        self.warnings.add("rr-implausible", format!("line {line}"), text);
        self.gap(ms);
    }

    /// A beat at a stated time, with the interval before it.
    fn timed(&mut self, line: usize, at_ms: f64, ms: f64) {
        let reach = at_ms - self.list.beats_ms.first().copied().unwrap_or(at_ms);
        if at_ms.abs() > LAST_CLOCK_MS || reach > MOST_MS {
            let text = format!("The time lies more than {MAX_DAYS} days away; the line was left out.");
            self.warnings.add("rr-time", format!("line {line}"), text);
            return;
        }
        let Some(last_ms) = self.list.beats_ms.last().copied() else {
            self.list.beats_ms.push(at_ms);
            return;
        };
        if at_ms <= last_ms {
            let text = "The time does not rise; the line was left out.";
            self.warnings.add("rr-time", format!("line {line}"), text);
            return;
        }
        if (at_ms - last_ms - ms).abs() > SLACK_MS || ms > LONGEST_MS {
            let text = format!(
                "Expected the beat {ms:.0} ms after the one before, its time is {:.0} ms after it; a gap was put there.",
                at_ms - last_ms
            );
            self.warnings.add("rr-time", format!("line {line}"), text);
            self.list.gaps_ms.push((last_ms, at_ms));
        }
        self.list.beats_ms.push(at_ms);
    }

    /// A gap of so long, or of one usual interval where that is no length of a gap.
    fn gap(&mut self, ms: f64) {
        let ms = if (LEAST_MS..=MOST_MS).contains(&ms) { ms } else { self.middle_ms };
        let from = self.list.beats_ms.last().copied().unwrap_or(0.0);
        if self.list.beats_ms.is_empty() {
            self.list.beats_ms.push(0.0);
        }
        self.list.gaps_ms.push((from, from + ms));
        self.list.beats_ms.push(from + ms);
    }

    fn finish(mut self) -> RrList {
        if self.long > 0 {
            let text = format!(
                "{} intervals of more than 3 s were kept: without a tracing nobody can tell a pause from beats that were not measured.",
                self.long
            );
            self.warnings.add("rr-long", "", text);
        }
        self.list.warnings = self.warnings.into_list();
        self.list
    }
}

#[cfg(test)]
#[path = "read_tests.rs"]
mod tests;
