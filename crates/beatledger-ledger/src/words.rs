//! Entries in words, for the audit view: who, when, what, where.

use std::collections::BTreeMap;

use beatledger_core::model::Span;
use beatledger_core::review::{Action, Edit, Entry};

/// An entry in one line: number, time with its offset by the computer's clock, reader, what was done.
pub fn words(entry: &Entry) -> String {
    line(entry, &action_words(&entry.action, None))
}

/// Every entry in words; an undo or redo also says which edit it concerns.
pub fn history(entries: &[Entry]) -> Vec<String> {
    let mut edits: BTreeMap<u64, &Edit> = BTreeMap::new();
    let mut lines = Vec::with_capacity(entries.len());
    for entry in entries {
        let concerned = match &entry.action {
            Action::Do(edit) => {
                edits.insert(entry.seq, edit);
                None
            }
            Action::Undo { seq } | Action::Redo { seq } => edits.get(seq).copied(),
            Action::Sign(_) => None,
        };
        lines.push(line(entry, &action_words(&entry.action, concerned)));
    }
    lines
}

fn line(entry: &Entry, what: &str) -> String {
    let reader = if entry.reader.is_empty() { "no name" } else { &entry.reader };
    format!("{} | {} | {reader} | {what}", entry.seq, iso_time(entry.at_utc_ms, entry.utc_offset_min))
}

fn action_words(action: &Action, concerned: Option<&Edit>) -> String {
    let which = concerned.map_or(String::new(), |e| format!(" ({})", edit_words(e)));
    match action {
        Action::Do(edit) => edit_words(edit),
        Action::Undo { seq } => format!("took entry {seq} back{which}"),
        Action::Redo { seq } => format!("made entry {seq} again{which}"),
        Action::Sign(s) => {
            format!("signed by {}, {}: {}; manifest {}", s.reader, s.role, s.meaning, s.manifest_sha256)
        }
    }
}

/// The edit in the shared words, with the places that it names.
fn edit_words(edit: &Edit) -> String {
    let what = edit.words();
    match edit {
        Edit::Relabel { beats, .. } | Edit::RemoveBeats { beats } => format!("{what} at {}", samples(beats)),
        Edit::InsertBeat { sample, .. } => format!("{what} at sample {sample}"),
        Edit::MoveBeat { from, to } => format!("{what} from sample {from} to sample {to}"),
        Edit::ChangeEvent { span, new_span, .. } => {
            format!("{what}, {} changed to {}", stretch(*span), stretch(*new_span))
        }
        Edit::MarkNoise { span }
        | Edit::UnmarkNoise { span }
        | Edit::KeepEvent { span, .. }
        | Edit::DropEvent { span, .. }
        | Edit::AddEvent { span, .. }
        | Edit::MarkRead { span } => format!("{what}, {}", stretch(*span)),
        Edit::AddDiary { entry } => format!("{what}, {}", stretch(entry.span)),
        Edit::Conclude { text } => format!("{what}: {text}"),
        Edit::InvertLead { .. } | Edit::ChangeSetting { .. } => what,
    }
}

fn stretch(span: Span) -> String {
    format!("samples {} to {}", span.start, span.end)
}

/// The first three samples and how many more.
fn samples(beats: &[i64]) -> String {
    let named: Vec<String> = beats.iter().take(3).map(i64::to_string).collect();
    match beats.len() {
        0 => "no sample".to_owned(),
        1 => format!("sample {}", named[0]),
        n if n <= 3 => format!("samples {}", named.join(", ")),
        n => format!("samples {} and {} more", named.join(", "), n - 3),
    }
}

/// ISO 8601 with offset, such as `2020-10-26T10:00:00.000+01:00`, from UTC and minutes east of it.
pub fn iso_time(at_utc_ms: i64, utc_offset_min: i32) -> String {
    const DAY_MS: i64 = 86_400_000;
    let local_ms = at_utc_ms.saturating_add(i64::from(utc_offset_min) * 60_000);
    let (year, month, day) = date_from_days(local_ms.div_euclid(DAY_MS));
    let ms = local_ms.rem_euclid(DAY_MS);
    let (sign, offset) = (if utc_offset_min < 0 { '-' } else { '+' }, utc_offset_min.unsigned_abs());
    format!(
        "{year:04}-{month:02}-{day:02}T{:02}:{:02}:{:02}.{:03}{sign}{:02}:{:02}",
        ms / 3_600_000,
        ms / 60_000 % 60,
        ms / 1000 % 60,
        ms % 1000,
        offset / 60,
        offset % 60
    )
}

/// Year, month and day of the Gregorian calendar, `days` after 1970-01-01. Years are counted from March,
/// so that the leap day is the last; 400 years have 146 097 days.
fn date_from_days(days: i64) -> (i64, i64, i64) {
    let days = days + 719_468;
    let (era, day_of_era) = (days.div_euclid(146_097), days.rem_euclid(146_097));
    let year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let from_march = (5 * day_of_year + 2) / 153;
    let month = if from_march < 10 { from_march + 3 } else { from_march - 9 };
    let year = era * 400 + year_of_era + i64::from(month <= 2);
    (year, month, day_of_year - (153 * from_march + 2) / 5 + 1)
}

#[cfg(test)]
mod tests {
    use super::*;
    use beatledger_core::model::BeatClass;

    /// RFC 3339 section 5.8 gives 1996-12-19T16:39:57-08:00 for 1996-12-20T00:39:57Z;
    /// the seconds are those of Python's `datetime`.
    #[test]
    fn times_are_those_of_the_calendar() {
        assert_eq!(iso_time(851_042_397_000, -480), "1996-12-19T16:39:57.000-08:00");
        assert_eq!(iso_time(951_782_400_000, 0), "2000-02-29T00:00:00.000+00:00");
        assert_eq!(iso_time(-1, 0), "1969-12-31T23:59:59.999+00:00");
        assert!(iso_time(i64::MAX, i32::MAX).ends_with(":07"));
        assert!(iso_time(i64::MIN, i32::MIN).ends_with(":08"));
    }

    #[test]
    fn a_line_says_who_when_what_and_where_and_an_undo_says_of_what() {
        let entry = |seq, action| Entry {
            seq,
            at_utc_ms: 951_782_400_000,
            utc_offset_min: 60,
            reader: "A. Reader".into(),
            action,
        };
        let relabel = Edit::Relabel { beats: vec![10, 20, 30, 40, 50], class: BeatClass::V };
        let lines = history(&[entry(1, Action::Do(relabel)), entry(2, Action::Undo { seq: 1 })]);
        assert_eq!(
            lines[0],
            "1 | 2000-02-29T01:00:00.000+01:00 | A. Reader | 5 beats labelled V at samples 10, 20, 30 and 2 more"
        );
        assert!(
            lines[1].ends_with("took entry 1 back (5 beats labelled V at samples 10, 20, 30 and 2 more)")
        );
    }
}
