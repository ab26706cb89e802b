//! Counts, durations, edits and leads in words.

use beatledger_core::review::Edit;
use beatledger_core::session::Snapshot;

/// `1 beat`, `12 beats`, `12 345 beats`.
pub fn beats_words(n: usize) -> String {
    if n == 1 { "1 beat".into() } else { format!("{} beats", grouped(n as u64)) }
}

/// A count with a non-breaking space between thousands: `104 212`.
pub fn grouped(n: u64) -> String {
    let digits = n.to_string();
    let mut out = String::with_capacity(digits.len() + digits.len() / 3);
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push('\u{a0}');
        }
        out.push(digit);
    }
    out
}

/// An edit in words, with thousands set apart: `3 746 beats labelled N`.
pub fn edit_words(edit: &Edit) -> String {
    let (words, n) = (edit.words(), edit.beat_count());
    match words.strip_prefix(&n.to_string()) {
        Some(rest) if n >= 1000 => format!("{}{rest}", grouped(n as u64)),
        _ => words,
    }
}

/// `3.42 s`, `2 min 05 s`, `1 h 12 min`.
pub fn duration_words(seconds: f64) -> String {
    if seconds < 60.0 {
        return format!("{seconds:.2} s");
    }
    let whole = seconds.round() as i64;
    if whole < 3600 {
        format!("{} min {:02} s", whole / 60, whole % 60)
    } else {
        format!("{} h {:02} min", whole / 3600, whole / 60 % 60)
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
    fn edits_of_many_beats_set_thousands_apart() {
        let edit = |n: i64| Edit::Relabel { beats: (0..n).collect(), class: BeatClass::N };
        assert_eq!(edit_words(&edit(3746)), "3\u{a0}746 beats labelled N");
        assert_eq!(edit_words(&edit(12)), "12 beats labelled N");
    }

    #[test]
    fn thousands_are_set_apart() {
        assert_eq!(grouped(0), "0");
        assert_eq!(grouped(999), "999");
        assert_eq!(grouped(104_212), "104\u{a0}212");
        assert_eq!(grouped(1_000_000), "1\u{a0}000\u{a0}000");
    }

    #[test]
    fn durations_read_as_a_person_would_say_them() {
        assert_eq!(duration_words(3.42), "3.42 s");
        assert_eq!(duration_words(125.2), "2 min 05 s");
        assert_eq!(duration_words(4320.0), "1 h 12 min");
    }
}
