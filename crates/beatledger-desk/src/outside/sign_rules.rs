//! What a signature needs before it may be given: asked by the sheet, by the desk and by the writing of the files alike.

use beatledger_core::session::Snapshot;
use beatledger_core::shown::not_shown;

use crate::outside::services::SignRequest;

/// What a signature can mean (terms of the trade); the first says that nobody reviewed the day.
pub const MEANINGS: [&str; 3] = ["prepared", "reviewed", "approved"];

/// True for a meaning by which a clinician answers for what is signed.
fn answers_for_it(meaning: &str) -> bool {
    meaning == MEANINGS[1] || meaning == MEANINGS[2]
}

/// Why the day cannot be signed so, in one sentence; `None` when it can.
pub fn hindrance(request: &SignRequest, snapshot: &Snapshot) -> Option<String> {
    let unread = snapshot.unread_critical().len();
    if unread > 0 {
        return Some(format!("{} must be kept or dropped first.", counted(unread, "critical event")));
    }
    for (what, text) in [("name", &request.reader), ("role", &request.role), ("meaning", &request.meaning)] {
        if text.trim().is_empty() {
            return Some(format!("a signature needs the reader's {what}."));
        }
    }
    if !MEANINGS.contains(&request.meaning.as_str()) {
        return Some(format!("'{}' is no meaning; say {}.", request.meaning, MEANINGS.join(", ")));
    }
    if !request.confirmed {
        return Some("whose recording it is has not been confirmed.".to_owned());
    }
    review_needs(request, snapshot).into_iter().next()
}

/// What a meaning by which somebody answers for the day still needs, a sentence each.
pub fn review_needs(request: &SignRequest, snapshot: &Snapshot) -> Vec<String> {
    if !answers_for_it(&request.meaning) {
        return Vec::new();
    }
    let conclusion = snapshot.conclusion.trim().is_empty();
    let places = not_shown(snapshot).len();
    let conclusion = conclusion.then(|| format!("'{}' needs a conclusion.", request.meaning));
    let places = (places > 0).then(|| {
        let many = if places == 1 { "1 place" } else { &format!("{places} places") };
        format!("'{}' needs that {many} have been on the screen first.", request.meaning)
    });
    conclusion.into_iter().chain(places).collect()
}

/// `1 critical event`, `3 critical events`.
fn counted(n: usize, what: &str) -> String {
    if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") }
}
