//! Taking out of a recording what says who was recorded.
//!
//! The list follows the identifiers that 45 CFR 164.514(b)(2) (HIPAA, 'safe harbor') names, as far as a recording
//! holds them: names, codes, dates, numbers of devices, and free text in which any of them can stand.

use beatledger_core::model::{DiaryEntry, Identity, Lead, LocalTime, Origin, Recording};

use crate::choose::is_ecg_name;
use crate::marks::Marks;
use crate::time::{date_is_known, local_time_from_ymd_hms};

/// What was taken out and what stays, one sentence each, without the words themselves.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Removed {
    /// What was taken out or changed.
    pub removed: Vec<String>,
    /// What stays.
    pub kept: Vec<String>,
    /// What nobody can promise.
    pub not_promised: Vec<String>,
}

/// The date that every start is moved to: 1 January 2000.
const ORIGIN: (i32, u32, u32) = (2000, 1, 1);

/// The start on the fixed date with its own time of day; one without a date stays as it is.
fn moved(start: LocalTime) -> LocalTime {
    match local_time_from_ymd_hms(ORIGIN, (0, 0, 0, 0)).filter(|_| date_is_known(start)) {
        Some(origin) => LocalTime(origin.0 + start.ms_of_day()),
        None => start,
    }
}

/// The recording without what says who was recorded, and what was done.
pub fn deidentify(recording: &Recording) -> (Recording, Removed) {
    let mut said = Removed::default();
    let mut out = recording.clone();
    out.name = "recording".into();
    out.sha256 = String::new();
    out.warnings.clear();
    out.others.clear();
    identity(&mut out, &mut said);
    if let Some(start) = out.start {
        if date_is_known(start) {
            said.removed.push("start date: moved to 2000-01-01; the time of day stays".into());
        }
        out.start = Some(moved(start));
    }
    let words = out.diary.iter().filter(|e| !e.text.is_empty()).count();
    if words > 0 {
        said.removed.push(format!("words of {words} diary entries; their times and kinds stay"));
    }
    strip_diary(&mut out.diary);
    for (i, lead) in out.leads.iter_mut().enumerate() {
        strip_lead(i, lead, &mut said);
    }
    said.removed.push("file name and checksum of the source".into());
    said.kept.push("samples, gains, rate, length, gaps, times of day, beats and events".into());
    said.not_promised = vec![
        "The tracing stays as it is: like a fingerprint it can tell who was recorded to anyone who has another tracing of the same person.".into(),
        "Times of day, sex and what happened when may tell a person who knows the day.".into(),
        "Names of the files that are written are your own choice; put no name or number in them.".into(),
    ];
    (out, said)
}

fn identity(out: &mut Recording, said: &mut Removed) {
    let who = std::mem::take(&mut out.identity);
    let fields = [
        (&who.name, "name"),
        (&who.code, "code of the person"),
        (&who.born, "date of birth"),
        (&who.recorder, "recorder, serial number, technician and remarks"),
        (&who.remarks, "remarks of the file"),
    ];
    let there = fields.iter().filter(|(value, _)| !value.trim().is_empty());
    said.removed.extend(there.map(|(_, what)| (*what).to_owned()));
    // Sex is none of the identifiers; anything longer than a word for it is free text.
    let sex = match who.sex.trim().to_ascii_uppercase().as_str() {
        "F" | "FEMALE" | "W" => "F",
        "M" | "MALE" => "M",
        _ => "",
    };
    if !sex.is_empty() {
        said.kept.push("sex".into());
    } else if !who.sex.trim().is_empty() {
        said.removed.push("text in the place of the sex".into());
    }
    out.identity = Identity { sex: sex.into(), ..Identity::default() };
}

fn strip_diary(diary: &mut [DiaryEntry]) {
    diary.iter_mut().for_each(|e| e.text.clear());
}

/// A lead keeps a name that is one of a lead, and filter words that are those of filters.
fn strip_lead(i: usize, lead: &mut Lead, said: &mut Removed) {
    if !is_lead_name(&lead.name) {
        lead.name = format!("ECG {}", i + 1);
        said.removed.push(format!("wording of the name of lead {}", i + 1));
    }
    if !is_filter(&lead.prefilter) {
        lead.prefilter.clear();
        said.removed.push(format!("filter remarks of lead {}", i + 1));
    }
}

fn is_lead_name(name: &str) -> bool {
    let upper = name.trim().to_ascii_uppercase();
    let rest =
        ["ECG", "EKG", "LEAD"].iter().find_map(|word| upper.strip_prefix(word)).unwrap_or(&upper).trim();
    let number = rest.len() <= 2 && rest.bytes().all(|b| b.is_ascii_digit());
    let known = is_ecg_name(rest) && !rest.contains("ECG") && !rest.contains("EKG");
    number && rest.len() < upper.len() || known
}

/// `HP:0.05Hz LP:40Hz N:50Hz` and the like: words of filters and numbers of at most six digits.
fn is_filter(text: &str) -> bool {
    const WORDS: [&str; 9] = ["HP", "LP", "N", "BP", "BS", "HZ", "DC", "NOTCH", "NONE"];
    let upper = text.to_ascii_uppercase();
    let words = upper.split(|c: char| !c.is_alphabetic()).filter(|w| !w.is_empty());
    let numbers = upper.split(|c: char| !c.is_ascii_digit() && c != '.');
    text.is_ascii()
        && words.into_iter().all(|w| WORDS.contains(&w))
        && numbers.into_iter().all(|n| n.len() <= 6)
}

/// Marks without what says who was recorded: date, checksum, words of the diary, notes of a reader, and names of leads that
/// are not the same in `before` and in `after`.
#[must_use]
pub fn deidentify_marks(marks: &Marks, before: &Recording, after: &Recording) -> Marks {
    let mut out = marks.clone();
    out.start = out.start.map(moved);
    out.source_sha256 = String::new();
    strip_diary(&mut out.diary);
    let names = before.leads.iter().zip(&after.leads).map(|(a, b)| (a.name.as_str(), b.name.as_str()));
    let gone: Vec<(&str, &str)> = names.filter(|(a, b)| a != b && !a.is_empty()).collect();
    for event in &mut out.events {
        match event.origin {
            Origin::Reader => event.note.clear(),
            Origin::Found => gone.iter().for_each(|(a, b)| event.note = event.note.replace(a, b)),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_leads_stay_and_names_of_people_go() {
        for name in ["ECG V1", "MLII", "ECG", "ECG 2", "aVR", "lead II", "V5", "CM5"] {
            assert!(is_lead_name(name), "{name}");
        }
        for name in ["ECG of Jane Doe", "Jane", "", "12", "ECG 4711", "Direct_1", "V1 Doe"] {
            assert!(!is_lead_name(name), "{name}");
        }
        for text in ["", "HP:0.05Hz LP:40Hz N:50Hz", "hp 0.5 lp 100", "DC"] {
            assert!(is_filter(text), "{text}");
        }
        for text in ["HP:0.05Hz by Jane", "serial 4711", "N:12345678", "é"] {
            assert!(!is_filter(text), "{text}");
        }
    }

    #[test]
    fn the_start_moves_to_a_fixed_date_and_keeps_its_time_of_day() {
        let start = local_time_from_ymd_hms((2026, 11, 25), (23, 59, 58, 250)).unwrap();
        assert_eq!(Some(moved(start)), local_time_from_ymd_hms((2000, 1, 1), (23, 59, 58, 250)));
        let undated = crate::time::local_time_without_date(9, 30, 0, 0).unwrap();
        assert_eq!(moved(undated), undated);
    }
}
