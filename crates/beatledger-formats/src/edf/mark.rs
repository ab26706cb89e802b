//! Beats and events as texts of annotations, and back: `beat V`, `beat N reader`, `event pause; after ectopy`.
//! EDF+ has no table of codes for them, so the words are our own.

use beatledger_core::model::{BeatClass, EventKind, Origin};

const BEAT: &str = "beat ";
const EVENT: &str = "event ";
const READER: &str = " reader";
/// Between the kind of an event and its note.
const NOTE: &str = "; ";

/// A beat or an event without its place.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// A beat.
    Beat {
        /// Its class.
        class: BeatClass,
        /// Who is behind it.
        origin: Origin,
    },
    /// An event.
    Event {
        /// Its kind.
        kind: EventKind,
        /// Who is behind it.
        origin: Origin,
        /// Cause or qualifier; empty when none.
        note: String,
    },
}

impl Mark {
    pub(super) fn text(&self) -> String {
        let by = |origin: &Origin| if *origin == Origin::Reader { READER } else { "" };
        match self {
            Self::Beat { class, origin } => format!("{BEAT}{}{}", class.letter(), by(origin)),
            Self::Event { kind, origin, note } if note.is_empty() => {
                format!("{EVENT}{}{}", kind.key(), by(origin))
            }
            Self::Event { kind, origin, note } => format!("{EVENT}{}{}{NOTE}{note}", kind.key(), by(origin)),
        }
    }

    /// The mark of a text; `None` for the words of a diary.
    pub(super) fn from_text(text: &str) -> Option<Self> {
        let who = |head: &str| match head.strip_suffix(READER) {
            Some(rest) => (rest.to_owned(), Origin::Reader),
            None => (head.to_owned(), Origin::Found),
        };
        if let Some(rest) = text.strip_prefix(BEAT) {
            let (letter, origin) = who(rest);
            let class = BeatClass::ALL.into_iter().find(|c| letter == c.letter().to_string())?;
            return Some(Self::Beat { class, origin });
        }
        let rest = text.strip_prefix(EVENT)?;
        let (head, note) = rest.split_once(NOTE).unwrap_or((rest, ""));
        let (key, origin) = who(head);
        Some(Self::Event { kind: EventKind::from_key(&key)?, origin, note: note.to_owned() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_come_back_and_words_of_a_diary_are_none() {
        for kind in EventKind::ALL {
            for note in ["", "after ectopy"] {
                let mark = Mark::Event { kind, origin: Origin::Reader, note: note.into() };
                assert_eq!(Mark::from_text(&mark.text()), Some(mark));
            }
        }
        for class in BeatClass::ALL {
            for origin in [Origin::Found, Origin::Reader] {
                assert_eq!(
                    Mark::from_text(&Mark::Beat { class, origin }.text()),
                    Some(Mark::Beat { class, origin })
                );
            }
        }
        for words in ["beat of a drum", "beat", "event", "event at work", "my heart beat V", "Symptom: dizzy"]
        {
            assert_eq!(Mark::from_text(words), None, "{words}");
        }
    }
}
