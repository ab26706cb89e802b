//! Time-stamped annotation lists: the text that an EDF+ annotation signal holds.

use beatledger_core::model::DiaryKind;

use crate::source::text_from_bytes;

const END_OF_TEXT: u8 = 0x14;
const DURATION: u8 = 0x15;
/// Times further than this from the start are no times of a recording.
const MAX_SECONDS: f64 = 1e9;

/// One list entry: when, how long, and its texts; a record's time keeping has an empty first text.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Tal {
    pub(super) onset_s: f64,
    pub(super) duration_s: f64,
    pub(super) texts: Vec<String>,
    /// False when a text was no UTF-8 and was read as Latin-1.
    pub(super) is_utf8: bool,
}

/// All entries of one annotation block, each good or with what is wrong about it.
pub(super) fn parse(block: &[u8]) -> impl Iterator<Item = Result<Tal, &'static str>> {
    block.split(|b| *b == 0).filter(|part| !part.is_empty()).map(parse_one)
}

fn parse_one(part: &[u8]) -> Result<Tal, &'static str> {
    let Some(body) = part.strip_suffix(&[END_OF_TEXT]) else {
        return Err("the end mark is missing");
    };
    let mut fields = body.split(|b| *b == END_OF_TEXT);
    let time = fields.next().unwrap_or_default();
    let (onset, duration) = match time.iter().position(|b| *b == DURATION) {
        Some(at) => (&time[..at], Some(&time[at + 1..])),
        None => (time, None),
    };
    let sign = match onset.first() {
        Some(b'+') => 1.0,
        Some(b'-') => -1.0,
        _ => return Err("the onset has no sign"),
    };
    let onset_s = sign * seconds(&onset[1..]).ok_or("the onset is no number of seconds")?;
    let duration_s = match duration {
        Some(text) => seconds(text).ok_or("the duration is no number of seconds")?,
        None => 0.0,
    };
    let (mut texts, mut all_utf8) = (Vec::new(), true);
    for field in fields {
        let (text, is_utf8) = text_from_bytes(field);
        all_utf8 &= is_utf8;
        texts.push(text);
    }
    Ok(Tal { onset_s, duration_s, texts, is_utf8: all_utf8 })
}

/// `digits [. digits]`.
fn seconds(text: &[u8]) -> Option<f64> {
    let text = std::str::from_utf8(text).ok()?;
    let (whole, part) = text.split_once('.').map_or((text, None), |(w, p)| (w, Some(p)));
    let digits = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
    if !digits(whole) || part.is_some_and(|p| !digits(p)) {
        return None;
    }
    text.parse().ok().filter(|s| *s <= MAX_SECONDS)
}

/// The bytes of one entry.
pub(super) fn bytes(onset: &str, duration: Option<&str>, text: &str) -> Vec<u8> {
    let sign = if onset.starts_with('-') { "" } else { "+" };
    let mut out = format!("{sign}{onset}").into_bytes();
    if let Some(duration) = duration {
        out.push(DURATION);
        out.extend(duration.bytes());
    }
    out.push(END_OF_TEXT);
    out.extend(text.bytes().map(|b| if b < 0x20 && !matches!(b, b'\t' | b'\n' | b'\r') { b' ' } else { b }));
    out.extend([END_OF_TEXT, 0]);
    out
}

const KIND_WORDS: [(DiaryKind, &str); 5] = [
    (DiaryKind::Symptom, "Symptom"),
    (DiaryKind::Activity, "Activity"),
    (DiaryKind::Medication, "Medication"),
    (DiaryKind::Button, "Button"),
    (DiaryKind::Sleep, "Sleep"),
];

/// The kind of a diary entry from a leading word such as `Symptom:`, and the text without it.
pub(super) fn kind_and_text(text: &str) -> (DiaryKind, &str) {
    for (kind, word) in KIND_WORDS {
        let rest = text
            .get(..word.len())
            .filter(|head| head.eq_ignore_ascii_case(word))
            .map(|_| &text[word.len()..]);
        match rest.map(str::trim) {
            Some("") => return (kind, ""),
            Some(rest) if rest.starts_with(':') => return (kind, rest[1..].trim()),
            _ => {}
        }
    }
    (DiaryKind::Note, text.trim())
}

/// A diary entry as the text of an annotation; the kind stands before it, a note stands alone.
pub(crate) fn text_with_kind(kind: DiaryKind, text: &str) -> String {
    match KIND_WORDS.iter().find(|(k, _)| *k == kind) {
        Some((_, word)) if text.is_empty() => (*word).to_owned(),
        Some((_, word)) => format!("{word}: {text}"),
        None => text.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bytes_of_the_published_example_are_read() {
        let block = b"+2.5\x14\x14\0+2.5\x150.5\x14dizzy \xC3\xA9\x14\0\0\0\0";
        let list: Vec<_> = parse(block).map(Result::unwrap).collect();
        assert_eq!((list[0].onset_s, list[0].texts.as_slice()), (2.5, ["".to_owned()].as_slice()));
        assert_eq!((list[1].duration_s, list[1].texts.as_slice()), (0.5, ["dizzy é".to_owned()].as_slice()));
        assert_eq!(list.len(), 2);
    }

    #[test]
    fn entries_that_break_the_grammar_are_told_apart_from_good_ones() {
        let block = b"1.0\x14a\x14\0+1e3\x14b\x14\0+1.\x14c\x14\0+1\x15\x14d\x14\0+1\x14e\0+9\x14good\x14\0";
        let list: Vec<_> = parse(block).collect();
        assert!(list[..5].iter().all(Result::is_err));
        assert_eq!(list[5].as_ref().unwrap().texts, ["good"]);
    }

    #[test]
    fn several_texts_and_latin_1_are_kept() {
        let tal = parse(b"-1\x14one\x14tw\xF6\x14\0").next().unwrap().unwrap();
        assert_eq!((tal.onset_s, tal.is_utf8), (-1.0, false));
        assert_eq!(tal.texts, ["one", "twö"]);
    }

    #[test]
    fn an_entry_is_written_as_the_published_example_stands() {
        assert_eq!(bytes("1.75", None, "Patient event"), b"+1.75\x14Patient event\x14\0");
        assert_eq!(bytes("2.5", Some("0.5"), "a\x14b"), b"+2.5\x150.5\x14a b\x14\0");
    }

    #[test]
    fn the_kind_of_an_entry_survives_as_its_first_word() {
        for kind in [DiaryKind::Symptom, DiaryKind::Sleep, DiaryKind::Note] {
            assert_eq!(kind_and_text(&text_with_kind(kind, "dizzy: on stairs")), (kind, "dizzy: on stairs"));
        }
        assert_eq!(kind_and_text(&text_with_kind(DiaryKind::Button, "")), (DiaryKind::Button, ""));
        assert_eq!(kind_and_text("Sleepless night"), (DiaryKind::Note, "Sleepless night"));
        assert_eq!(kind_and_text("ÄÄ"), (DiaryKind::Note, "ÄÄ"));
    }
}
