//! The figures and tables as aligned plain text, for a terminal.

use std::fmt::Write as _;

use beatledger_core::session::Snapshot;

use crate::document::{Align, Table};
use crate::tables::{self, Page};
use crate::values::{duration_text, figure_text, place_text};

/// Longest line of a paragraph, characters.
const LINE: usize = 110;

/// The figures by family, a line each, then the tables; what cannot be computed says why. No-break spaces become spaces.
pub fn table(snapshot: &Snapshot) -> String {
    let recording = &*snapshot.recording;
    let mut out = String::new();
    let start = recording.local_time(0).map_or("start unknown".to_owned(), crate::values::iso_local);
    // Writing to a String cannot fail, so the results are not looked at.
    let _ = writeln!(out, "{}  {start}  {}", recording.name, duration_text(recording.hours() * 3600.0));
    let wide = snapshot.summary.figures.iter().map(|f| f.name.chars().count()).max().unwrap_or(0);
    for family in crate::document::families(snapshot) {
        let _ = writeln!(out, "\n{}", family.title());
        for figure in snapshot.summary.figures.iter().filter(|f| f.family() == family) {
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
    all_tables(snapshot, &mut out);
    out
}

/// The hours and every table that a terminal takes: courses by five minutes stand in the files alone.
fn all_tables(snapshot: &Snapshot, out: &mut String) {
    for shown in tables::shown(snapshot).into_iter().filter(|t| t.about.page != Page::No) {
        let _ = writeln!(out, "\n{}", shown.about.title);
        say(&shown.words, out);
        say(shown.caution, out);
        shown.table.iter().for_each(|table| lines(table, out));
        say(&shown.note, out);
    }
}

/// A paragraph, broken where a terminal's line ends.
fn say(words: &str, out: &mut String) {
    let mut at = 0;
    for word in words.split_whitespace() {
        let wide = word.chars().count();
        let (before, next) = match at {
            0 => ("  ", wide),
            at if at + wide < LINE => (" ", at + 1 + wide),
            _ => ("\n  ", wide),
        };
        let _ = write!(out, "{before}{word}");
        at = next;
    }
    if at > 0 {
        out.push('\n');
    }
}

/// Longest cell of a table, characters: the files hold a longer one whole.
const CELL: usize = 120;

/// A cell, cut with `…` where it is too long for a line.
fn cut(text: &str) -> String {
    match text.char_indices().nth(CELL) {
        Some(_) => text.chars().take(CELL - 1).chain(['…']).collect(),
        None => text.to_owned(),
    }
}

/// A table as lines, each column as wide as its widest cell.
fn lines(table: &Table, out: &mut String) {
    let heads: Vec<String> = table.columns.iter().map(|c| c.title.clone()).collect();
    let groups = table.groups.iter().flat_map(|(name, n)| std::iter::repeat_n(name.as_str(), *n));
    // `Ventricular (V, F)` is V, `Rate, bpm` is Rate.
    let short = |group: &str| {
        let inside = group.split_once('(').map_or(group, |(_, inside)| inside);
        inside.split([' ', ',', ')']).next().unwrap_or_default().to_owned()
    };
    let heads: Vec<String> = match table.groups.is_empty() {
        true => heads,
        false => groups.zip(&heads).map(|(g, h)| format!("{} {h}", short(g)).trim().to_owned()).collect(),
    };
    let rows = || std::iter::once(&heads).chain(table.rows.iter().map(|r| &r.cells));
    let plain = |text: &str| cut(&text.replace('\u{a0}', " "));
    let wide =
        |i: usize| rows().filter_map(|r| r.get(i)).map(|c| plain(c).chars().count()).max().unwrap_or(0);
    let wide: Vec<usize> = (0..table.columns.len()).map(wide).collect();
    for row in rows() {
        let cell = |(i, text): (usize, &String)| {
            let (text, wide) = (plain(text), wide.get(i).copied().unwrap_or(0));
            match table.columns.get(i).map(|c| c.align) {
                Some(Align::Right) => format!("{text:>wide$}"),
                _ => format!("{text:<wide$}"),
            }
        };
        let cells: Vec<String> = row.iter().enumerate().map(cell).collect();
        let _ = writeln!(out, "  {}", cells.join("  ").trim_end());
    }
}
