//! Annotation codes of WFDB, their symbols, and the beat classes they stand for.

use beatledger_core::model::BeatClass;

/// Symbols of the codes 0..=49; an empty string where a code has none (user codes and gaps).
const SYMBOLS: [&str; 50] = [
    "", "N", "L", "R", "a", "V", "F", "J", "A", "S", "E", "j", "/", "Q", "~", "", "|", "", "s", "T", "*",
    "D", "\"", "=", "p", "B", "^", "t", "+", "u", "?", "!", "[", "]", "e", "n", "@", "x", "f", "(", ")", "r",
    "", "", "", "", "", "", "", "",
];

/// The symbol of a code by the WFDB code table; `None` for unassigned and user codes.
pub fn symbol_from_code(code: u8) -> Option<&'static str> {
    SYMBOLS.get(usize::from(code)).copied().filter(|s| !s.is_empty())
}

/// The code of a symbol by the WFDB code table.
pub fn code_from_symbol(symbol: &str) -> Option<u8> {
    (0u8..).zip(SYMBOLS).find(|(_, s)| !s.is_empty() && *s == symbol).map(|(code, _)| code)
}

/// How symbols become the classes N S V F Q: the two conventions differ, so every number must name its one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mapping {
    /// As papers since de Chazal 2004 group them: the escapes `e j n` count as N.
    Literature,
    /// As an EC57 scorer with supraventricular classes groups them: the escapes `e j n` count as S, and `?`
    /// counts as Q.
    Ec57,
}

/// The class of a beat symbol; `None` for anything that is no beat under that mapping (`!` is none in both).
pub fn beat_class(symbol: &str, mapping: Mapping) -> Option<BeatClass> {
    Some(match (symbol, mapping) {
        ("N" | "L" | "R" | "B", _) | ("e" | "j" | "n", Mapping::Literature) => BeatClass::N,
        ("A" | "a" | "J" | "S", _) | ("e" | "j" | "n", Mapping::Ec57) => BeatClass::S,
        ("V" | "r" | "E", _) => BeatClass::V,
        ("F", _) => BeatClass::F,
        ("/" | "f" | "Q", _) | ("?", Mapping::Ec57) => BeatClass::Q,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn symbols_and_codes_agree_with_the_published_table() {
        let sample = [(1, "N"), (5, "V"), (14, "~"), (22, "\""), (28, "+"), (34, "e"), (38, "f"), (41, "r")];
        for (code, symbol) in sample {
            assert_eq!(symbol_from_code(code), Some(symbol));
            assert_eq!(code_from_symbol(symbol), Some(code));
        }
        assert_eq!(symbol_from_code(15), None);
        assert_eq!(symbol_from_code(42), None);
        assert_eq!(symbol_from_code(255), None);
        assert_eq!(code_from_symbol(""), None);
    }

    #[test]
    fn escapes_are_normal_in_papers_and_supraventricular_for_a_scorer() {
        for symbol in ["e", "j", "n"] {
            assert_eq!(beat_class(symbol, Mapping::Literature), Some(BeatClass::N));
            assert_eq!(beat_class(symbol, Mapping::Ec57), Some(BeatClass::S));
        }
        assert_eq!(beat_class("?", Mapping::Literature), None);
        assert_eq!(beat_class("?", Mapping::Ec57), Some(BeatClass::Q));
    }

    #[test]
    fn flutter_waves_and_marks_are_no_beats() {
        for symbol in ["!", "+", "~", "|", "x", "", "no such"] {
            assert_eq!(beat_class(symbol, Mapping::Literature), None, "{symbol}");
            assert_eq!(beat_class(symbol, Mapping::Ec57), None, "{symbol}");
        }
    }
}
