//! How far what the program says of a record can be trusted: certainty of beats and events beside what the reference says,
//! counts within the range that is printed with them, and the figures of each record beside their reference.
//!
//! It knows cases with what was said of them; it reads no file and works out no figure of its own.

mod beats;
mod events;
mod records;

pub use beats::beats;
pub use events::{Judged, events};
pub use records::{Counted, counted, records_table};

use std::fmt::Write as _;

use beatledger_core::model::{BeatClass, Certainty};
use beatledger_formats::wfdb::Mapping;
use beatledger_score::{Reliability, bin_cells, reliability_table};

use crate::case::Case;

/// All of it as text.
pub fn reliability_tables(cases: &[Case], mapping: Mapping) -> String {
    let mut out = String::new();
    let mut part = |title: &str, text: &str| {
        // Writing into a String cannot fail.
        let _ = writeln!(out, "{title}\n{text}");
    };
    part("What is said of each record, and the reference", &records_table(cases, mapping));
    part(
        "Beats: certainty of the label, and whether it is right",
        &reliability_table(&beats(cases, mapping)),
    );
    let judged = events(cases, mapping);
    let all = judged.iter().fold(Reliability::default(), |mut all, judged| {
        all.merge(&judged.of);
        all
    });
    part("Events by kind, where a reference can answer", &kinds_table(&judged));
    part("Events: certainty, and whether the reference has them", &reliability_table(&all));
    part("True counts within the range that is printed", &coverage(cases, mapping));
    out
}

fn kinds_table(judged: &[Judged]) -> String {
    let heads = format!("{:>9} {:>9} {:>9}", "Number", "Mean %", "Right %");
    let mut out = format!("{:32} {:29}  {}\n{:32} {heads}  {heads}\n", "", "Told", "Doubtful", "Kind");
    for judged in judged {
        let (doubtful, told) = judged.of.split(f64::from(Certainty::DOUBTFUL_BELOW));
        let _ = writeln!(out, "{:32} {}  {}", judged.kind.key(), bin_cells(&told), bin_cells(&doubtful));
    }
    out
}

fn coverage(cases: &[Case], mapping: Mapping) -> String {
    let mut out = String::new();
    for class in [BeatClass::V, BeatClass::S] {
        let counted: Vec<_> = cases.iter().filter_map(|case| counted(case, mapping, class)).collect();
        let inside = counted.iter().filter(|c| c.is_inside()).count();
        let _ = writeln!(out, "{}: {inside} of {} records", class.letter(), counted.len());
    }
    out
}
