//! What went wrong with a file, in one sentence: which file, where, what was expected, what was found.

use std::io;
use std::path::Path;

/// Why a file could not be read or written.
#[derive(Debug, thiserror::Error)]
pub enum FormatError {
    /// The operating system refused.
    #[error("{file}: {action} failed: {source}")]
    Io {
        /// File name.
        file: String,
        /// What was tried: `opening`, `reading`, `writing`.
        action: &'static str,
        /// The system's reason.
        source: io::Error,
    },
    /// The bytes do not follow the format.
    #[error("{file}, {place}: expected {expected}, found {found}")]
    Malformed {
        /// File name.
        file: String,
        /// Byte, line or record in words.
        place: String,
        /// What the format asks for.
        expected: String,
        /// What stands there.
        found: String,
    },
    /// The file is sound as far as seen, but is of a kind that is not read or written.
    #[error("{file}: {what}")]
    Unsupported {
        /// File name.
        file: String,
        /// What it is and what is read instead.
        what: String,
    },
}

impl FormatError {
    pub(crate) fn io(path: &Path, action: &'static str, source: io::Error) -> Self {
        Self::Io { file: file_name(path), action, source }
    }

    pub(crate) fn malformed(
        path: &Path,
        place: impl Into<String>,
        expected: impl Into<String>,
        found: impl Into<String>,
    ) -> Self {
        Self::Malformed {
            file: file_name(path),
            place: place.into(),
            expected: expected.into(),
            found: found.into(),
        }
    }

    pub(crate) fn unsupported(path: &Path, what: impl Into<String>) -> Self {
        Self::Unsupported { file: file_name(path), what: what.into() }
    }
}

/// The last part of a path, fit for one line of text: of a long name its start and its end.
pub(crate) fn file_name(path: &Path) -> String {
    const MAX_CHARS: usize = 120;
    const END_CHARS: usize = 30;
    let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy();
    let sound = |c: char| if c.is_control() { '\u{fffd}' } else { c };
    let chars: Vec<char> = name.chars().map(sound).collect();
    if chars.len() <= MAX_CHARS {
        return chars.into_iter().collect();
    }
    let (start, end) = (&chars[..MAX_CHARS - END_CHARS - 1], &chars[chars.len() - END_CHARS..]);
    start.iter().chain(&['…']).chain(end).collect()
}

/// Text from a file, quoted, without control characters and cut to a length that fits a sentence.
pub(crate) fn shown(text: &str) -> String {
    const MAX_CHARS: usize = 40;
    let mut out = String::new();
    for c in text.trim().chars() {
        // An escaped character may take ten, and ten of them a line.
        let next = c.escape_debug();
        if out.chars().count() + next.len() > MAX_CHARS {
            out.push('…');
            break;
        }
        out.extend(next);
    }
    if out.is_empty() { "nothing".to_owned() } else { format!("'{out}'") }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Found by the fuzz target `dicom`: the header of a joined record that names a file of a thousand characters.
    #[test]
    fn a_long_file_name_is_shown_by_its_start_and_its_end() {
        let told = |name: String| FormatError::unsupported(Path::new(&name), "no").to_string();
        assert_eq!(told("a.hea".to_owned()), "a.hea: no");
        let long = told(format!("{}.hea", "ab".repeat(500)));
        assert_eq!(long.chars().count(), 124);
        assert!(long.starts_with("abab") && long.ends_with("ab.hea: no") && long.contains('…'), "{long}");
    }

    // Found by the fuzz target `table`: eight columns whose unit was a row of control characters.
    #[test]
    fn text_of_control_characters_is_cut_to_fit_a_sentence_too() {
        assert_eq!(shown("a\u{7}b"), "'a\\u{7}b'");
        assert!(shown(&"\u{9a}".repeat(40)).chars().count() <= 43);
        assert_eq!(shown(&"x".repeat(40)), format!("'{}'", "x".repeat(40)));
        assert_eq!(shown(&"x".repeat(41)), format!("'{}…'", "x".repeat(40)));
    }
}
