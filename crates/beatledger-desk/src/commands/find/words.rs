//! Words of the find line: what each means by itself.

use beatledger_core::model::{BeatClass, EventKind};
use chrono::{Datelike as _, NaiveDate};

/// A measured property of a beat.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Field {
    /// Interval from the beat before to an ectopic beat, ms. Named `coupling`: N beats have none.
    Coupling,
    /// Interval from the beat before, ms.
    Rr,
    /// Confidence of the program in its label, 0 to 1.
    Confidence,
    /// QRS width, ms.
    Width,
    /// 60000 / RR, per minute.
    Rate,
}

/// Lower-case words; `<400ms` becomes `<`, `400`, `ms`.
pub(super) fn words_of(line: &str) -> Vec<String> {
    let spaced: String = line
        .to_lowercase()
        .replace('≥', ">=")
        .replace('≤', "<=")
        .replace(">=", " \u{1} ")
        .replace("<=", " \u{2} ")
        .replace('<', " < ")
        .replace('>', " > ")
        .replace('\u{1}', ">=")
        .replace('\u{2}', "<=")
        .replace([',', ';'], " ");
    spaced.split_whitespace().flat_map(unit_apart).collect()
}

/// `400ms` as `400` and `ms`.
fn unit_apart(word: &str) -> Vec<String> {
    let digits = word
        .find(|c: char| c.is_ascii_alphabetic())
        .filter(|at| *at > 0 && word[..*at].parse::<f64>().is_ok());
    match digits {
        Some(at) => vec![word[..at].to_owned(), word[at..].to_owned()],
        None => vec![word.to_owned()],
    }
}

pub(super) fn field_of(word: &str) -> Option<Field> {
    Some(match word {
        "coupling" => Field::Coupling,
        "rr" | "interval" => Field::Rr,
        "confidence" => Field::Confidence,
        "width" | "qrs" => Field::Width,
        "rate" => Field::Rate,
        _ => return None,
    })
}

/// `14:05` or `14:05:30` as ms of the day.
pub(super) fn clock_ms(word: &str) -> Option<i64> {
    let mut parts = word.split(':');
    let hour: i64 = parts.next()?.parse().ok().filter(|h| (0..24).contains(h))?;
    let minute: i64 = parts.next()?.parse().ok().filter(|m| (0..60).contains(m))?;
    let second: i64 = match parts.next() {
        Some(s) => s.parse().ok().filter(|s| (0..60).contains(s))?,
        None => 0,
    };
    parts.next().is_none().then_some(((hour * 60 + minute) * 60 + second) * 1000)
}

/// A date, with its year or without.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DateWord {
    /// The year; any when it was not said.
    pub year: Option<i32>,
    /// Month and day of the month, counted from 1.
    pub month_day: (u32, u32),
}

impl DateWord {
    /// True for a day of that name.
    pub fn is(self, date: NaiveDate) -> bool {
        self.year.is_none_or(|y| y == date.year()) && self.month_day == (date.month(), date.day())
    }
}

/// `2024-03-05` or `03-05`.
pub(super) fn date_of(word: &str) -> Option<DateWord> {
    // A leap year stands in for the one that was not said.
    let full = |text: &str| NaiveDate::parse_from_str(text, "%Y-%m-%d").ok();
    let is_short = word.len() == 5 && word.as_bytes()[2] == b'-';
    let date = if is_short { full(&format!("2000-{word}"))? } else { full(word)? };
    Some(DateWord { year: (!is_short).then_some(date.year()), month_day: (date.month(), date.day()) })
}

pub(super) fn class_of(word: &str) -> Option<BeatClass> {
    match word {
        "normal" | "normals" => Some(BeatClass::N),
        "supraventricular" => Some(BeatClass::S),
        "ventricular" => Some(BeatClass::V),
        "fusion" => Some(BeatClass::F),
        "unclassifiable" => Some(BeatClass::Q),
        _ => {
            let mut letters = word.chars();
            letters.next().and_then(BeatClass::from_letter).filter(|_| letters.next().is_none())
        }
    }
}

pub(super) fn kinds_of(word: &str) -> Option<Vec<EventKind>> {
    use EventKind as K;
    Some(match word.strip_suffix('s').filter(|w| w.len() > 2).unwrap_or(word) {
        "event" => Vec::new(),
        "run" => vec![K::VentricularTachycardia, K::IdioventricularRun, K::SupraventricularRun],
        "vt" => vec![K::VentricularTachycardia],
        "vf" | "vfl" => vec![K::VentricularFibrillation],
        "idioventricular" => vec![K::IdioventricularRun],
        "couplet" => vec![K::VentricularCouplet, K::SupraventricularCouplet],
        "bigeminy" => vec![K::VentricularBigeminy, K::SupraventricularBigeminy],
        "trigeminy" => vec![K::VentricularTrigeminy, K::SupraventricularTrigeminy],
        "af" | "fibrillation" => vec![K::AtrialFibrillation],
        "afl" | "flutter" => vec![K::AtrialFlutter],
        "pause" => vec![K::Pause],
        "candidate" => vec![K::DroppedBeatCandidate],
        "bradycardia" => vec![K::Bradycardia],
        "tachycardia" => vec![K::Tachycardia],
        "unreadable" => vec![K::Unreadable],
        _ => return None,
    })
}

/// `V runs` are ventricular runs, `S couplets` supraventricular ones.
pub(super) fn kind_has_class(kind: EventKind, class: BeatClass) -> bool {
    use EventKind as K;
    match class {
        BeatClass::V => matches!(
            kind,
            K::VentricularTachycardia
                | K::IdioventricularRun
                | K::VentricularCouplet
                | K::VentricularBigeminy
                | K::VentricularTrigeminy
        ),
        BeatClass::S => matches!(
            kind,
            K::SupraventricularRun
                | K::SupraventricularCouplet
                | K::SupraventricularBigeminy
                | K::SupraventricularTrigeminy
        ),
        _ => false,
    }
}
