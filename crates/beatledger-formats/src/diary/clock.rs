//! Times as people write them in a diary, and the sample they mean.

use beatledger_core::model::{LocalTime, Rate};

use crate::error::shown;
use crate::time::{date_is_known, local_time_from_ymd_hms};

/// An entry this much earlier than the start belongs to the next day.
const NEXT_DAY_AFTER_MS: i64 = 12 * 3_600_000;

/// A time with or without a date.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Clock {
    /// Date and time of day.
    Full(LocalTime),
    /// Milliseconds since midnight of a day that is not told.
    TimeOfDay(i64),
}

impl Clock {
    /// ISO 8601 (an offset is ignored: the recorder's clock has none), `DD.MM.YYYY HH:MM[:SS]`, or
    /// `HH:MM[:SS]`. Dates with slashes are refused because day and month cannot be told apart.
    pub(super) fn parse(text: &str) -> Result<Self, String> {
        let text = text.trim();
        let fail = || format!("Expected a time such as 2020-10-24T14:05:00 or 14:05, found {}", shown(text));
        if text.contains('/') {
            return Err(format!(
                "Day and month of {} cannot be told apart; write 2020-10-24T14:05:00",
                shown(text)
            ));
        }
        let Some((date, time)) = text.split_once(['T', 't', ' ']) else {
            return time_of_day(text).map(Self::TimeOfDay).ok_or_else(fail);
        };
        let (year, month, day) = ymd(date).ok_or_else(fail)?;
        let time = time.trim().trim_end_matches(['Z', 'z']);
        let time = time.split(['+', '-']).next().unwrap_or_default();
        let midnight = local_time_from_ymd_hms((year, month, day), (0, 0, 0, 0)).ok_or_else(fail)?;
        Ok(Self::Full(LocalTime(midnight.0 + time_of_day(time.trim()).ok_or_else(fail)?)))
    }
}

fn ymd(text: &str) -> Option<(i32, u32, u32)> {
    let iso: Vec<&str> = text.split('-').collect();
    let points: Vec<&str> = text.split('.').collect();
    match (iso.as_slice(), points.as_slice()) {
        ([y, m, d], _) | (_, [d, m, y]) if y.len() == 4 => {
            Some((y.parse().ok()?, m.parse().ok()?, d.parse().ok()?))
        }
        _ => None,
    }
}

/// `HH:MM[:SS[.fff]]` in milliseconds.
fn time_of_day(text: &str) -> Option<i64> {
    let mut parts = text.split(':');
    let hours: i64 = parts.next()?.parse().ok().filter(|h| (0..24).contains(h))?;
    let minutes: i64 = parts.next()?.parse().ok().filter(|m| (0..60).contains(m))?;
    let seconds: f64 = match parts.next() {
        Some(s) => s.replace(',', ".").parse().ok().filter(|s| (0.0..60.0).contains(s))?,
        None => 0.0,
    };
    parts.next().is_none().then(|| hours * 3_600_000 + minutes * 60_000 + (seconds * 1000.0).round() as i64)
}

/// The sample of a clock time. Times of day go on to the next day when they are smaller than the one before
/// (`previous_ms`, since the midnight before the start), or more than 12 h before the start.
pub(super) fn samples_from_clock(
    clock: Clock,
    start: Option<LocalTime>,
    rate: Rate,
    previous_ms: &mut Option<i64>,
) -> Result<i64, String> {
    let Some(start) = start else {
        return Err(
            "Expected elapsed_s because the start of the recording is unknown, found a clock time".to_owned()
        );
    };
    let since_start_ms = match clock {
        Clock::Full(_) if !date_is_known(start) => {
            return Err("Expected a time of day because the date of the recording is unknown, found a date"
                .to_owned());
        }
        Clock::Full(at) => at.0 - start.0,
        Clock::TimeOfDay(ms) => {
            let mut at = ms;
            if previous_ms.is_none() && start.ms_of_day() - at > NEXT_DAY_AFTER_MS {
                at += LocalTime::DAY_MS;
            }
            while previous_ms.is_some_and(|previous| at < previous) {
                at += LocalTime::DAY_MS;
            }
            *previous_ms = Some(at);
            at - start.ms_of_day()
        }
    };
    Ok(rate.samples_from_ms(since_start_ms as f64))
}
