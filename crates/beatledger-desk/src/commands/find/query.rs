//! The line of find, read into a query.

use beatledger_core::model::{BeatClass, EventKind, EventState};

use super::words::{
    DateWord, Field, class_of, clock_ms, date_of, field_of, kind_has_class, kinds_of, words_of,
};

/// A property compared with a number in the field's own unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Compare {
    /// The property.
    pub field: Field,
    /// True for `>` and `>=`, false for `<` and `<=`.
    pub above: bool,
    /// True when the number itself counts as well.
    pub or_equal: bool,
    /// The number: ms, 0 to 1, or per minute.
    pub value: f64,
}

impl Query {
    /// True when nothing but a place is asked for.
    pub fn is_place(&self) -> bool {
        *self == Self { date: self.date, clock: self.clock, ..Self::default() }
    }
}

impl Compare {
    /// True when `x` passes.
    pub fn holds(&self, x: f64) -> bool {
        match (self.above, self.or_equal) {
            (true, true) => x >= self.value,
            (true, false) => x > self.value,
            (false, true) => x <= self.value,
            (false, false) => x < self.value,
        }
    }
}

/// Events that a word names.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum EventWord {
    /// Any of these kinds; empty for all kinds.
    Kinds(Vec<EventKind>),
}

/// What a line asks for.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Query {
    /// Any of these classes; empty for all.
    pub classes: Vec<BeatClass>,
    /// All of these hold.
    pub compares: Vec<Compare>,
    /// At night by the settings (`true`), by day (`false`).
    pub night: Option<bool>,
    /// Between two clock times, ms of the day; may run over midnight.
    pub between: Option<(i64, i64)>,
    /// Changed by a reader (`true`) or as found (`false`).
    pub changed: Option<bool>,
    /// Members of this shape group, counted from 1.
    pub group: Option<u32>,
    /// Events instead of beats.
    pub events: Option<EventWord>,
    /// Only events in this state.
    pub state: Option<EventState>,
    /// Only events that must be read before signing.
    pub critical: bool,
    /// A bare clock time, ms of the day: go there.
    pub clock: Option<i64>,
    /// On this date; alone or with a clock time: go there.
    pub date: Option<DateWord>,
}

/// What can be said, in one sentence.
pub const SAYABLE: &str = "One can say classes (N S V F Q, normal, ventricular), conditions (coupling < 400 ms, \
RR > 2 s, rate > 120, width > 120 ms, confidence < 0.8), places (at night, by day, between 02:00 and 04:00), \
events (runs, VT, couplets, pauses, AF, unread runs, critical), 'changed', 'group 3', a date (2024-03-05 or 03-05), or a clock time (14:05), by itself or after a date.";

/// Reads a line; an error is one sentence.
pub fn parse(line: &str) -> Result<Query, String> {
    let words = words_of(line);
    if words.is_empty() {
        return Err(SAYABLE.to_owned());
    }
    let mut query = Query::default();
    let mut rest: &[String] = &words;
    while !rest.is_empty() {
        let used = condition(rest, &mut query)?;
        rest = &rest[used.clamp(1, rest.len())..];
    }
    check(query)
}

/// Takes the condition at the start of `words`; gives how many words it used.
fn condition(words: &[String], query: &mut Query) -> Result<usize, String> {
    let word = words[0].as_str();
    if let Some(field) = field_of(word) {
        return compare(field, words, query);
    }
    if let Some(ms) = clock_ms(word) {
        query.clock = Some(ms);
        return Ok(1);
    }
    if let Some(date) = date_of(word) {
        query.date = Some(date);
        return Ok(1);
    }
    if let Some(class) = class_of(word) {
        query.classes.push(class);
        return Ok(1);
    }
    if let Some(kinds) = kinds_of(word) {
        let EventWord::Kinds(all) = query.events.get_or_insert(EventWord::Kinds(Vec::new()));
        all.extend(kinds);
        return Ok(1);
    }
    match word {
        "between" => return between(words, query),
        "group" => return group(words, query),
        "at" | "by" | "in" | "on" | "the" | "and" | "with" | "or" | "beats" | "beat" | "during" | "of"
        | "all" => {}
        "night" => query.night = Some(true),
        "day" | "daytime" => query.night = Some(false),
        "changed" => query.changed = Some(true),
        "found" | "unchanged" => query.changed = Some(false),
        "uncertain" => query.compares.push(Compare {
            field: Field::Confidence,
            above: false,
            or_equal: false,
            value: f64::from(crate::lists::open_items::UNCERTAIN),
        }),
        "unread" => query.state = Some(EventState::Unread),
        "kept" => query.state = Some(EventState::Kept),
        "dropped" => query.state = Some(EventState::Dropped),
        "critical" => query.critical = true,
        _ => return Err(format!("'{word}' is not understood. {SAYABLE}")),
    }
    Ok(1)
}

fn compare(field: Field, words: &[String], query: &mut Query) -> Result<usize, String> {
    let name = &words[0];
    let mut at = 1;
    while matches!(words.get(at).map(String::as_str), Some("interval" | "rate" | "width")) {
        at += 1;
    }
    let (above, or_equal) = match words.get(at).map(String::as_str) {
        Some(">" | "above" | "over") => (true, false),
        Some(">=") => (true, true),
        Some("<" | "below" | "under") => (false, false),
        Some("<=") => (false, true),
        _ => {
            return Err(format!(
                "after '{name}' say < or > and a number, such as '{name} {}'.",
                example(field)
            ));
        }
    };
    let number = words.get(at + 1).and_then(|w| w.parse::<f64>().ok()).filter(|x| x.is_finite());
    let Some(number) = number else {
        return Err(format!(
            "after '{name} {}' a number is wanted, such as '{name} {}'.",
            words[at],
            example(field)
        ));
    };
    let unit = words.get(at + 2).map(String::as_str);
    let (value, used) = match (field, unit) {
        (Field::Coupling | Field::Rr | Field::Width, Some("s" | "sec" | "seconds")) => (number * 1000.0, 3),
        (Field::Coupling | Field::Rr | Field::Width, Some("ms")) => (number, 3),
        (Field::Confidence, Some("%")) => (number / 100.0, 3),
        (Field::Rate, Some("bpm" | "/min")) => (number, 3),
        _ => (number, 2),
    };
    query.compares.push(Compare { field, above, or_equal, value });
    Ok(at + used)
}

fn example(field: Field) -> &'static str {
    match field {
        Field::Coupling => "< 400 ms",
        Field::Rr => "> 2 s",
        Field::Confidence => "< 0.8",
        Field::Width => "> 120 ms",
        Field::Rate => "> 120",
    }
}

fn between(words: &[String], query: &mut Query) -> Result<usize, String> {
    let clock = |at: usize| words.get(at).and_then(|w| clock_ms(w));
    let and = matches!(words.get(2).map(String::as_str), Some("and" | "to" | "-"));
    match (clock(1), and, clock(3)) {
        (Some(from), true, Some(to)) => {
            query.between = Some((from, to));
            Ok(4)
        }
        _ => Err("after 'between' two clock times are wanted, such as 'between 02:00 and 04:00'.".into()),
    }
}

fn group(words: &[String], query: &mut Query) -> Result<usize, String> {
    match words.get(1).and_then(|w| w.parse::<u32>().ok()).filter(|n| *n > 0) {
        Some(number) => {
            query.group = Some(number);
            Ok(2)
        }
        None => Err("after 'group' its number is wanted, such as 'group 3'.".into()),
    }
}

/// Refuses lines that ask for two things at once.
fn check(mut query: Query) -> Result<Query, String> {
    if query.is_place() {
        return Ok(query);
    }
    let beats = !query.compares.is_empty() || query.changed.is_some() || query.group.is_some();
    let asks_events = query.events.is_some() || query.state.is_some() || query.critical;
    if query.clock.is_some() {
        return Err("a clock time stands alone; for a stretch say 'between 02:00 and 04:00'.".into());
    }
    if !asks_events {
        return Ok(query);
    }
    if beats {
        return Err("events and beat conditions cannot be found in one line; ask for one of them.".into());
    }
    let EventWord::Kinds(kinds) = query.events.get_or_insert(EventWord::Kinds(Vec::new()));
    let classes = std::mem::take(&mut query.classes);
    if !classes.is_empty() {
        kinds.retain(|k| classes.iter().any(|c| kind_has_class(*k, *c)));
        if kinds.is_empty() {
            return Err("there is no event of that kind and class.".into());
        }
    }
    Ok(query)
}

#[cfg(test)]
mod tests;
