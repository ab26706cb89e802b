//! Counts of beats, edits and leads in words; numbers, durations and figures are worded by the report alone.

use beatledger_core::review::Edit;
use beatledger_core::session::Snapshot;
use beatledger_report::values::grouped;

/// `1 beat`, `12 beats`, `12 345 beats`.
pub fn beats_words(n: usize) -> String {
    if n == 1 { "1 beat".into() } else { format!("{} beats", grouped(n as u64)) }
}

/// An edit in words, with large counts in groups of three: `13 746 beats labelled N`.
pub fn edit_words(edit: &Edit) -> String {
    let (words, n) = (edit.words(), edit.beat_count());
    match words.strip_prefix(&n.to_string()) {
        Some(rest) => format!("{}{rest}", grouped(n as u64)),
        _ => words,
    }
}

/// Name of a lead as it is drawn, with `(inverted)` where it is.
pub fn lead_words(snapshot: &Snapshot, lead: usize) -> String {
    let name = snapshot.recording.leads.get(lead).map_or("no lead", |l| l.name.as_str());
    let inverted = snapshot.inverted.get(lead).copied().unwrap_or(false);
    if inverted { format!("{name} (inverted)") } else { name.to_owned() }
}

/// A sentence with its first letter large.
pub fn capital(words: &str) -> String {
    let mut chars = words.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

#[cfg(test)]
mod tests {
    use beatledger_core::model::BeatClass;

    use super::*;

    #[test]
    fn edits_of_many_beats_are_grouped_as_figures_are() {
        let edit = |n: i64| Edit::Relabel { beats: (0..n).collect(), class: BeatClass::N };
        assert_eq!(edit_words(&edit(13_746)), "13\u{a0}746 beats labelled N");
        assert_eq!(edit_words(&edit(3746)), "3746 beats labelled N");
        assert_eq!(edit_words(&edit(12)), "12 beats labelled N");
    }
}
