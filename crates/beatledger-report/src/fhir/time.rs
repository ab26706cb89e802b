//! FHIR dates and instants. A time of day is written only together with its offset from UTC; where the
//! recorder's zone is unknown a date stands alone, and no zone is guessed.

use beatledger_core::model::{Recording, Span};

use super::types::Period;

/// `2024-03-04T23:58:30.400+01:00` of an instant on a clock so many minutes east of UTC.
pub fn instant(at_utc_ms: i64, utc_offset_min: i32) -> String {
    let local = at_utc_ms.saturating_add(i64::from(utc_offset_min) * 60_000);
    format!("{}{}", local_text(local), offset_text(utc_offset_min))
}

/// From the first to the last sample of `span`: with offset where it is known, as dates where it is not;
/// `None` when the recording has no start.
pub fn period(recording: &Recording, span: Span, utc_offset_min: Option<i32>) -> Option<Period> {
    let text = |sample| {
        let local = local_text(recording.local_time(sample)?.0);
        Some(match utc_offset_min {
            Some(offset) => format!("{local}{}", offset_text(offset)),
            None => local.get(..10)?.to_owned(),
        })
    };
    Some(Period { start: text(span.start)?, end: text(span.end)? })
}

/// `31-JAN-1960` or `1960-01-31` as a FHIR date; other writings are not guessed at.
pub fn birth_date(text: &str) -> Option<String> {
    ["%Y-%m-%d", "%d-%b-%Y"]
        .into_iter()
        .find_map(|form| chrono::NaiveDate::parse_from_str(text.trim(), form).ok())
        .map(|date| date.format("%Y-%m-%d").to_string())
        .filter(|date| date.len() == 10)
}

fn local_text(local_ms: i64) -> String {
    // Years of five digits are beyond what a FHIR date can say; such a clock is wrong in any case.
    chrono::DateTime::from_timestamp_millis(local_ms)
        .map(|t| t.format("%Y-%m-%dT%H:%M:%S%.3f").to_string())
        .filter(|text| text.len() == 23)
        .unwrap_or_else(|| "1970-01-01T00:00:00.000".to_owned())
}

fn offset_text(utc_offset_min: i32) -> String {
    let sign = if utc_offset_min < 0 { '-' } else { '+' };
    let minutes = utc_offset_min.unsigned_abs();
    format!("{sign}{:02}:{:02}", minutes / 60, minutes % 60)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::made;

    #[test]
    fn times_carry_their_offset_and_an_unknown_zone_leaves_dates() {
        // FHIR R4, dateTime: where hours are given, a zone offset shall be too.
        assert_eq!(instant(1_709_600_000_000, -210), "2024-03-04T21:23:20.000-03:30");
        let recording = made::recording();
        let span = Span::new(0, 90 * made::HZ + 100);
        let known = period(&recording, span, Some(60)).unwrap();
        assert_eq!(known.start, "2024-03-04T23:58:30.000+01:00");
        assert_eq!(known.end, "2024-03-05T00:00:00.400+01:00");
        let unknown = period(&recording, span, None).unwrap();
        assert_eq!((unknown.start.as_str(), unknown.end.as_str()), ("2024-03-04", "2024-03-05"));
        let no_start = beatledger_core::model::Recording { start: None, ..recording };
        assert!(period(&no_start, span, Some(60)).is_none());
    }

    #[test]
    fn a_date_of_birth_is_taken_only_where_it_is_clear() {
        assert_eq!(birth_date("31-JAN-1960").as_deref(), Some("1960-01-31"));
        assert_eq!(birth_date("1960-01-31").as_deref(), Some("1960-01-31"));
        for unclear in ["", "X", "01/02/60", "1960", "31.1.1960"] {
            assert_eq!(birth_date(unclear), None, "{unclear}");
        }
    }
}
