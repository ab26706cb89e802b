//! Patient, recorder and start of a recording in the text fields of the EDF and EDF+ header.

use beatledger_core::model::{Identity, LocalTime};

use super::fields::ascii;
use crate::time::{MONTHS, date_is_known, local_time_from_ymd_hms, month_from_name, ymd_from_local_time};

/// Leading word of the EDF+ recording field.
const STARTDATE: &str = "Startdate";
/// Our own additional subfield: number of samples before the last data record was filled up.
const SAMPLES: &str = "samples=";

/// A date as year, month, day.
pub(super) type Ymd = (i32, u32, u32);

/// What the recording field of EDF+ says.
#[derive(Debug, Default, PartialEq)]
pub(super) struct RecordingField {
    /// `None` when the field does not begin with `Startdate`; `Some(None)` when it says the date is unknown.
    pub(super) date: Option<Option<Ymd>>,
    pub(super) recorder: String,
    pub(super) samples: Option<i64>,
}

/// A subfield as text: `X` is unknown, `_` stands for a space.
fn plain(subfield: &str) -> String {
    if subfield == "X" { String::new() } else { subfield.replace('_', " ").trim().to_owned() }
}

/// `code sex birthdate name` of EDF+; anything after the name is kept with it.
pub(super) fn patient_from_plus(field: &str) -> Identity {
    let mut parts = field.split_whitespace();
    let mut next = || plain(parts.next().unwrap_or("X"));
    let (code, sex, born) = (next(), next(), next());
    let name: Vec<String> = parts.map(plain).filter(|p| !p.is_empty()).collect();
    Identity { name: name.join(" "), code, born, sex, ..Identity::default() }
}

/// `Startdate dd-MMM-yyyy admincode technician equipment ...` of EDF+.
pub(super) fn recording_from_plus(field: &str) -> RecordingField {
    let mut parts = field.split_whitespace().peekable();
    let mut out = RecordingField::default();
    if parts.next_if(|w| w.eq_ignore_ascii_case(STARTDATE)).is_some() {
        out.date = Some(parts.next().and_then(day_month_year));
    }
    let mut rest = Vec::new();
    for part in parts {
        match part.strip_prefix(SAMPLES).and_then(|n| n.parse().ok()) {
            Some(n) => out.samples = Some(n),
            None => rest.push(plain(part)),
        }
    }
    rest.retain(|p| !p.is_empty());
    out.recorder = rest.join("; ");
    out
}

/// `dd-MMM-yyyy`.
fn day_month_year(text: &str) -> Option<Ymd> {
    let mut parts = text.splitn(3, '-');
    let day = parts.next()?.parse().ok()?;
    let month = month_from_name(parts.next()?)?;
    let date = (parts.next()?.parse().ok()?, month, day);
    local_time_from_ymd_hms(date, (0, 0, 0, 0)).map(|_| date)
}

/// Three two-digit numbers with any of the separators that files use; the flag is false for other than `.`.
pub(super) fn three_numbers(text: &str) -> Option<([u32; 3], bool)> {
    let text = text.trim();
    let mut parts = text.split(['.', ':', '/', '-']);
    let mut next = || parts.next()?.trim().parse::<u32>().ok().filter(|n| *n < 100);
    let numbers = [next()?, next()?, next()?];
    (parts.next().is_none()).then(|| (numbers, text.chars().all(|c| c == '.' || c.is_ascii_digit())))
}

/// 85..=99 are 1985..=1999, 0..=84 are 2000..=2084.
pub(super) fn year_from_two_digits(yy: u32) -> i32 {
    yy as i32 + if yy >= 85 { 1900 } else { 2000 }
}

/// Date and time of day of a start for the two 8-byte fields, and the `Startdate` value.
pub(super) fn start_fields(start: Option<LocalTime>) -> (String, String, String) {
    let time = start.map_or_else(|| "00.00.00".to_owned(), |s| s.clock().replace(':', "."));
    match start.filter(|s| date_is_known(*s)).and_then(ymd_from_local_time) {
        Some((y, m, d)) if (0..=9999).contains(&y) => {
            let yy = if (1985..=2084).contains(&y) { format!("{:02}", y % 100) } else { "yy".to_owned() };
            // chrono gives months from 1 to 12.
            let month = MONTHS[(m as usize - 1).min(11)];
            (format!("{d:02}.{m:02}.{yy}"), time, format!("{d:02}-{month}-{y:04}"))
        }
        _ => ("01.01.85".to_owned(), time, "X".to_owned()),
    }
}

/// The patient field: `code sex birthdate name`.
pub(super) fn patient_field(identity: &Identity) -> String {
    let sex = match identity.sex.trim().chars().next().map(|c| c.to_ascii_uppercase()) {
        Some('F' | 'W') => "F",
        Some('M') => "M",
        _ => "X",
    };
    let born = birth_date(&identity.born);
    format!("{} {sex} {born} {}", subfield(&identity.code), subfield(&identity.name))
}

/// The recording field; `samples` is stated when the last data record was filled up.
pub(super) fn recording_field(startdate: &str, identity: &Identity, samples: Option<i64>) -> String {
    let samples = samples.map_or_else(String::new, |n| format!(" {SAMPLES}{n}"));
    let head = format!("{STARTDATE} {startdate} X X ");
    let room = 80usize.saturating_sub(head.len() + samples.len());
    let mut recorder = subfield(&identity.recorder);
    recorder.truncate(room);
    format!("{head}{recorder}{samples}")
}

fn birth_date(text: &str) -> String {
    if let Some((y, m, d)) = day_month_year(text.trim()) {
        return format!("{d:02}-{}-{y:04}", MONTHS[(m as usize - 1).min(11)]);
    }
    let mut parts = text.trim().splitn(3, '-').map(str::parse::<u32>);
    let iso = match (parts.next(), parts.next(), parts.next()) {
        (Some(Ok(y)), Some(Ok(m)), Some(Ok(d))) if (1..=12).contains(&m) && (1..=31).contains(&d) => {
            Some((y, m, d))
        }
        _ => None,
    };
    iso.map_or_else(|| "X".to_owned(), |(y, m, d)| format!("{d:02}-{}-{y:04}", MONTHS[m as usize - 1]))
}

/// Text as one subfield of printable ASCII: spaces become `_`, nothing becomes `X`.
fn subfield(text: &str) -> String {
    let text: String = text.trim().chars().map(|c| if c.is_whitespace() { '_' } else { ascii(c) }).collect();
    if text.is_empty() { "X".to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_patient_example_of_the_standard_is_read_and_written() {
        let identity = patient_from_plus("ID1 F 31-JAN-1960 Jane_Doe");
        assert_eq!((identity.code.as_str(), identity.sex.as_str()), ("ID1", "F"));
        assert_eq!((identity.born.as_str(), identity.name.as_str()), ("31-JAN-1960", "Jane Doe"));
        assert_eq!(patient_field(&identity), "ID1 F 31-JAN-1960 Jane_Doe");
        assert_eq!(patient_from_plus("X X X X"), Identity::default());
        assert_eq!(
            patient_field(&Identity { born: "1960-01-31".into(), ..Identity::default() }),
            "X X 31-JAN-1960 X"
        );
    }

    #[test]
    fn the_recording_field_gives_date_recorder_and_length() {
        let field = recording_from_plus("Startdate 25-OCT-2020 X X T1 samples=17");
        assert_eq!(
            field,
            RecordingField { date: Some(Some((2020, 10, 25))), recorder: "T1".into(), samples: Some(17) }
        );
        assert_eq!(recording_from_plus("Startdate X X X X").date, Some(None));
        assert_eq!(recording_from_plus("free text").date, None);
    }

    #[test]
    fn two_digit_years_turn_at_85() {
        assert_eq!([85, 99, 0, 84].map(year_from_two_digits), [1985, 1999, 2000, 2084]);
        assert_eq!(three_numbers("25.10.20"), Some(([25, 10, 20], true)));
        assert_eq!(three_numbers("09:30:15"), Some(([9, 30, 15], false)));
        assert_eq!(three_numbers("9.30"), None);
    }

    #[test]
    fn an_unknown_start_is_written_as_unknown() {
        assert_eq!(start_fields(None), ("01.01.85".into(), "00.00.00".into(), "X".into()));
        let start = local_time_from_ymd_hms((2020, 10, 25), (9, 30, 15, 500));
        assert_eq!(start_fields(start), ("25.10.20".into(), "09.30.15".into(), "25-OCT-2020".into()));
    }
}
