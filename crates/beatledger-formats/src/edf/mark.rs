//! Beats and events as texts of annotations, and back: `beat V`, `beat N reader`, `event pause; after ectopy`.
//! EDF+ has no table of codes for them, so the words are our own.

use std::fs::File;
use std::io::{BufReader, Read};
use std::path::Path;

use beatledger_core::model::{BeatClass, EventKind, Origin, Span};
use sha2::Sha256;

use super::fields::BLOCK;
use super::plan::Plan;
use super::read::read_header;
use super::tal;
use crate::FormatError;
use crate::source::Source;
use crate::warn::Warnings;

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

/// Beats and events of an EDF+ file that was written with them, sorted by start; empty when it holds none. The
/// places are samples at the rate of the leads.
///
/// # Errors
/// One sentence when the file is no EDF+ file that can be read.
pub fn read_marks(path: impl AsRef<Path>) -> Result<Vec<(Span, Mark)>, FormatError> {
    let path = path.as_ref();
    let (mut hash, mut warnings) = (Sha256::default(), Warnings::default());
    let mut source = Source::open(path)?;
    let header = read_header(path, &mut source, &mut hash, &mut warnings)?;
    let plan = Plan::of(path, &header, &mut warnings)?;
    let failed = |e| FormatError::io(path, "reading", e);
    let mut file = BufReader::with_capacity(1 << 20, File::open(path).map_err(failed)?);
    let data_at = (BLOCK * (header.signals.len() + 1)) as u64;
    std::io::copy(&mut (&mut file).take(data_at), &mut std::io::sink()).map_err(failed)?;
    // A record is no longer than its header says, and no memory is taken before its bytes are there.
    let (mut record, mut first_s, mut out) = (Vec::new(), None, Vec::new());
    loop {
        record.clear();
        (&mut file).take(header.shape.bytes).read_to_end(&mut record).map_err(failed)?;
        if (record.len() as u64) < header.shape.bytes {
            break;
        }
        for i in &plan.annotations {
            let (at, len) = header.shape.parts[*i];
            for entry in tal::parse(&record[at as usize..(at + len) as usize]).flatten() {
                let first_s = *first_s.get_or_insert(entry.onset_s);
                let start = plan.rate.samples_from_seconds(entry.onset_s - first_s);
                let end = start.saturating_add(plan.rate.samples_from_seconds(entry.duration_s));
                let marks = entry.texts.iter().filter_map(|t| Mark::from_text(t));
                out.extend(marks.map(|m| (Span::new(start, end), m)));
            }
        }
    }
    out.sort_by_key(|(span, _)| *span);
    Ok(out)
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
