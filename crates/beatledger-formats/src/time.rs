//! Wall-clock time as files write it, to and from [`LocalTime`].

use beatledger_core::model::LocalTime;
use chrono::{DateTime, Datelike, NaiveDate, NaiveDateTime, Weekday};

/// Local time of a date and a time of day with milliseconds; `None` when there is no such date or time.
pub fn local_time_from_ymd_hms(
    (year, month, day): (i32, u32, u32),
    (hour, minute, second, ms): (u32, u32, u32, u32),
) -> Option<LocalTime> {
    let at = NaiveDate::from_ymd_opt(year, month, day)?.and_hms_milli_opt(hour, minute, second, ms)?;
    Some(LocalTime(at.and_utc().timestamp_millis()))
}

/// Local time of a time of day whose date is unknown. It is kept on 1970-01-01; see [`date_is_known`].
pub fn local_time_without_date(hour: u32, minute: u32, second: u32, ms: u32) -> Option<LocalTime> {
    local_time_from_ymd_hms((1970, 1, 1), (hour, minute, second, ms))
}

/// False for a time on the stand-in date of [`local_time_without_date`]: show the time of day only.
pub fn date_is_known(start: LocalTime) -> bool {
    !(0..LocalTime::DAY_MS).contains(&start.0)
}

/// Year, month (1..=12) and day of a local time; `None` more than 260 000 years away from 1970.
pub fn ymd_from_local_time(time: LocalTime) -> Option<(i32, u32, u32)> {
    let date = naive(time)?.date();
    Some((date.year(), date.month(), date.day()))
}

/// `2020-10-25` of a local time, empty when it is out of range.
pub fn iso_date(time: LocalTime) -> String {
    ymd_from_local_time(time).map_or_else(String::new, |(y, m, d)| format!("{y:04}-{m:02}-{d:02}"))
}

/// Year, month and day of `2020-10-25`, or of `25-OCT-2020` as EDF+ writes it; `None` for any other text.
pub fn ymd_from_iso(text: &str) -> Option<(i32, u32, u32)> {
    let mut parts = text.trim().splitn(3, '-');
    let (first, middle, last) = (parts.next()?, parts.next()?, parts.next()?);
    let date = match month_from_name(middle) {
        Some(month) => (last.parse().ok()?, month, first.parse().ok()?),
        None => (first.parse().ok()?, middle.parse().ok()?, last.parse().ok()?),
    };
    local_time_from_ymd_hms(date, (0, 0, 0, 0)).map(|_| date)
}

/// `2020-10-25T08:30:15.000` of a local time: ISO 8601 with no offset, because the zone is not known.
pub fn iso_date_time(time: LocalTime) -> String {
    format!("{}T{}", iso_date(time), time.clock_ms())
}

/// The first Sunday from `start` to `end` in whose early hours clocks usually change, as year, month and day; where
/// a recording was worn is not in it, so this says only what may have happened.
///
/// Last Sunday of March and of October: directive 2000/84/EC of the European Union. Second Sunday of March and
/// first of November: Energy Policy Act of 2005 of the United States, section 110.
pub fn usual_clock_change(start: LocalTime, end: LocalTime) -> Option<(i32, u32, u32)> {
    const HOUR_MS: i64 = 3_600_000;
    if !date_is_known(start) {
        return None;
    }
    let mut midnight = start.0 - start.0.rem_euclid(LocalTime::DAY_MS);
    while midnight + HOUR_MS <= end.0 {
        let date = naive(LocalTime(midnight))?.date();
        let (month, day) = (date.month(), date.day());
        let is_change = match month {
            3 => (8..=14).contains(&day) || day > 24,
            10 => day > 24,
            11 => day <= 7,
            _ => false,
        };
        if is_change && date.weekday() == Weekday::Sun && start.0 < midnight + 3 * HOUR_MS {
            return Some((date.year(), month, day));
        }
        midnight += LocalTime::DAY_MS;
    }
    None
}

/// Month of an English three-letter name in any case.
pub(crate) fn month_from_name(name: &str) -> Option<u32> {
    (1..).zip(MONTHS).find(|(_, m)| m.eq_ignore_ascii_case(name)).map(|(i, _)| i)
}

/// English three-letter month names in upper case, as EDF+ writes them.
pub(crate) const MONTHS: [&str; 12] =
    ["JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "OCT", "NOV", "DEC"];

fn naive(time: LocalTime) -> Option<NaiveDateTime> {
    DateTime::from_timestamp_millis(time.0).map(|t| t.naive_utc())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_start_in_2020_goes_to_milliseconds_and_back() {
        // Seconds since 1970 of 2020-10-25 08:30:15, by the `date` command of a Unix system.
        let start = local_time_from_ymd_hms((2020, 10, 25), (8, 30, 15, 500)).unwrap();
        assert_eq!(start.0, 1_603_614_615_500);
        assert_eq!(iso_date_time(start), "2020-10-25T08:30:15.500");
        assert_eq!(local_time_from_ymd_hms((2021, 2, 29), (0, 0, 0, 0)), None);
    }

    #[test]
    fn a_date_is_read_in_the_two_spellings_that_files_use() {
        assert_eq!(ymd_from_iso("2020-10-25"), Some((2020, 10, 25)));
        assert_eq!(ymd_from_iso(" 25-OCT-2020"), Some((2020, 10, 25)));
        for bad in ["", "2021-02-29", "25.10.2020", "2020-13-01", "X"] {
            assert_eq!(ymd_from_iso(bad), None, "{bad}");
        }
    }

    // The Sundays of 2020, as the calendars of both places print them.
    #[test]
    fn a_recording_over_a_night_in_which_clocks_change_is_told_by_its_date() {
        let at = |month, day, hour| local_time_from_ymd_hms((2020, month, day), (hour, 0, 0, 0)).unwrap();
        let found = |a, b| usual_clock_change(a, b).map(|(_, month, day)| (month, day));
        assert_eq!(found(at(3, 28, 9), at(3, 29, 9)), Some((3, 29)));
        assert_eq!(found(at(10, 24, 9), at(10, 25, 9)), Some((10, 25)));
        assert_eq!(found(at(3, 7, 9), at(3, 8, 9)), Some((3, 8)));
        assert_eq!(found(at(10, 31, 9), at(11, 1, 9)), Some((11, 1)));
        assert_eq!(found(at(10, 25, 9), at(10, 31, 9)), None);
        assert_eq!(found(at(10, 24, 9), at(10, 25, 0)), None);
        assert_eq!(found(at(10, 18, 0), at(10, 19, 0)), None);
        let unknown = local_time_without_date(9, 0, 0, 0).unwrap();
        assert_eq!(usual_clock_change(unknown, LocalTime(unknown.0 + (1 << 40))), None);
    }

    #[test]
    fn a_time_without_a_date_says_so() {
        assert!(!date_is_known(local_time_without_date(23, 59, 59, 999).unwrap()));
        assert!(date_is_known(local_time_from_ymd_hms((2020, 1, 1), (0, 0, 0, 0)).unwrap()));
        assert!(iso_date(LocalTime(i64::MAX)).is_empty());
    }
}
