//! How a command ends, and how it prints.

/// How a command ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ending {
    /// Everything was done.
    Done,
    /// It was read, and something needs a person.
    NeedsPerson,
}

/// Prints text that may be piped into a program that stops reading early.
pub fn print(text: &str) {
    use std::io::Write;
    // A closed pipe is no reason to fail: there is nobody to tell.
    let _ = std::io::stdout().write_all(harmless(text, true).as_bytes());
}

/// Prints one line, whatever stands in it.
pub fn print_line(text: &str) {
    print(&format!("{}\n", harmless(text, false)));
}

/// Says one sentence on standard error.
pub fn say(text: &str) {
    eprintln!("beatledger: {}", harmless(text, false));
}

/// Text for a terminal: what comes from a file can neither steer it nor turn the direction of what is read, and a sentence
/// stays on its line.
fn harmless(text: &str, lines: bool) -> String {
    let turns =
        |c: char| matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    let is_odd = |c: char| turns(c) || (c.is_control() && !(lines && matches!(c, '\n' | '\t')));
    text.chars().map(|c| if is_odd(c) { '\u{fffd}' } else { c }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_from_a_file_steers_the_terminal_or_adds_a_line_to_a_sentence() {
        assert_eq!(harmless("a\u{1b}[2Jb\u{202e}c\nd\te", true), "a\u{fffd}[2Jb\u{fffd}c\nd\te");
        assert_eq!(harmless("Jo\nIntact: 14 of 14", false), "Jo\u{fffd}Intact: 14 of 14");
        assert_eq!(harmless("Müller 漢字 شكرا", false), "Müller 漢字 شكرا");
    }
}
