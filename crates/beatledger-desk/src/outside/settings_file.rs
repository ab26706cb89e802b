//! Settings files: TOML, one `name = value` a line. Only what differs from the defaults needs to stand in one.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

use anyhow::Context as _;
use beatledger_core::settings::{Settings, TABLE};
use toml::Spanned;

/// Reads a settings file.
///
/// # Errors
/// One sentence with the line, when it cannot be read, is no TOML, names a setting that does not exist, or holds a
/// value that is no number or lies outside the allowed range.
pub fn read(path: &Path) -> anyhow::Result<Settings> {
    let name = path.display();
    let text =
        std::fs::read_to_string(path).with_context(|| format!("could not read the settings file {name}"))?;
    parse(&text).map_err(|(line, what)| anyhow::anyhow!("the settings file {name}, line {line}: {what}"))
}

/// Reads the text of a settings file; an error is the line, from 1, and what is wrong there.
pub fn parse(text: &str) -> Result<Settings, (usize, String)> {
    let line = |at: usize| 1 + text.bytes().take(at).filter(|b| *b == b'\n').count();
    let values: BTreeMap<String, Spanned<toml::Value>> = toml::from_str(text).map_err(|error| {
        let what = error.message().trim().replace('\n', ", ");
        (line(error.span().map_or(0, |s| s.start)), format!("this is no TOML: {what}"))
    })?;
    let mut in_order: Vec<_> = values.into_iter().collect();
    in_order.sort_by_key(|(_, value)| value.span().start);
    let mut settings = Settings::default();
    for (key, value) in in_order {
        let at = line(value.span().start);
        let number = match value.get_ref() {
            toml::Value::Integer(n) => *n as f64,
            toml::Value::Float(x) => *x,
            other => return Err((at, not_a_number(&key, other.type_str()))),
        };
        settings.set(&key, number).map_err(|error| (at, explained(&key, error.text)))?;
    }
    Ok(settings)
}

fn not_a_number(key: &str, found: &str) -> String {
    match TABLE.iter().find(|row| row.key == key) {
        Some(row) => {
            let range = format!("{} to {} {}", row.min, row.max, row.unit);
            format!("setting '{key}' is a {found}, expected is a number from {}", range.trim_end())
        }
        None => explained(key, format!("there is no setting named '{key}'")),
    }
}

/// An unknown name gets the known name that is nearest to it.
fn explained(key: &str, text: String) -> String {
    if TABLE.iter().any(|row| row.key == key) {
        return text;
    }
    let nearest = TABLE.iter().map(|row| (distance(row.key, key), row.key)).min();
    match nearest.filter(|(far, name)| *far <= name.len() / 2) {
        Some((_, name)) => format!("{text}; the nearest is '{name}', `beatledger settings` prints all"),
        None => format!("{text}; `beatledger settings` prints all"),
    }
}

/// Letters to put in, take out or change to make one word of the other (Levenshtein 1966).
fn distance(a: &str, b: &str) -> usize {
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.bytes().enumerate() {
        let mut before = row[0];
        row[0] = i + 1;
        for (j, y) in b.bytes().enumerate() {
            let change = before + usize::from(x != y);
            before = row[j + 1];
            row[j + 1] = change.min(row[j] + 1).min(before + 1);
        }
    }
    row[b.len()]
}

/// All settings as the text of a settings file: what each does, its unit, range and source as comments.
pub fn write(settings: &Settings) -> String {
    let mut out = String::from(
        "# Settings of beatledger: name = value. Only what differs from the defaults needs to stand in a file.\n",
    );
    for row in TABLE {
        let unit = if row.unit.is_empty() { "no unit" } else { row.unit };
        // Writing to a String cannot fail, so the results are not looked at.
        let _ = writeln!(out, "\n# {}", row.help);
        let again = if row.refind { " Beats are found anew." } else { "" };
        let _ = writeln!(out, "# {unit}, {} to {}, default {}.{again}", row.min, row.max, row.default);
        let _ = writeln!(out, "# Source: {}", row.source);
        let _ = writeln!(out, "{} = {}", row.key, toml_number(row.value(settings)));
    }
    out
}

fn toml_number(x: f64) -> String {
    format!("{x:?}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_printed_is_read_back_and_names_unit_range_and_source_of_all() {
        let mut settings = Settings::default();
        settings.set("pause_ms", 2500.0).unwrap();
        let text = write(&settings);
        assert_eq!(parse(&text).unwrap(), settings);
        for row in TABLE {
            assert!(text.contains(&format!("\n{} = ", row.key)) && text.contains(row.source), "{}", row.key);
        }
        assert!(text.contains("# ms, 1500 to 3000, default 2000.\n"), "{text}");
    }

    #[test]
    fn whatever_is_wrong_is_said_in_one_sentence_with_its_line() {
        let said = |text: &str| {
            let (line, what) = parse(text).unwrap_err();
            assert!(!what.contains('\n'), "{what}");
            format!("{line}: {what}")
        };
        assert_eq!(
            said("# mine\nbrady_bpm = 45\npause_ms = 10\n"),
            "3: setting 'pause_ms' is 10, allowed is 1500 to 3000 ms"
        );
        assert_eq!(
            said("pause = 2500\n"),
            "1: there is no setting named 'pause'; the nearest is 'pause_ms', `beatledger settings` prints all"
        );
        assert_eq!(
            said("\npause_ms = \"long\"\n"),
            "2: setting 'pause_ms' is a string, expected is a number from 1500 to 3000 ms"
        );
        assert!(said("pause_ms = 2000\npause_ms = 2100\n").starts_with("2: this is no TOML: "));
        assert!(said("pause_ms 2000\n").starts_with("1: this is no TOML: "));
        assert!(said("pause_ms = nan\n").starts_with("1: setting 'pause_ms' is NaN"));
        assert!(said("[pauses]\npause_ms = 2000\n").contains("there is no setting named 'pauses'"));
    }

    /// Both ends of every range are read, the next numbers beyond them are refused with their line.
    #[test]
    fn the_lowest_and_the_highest_value_of_every_setting_are_read_and_the_next_ones_beyond_refused() {
        for row in TABLE {
            for value in [row.min, row.max] {
                let mut expected = Settings::default();
                expected.set(row.key, value).unwrap();
                assert_eq!(row.value(&expected), value, "{}", row.key);
                assert_eq!(parse(&format!("{} = {value:?}", row.key)), Ok(expected), "{}", row.key);
            }
            for value in [row.min.next_down(), row.max.next_up(), f64::NEG_INFINITY, f64::INFINITY] {
                let (line, what) = parse(&format!("# mine\n{} = {value:?}\n", row.key)).unwrap_err();
                let range = format!("allowed is {} to {}", row.min, row.max);
                assert!(line == 2 && what.contains(row.key) && what.contains(&range), "{line}: {what}");
            }
        }
    }

    #[test]
    fn nothing_in_a_file_leaves_the_defaults() {
        assert_eq!(parse("").unwrap(), Settings::default());
        assert_eq!(parse("tachy_bpm = 110.5").unwrap().tachy_bpm, 110.5);
    }
}
