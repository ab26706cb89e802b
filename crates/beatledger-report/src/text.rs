//! The figures as aligned plain text, for a terminal.

use std::fmt::Write as _;

use beatledger_core::session::Snapshot;

use crate::values::{duration_text, figure_text, place_text};

/// The figures by family, a line each; what cannot be computed says why. No-break spaces become spaces.
pub fn table(snapshot: &Snapshot) -> String {
    let recording = &*snapshot.recording;
    let mut out = String::new();
    let start = recording.local_time(0).map_or("start unknown".to_owned(), crate::values::iso_local);
    // Writing to a String cannot fail, so the results are not looked at.
    let _ = writeln!(out, "{}  {start}  {}", recording.name, duration_text(recording.hours() * 3600.0));
    let wide = snapshot.summary.figures.iter().map(|f| f.name.chars().count()).max().unwrap_or(0);
    for family in crate::document::families(snapshot) {
        let _ = writeln!(out, "\n{family}");
        for figure in snapshot.summary.figures.iter().filter(|f| f.family == family) {
            let value = figure_text(figure, recording).replace('\u{a0}', " ");
            let value = value.trim_end();
            let place =
                figure.place.map_or(String::new(), |p| format!("  at {}", place_text(recording, p.start)));
            match value.starts_with("not computable") {
                true => {
                    let _ = writeln!(out, "  {:<wide$}  {value}", figure.name);
                }
                false => {
                    let line = format!("  {:<wide$}  {value:>14}{place}", figure.name);
                    let _ = writeln!(out, "{}", line.trim_end());
                }
            }
        }
    }
    out
}
