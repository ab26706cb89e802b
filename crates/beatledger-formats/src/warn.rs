//! Collects warnings and keeps their number in bounds, so that a broken file cannot flood the reader.

use std::collections::BTreeMap;

use beatledger_core::model::Warning;

/// This many warnings of one code are kept word for word; the rest are counted.
const KEPT_PER_CODE: usize = 20;

/// Warnings in the order in which they came.
#[derive(Debug, Default)]
pub(crate) struct Warnings {
    list: Vec<Warning>,
    count: BTreeMap<&'static str, usize>,
}

impl Warnings {
    pub(crate) fn add(&mut self, code: &'static str, place: impl Into<String>, text: impl Into<String>) {
        let count = self.count.entry(code).or_default();
        *count += 1;
        if *count <= KEPT_PER_CODE {
            self.list.push(Warning::new(code, place, text));
        }
    }

    /// Says that a file holds less than its header speaks of, both in seconds, where the difference is a second or more.
    pub(crate) fn add_if_cut(&mut self, held_s: f64, said_s: f64) {
        if said_s - held_s < 1.0 {
            return;
        }
        let text = format!(
            "The file is cut: {} of {} are there, {} are missing.",
            length_words(held_s),
            length_words(said_s),
            length_words(said_s - held_s)
        );
        self.add("file-cut", "", text);
    }

    pub(crate) fn into_list(self) -> Vec<Warning> {
        let mut list = self.list;
        for (code, count) in self.count {
            if count > KEPT_PER_CODE {
                let more = count - KEPT_PER_CODE;
                list.push(Warning::new(code, "", format!("{more} more of the same kind are not listed.")));
            }
        }
        list
    }
}

/// `6 h`, `5 h 28 min`, `32 min`, `45 s`.
fn length_words(seconds: f64) -> String {
    let s = seconds.round().max(0.0) as u64;
    let (h, min, s) = (s / 3600, s / 60 % 60, s % 60);
    let parts = [(h, "h"), (min, "min"), (if h > 0 { 0 } else { s }, "s")];
    let words: Vec<String> =
        parts.iter().filter(|(n, _)| *n > 0).map(|(n, unit)| format!("{n} {unit}")).collect();
    if words.is_empty() { "0 s".to_owned() } else { words.join(" ") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cut_file_says_how_much_of_it_is_there_and_how_much_is_missing() {
        let mut warnings = Warnings::default();
        warnings.add_if_cut(32.0 * 60.0, 6.0 * 3600.0);
        warnings.add_if_cut(10.0, 10.5);
        let list = warnings.into_list();
        assert_eq!(list.len(), 1);
        assert_eq!(list[0].text, "The file is cut: 32 min of 6 h are there, 5 h 28 min are missing.");
    }
}
