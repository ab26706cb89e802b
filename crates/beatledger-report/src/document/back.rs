//! The last pages: settings, what was odd, sign-off, cautions.

use beatledger_core::session::Snapshot;
use beatledger_core::settings::{Settings, TABLE};

use super::context::{ReportContext, SignState};
use super::tree::{Block, Column, Row, Section, Style, Table, TableSize};
use crate::values::short_number;

/// Cautions, in every report and summary file.
pub const CAUTIONS: [&str; 8] = [
    "Research and education software. It is not a cleared or certified medical device.",
    "Every result needs review by a qualified, licensed clinician, who stays responsible for what is concluded \
     and done.",
    "Not for monitoring, alarms or emergencies: the recording is read after the fact.",
    "The absence of a finding does not exclude disease. Unreadable time may hide anything.",
    "Beats and events that no reader has confirmed may be wrong, missed or misnamed.",
    "Counts vary from day to day; one day is a sample. In published series several days were needed before \
     counts of ectopic beats settled.",
    "Rate, interval, ST and variability values are measurements, not diagnoses.",
    "Local rules and the standing orders of the reading service come before anything printed here.",
];

pub(super) fn sections(snapshot: &Snapshot, context: &ReportContext) -> Vec<Section> {
    let mut sections = vec![Section::new("Settings", vec![Block::Table(settings_table(snapshot))])];
    sections.extend(odd(snapshot));
    sections.push(Section::new("Sign-off", sign_off(snapshot, context)));
    let cautions = CAUTIONS.map(|c| Block::Paragraph(Style::Point, c.to_owned()));
    sections.push(Section::new("Cautions", cautions.to_vec()));
    sections
}

fn settings_table(snapshot: &Snapshot) -> Table {
    let default = Settings::default();
    let rows = TABLE
        .iter()
        .map(|row| {
            let value = row.value(&snapshot.settings);
            let mut text = short_number(value);
            if value != row.value(&default) {
                text = format!("{text} (default {})", short_number(row.default));
            }
            Row {
                cells: vec![
                    row.key.to_owned(),
                    row.help.to_owned(),
                    text,
                    row.unit.to_owned(),
                    row.source.to_owned(),
                ],
                strong: value != row.value(&default),
                place: None,
            }
        })
        .collect();
    Table {
        summary: "Settings in force: key, meaning, value, unit, source".to_owned(),
        groups: Vec::new(),
        columns: vec![
            Column::left("Key", 34.0),
            Column::left("Setting", 58.0),
            Column::right("Value", 21.0),
            Column::left("Unit", 11.0),
            Column::left("Source", 56.0),
        ],
        rows,
        size: TableSize::Small,
    }
}

/// What was odd about the file, and edits whose target is gone.
fn odd(snapshot: &Snapshot) -> Option<Section> {
    let recording = &*snapshot.recording;
    let mut lines: Vec<String> = recording
        .warnings
        .iter()
        .map(|w| if w.place.is_empty() { w.text.clone() } else { format!("{}: {}", w.place, w.text) })
        .collect();
    lines.extend(recording.others.iter().map(|o| format!("Signal '{}' is not read: {}", o.name, o.reason)));
    lines.extend(snapshot.orphans.iter().map(|o| {
        format!("Edit {} ({}) is without a target for {} of its places", o.seq, o.words, o.missing)
    }));
    let blocks = lines.into_iter().map(|l| Block::Paragraph(Style::Point, l)).collect::<Vec<_>>();
    (!blocks.is_empty()).then(|| Section::new("What was odd", blocks))
}

fn sign_off(snapshot: &Snapshot, context: &ReportContext) -> Vec<Block> {
    let recording = &*snapshot.recording;
    let or = |text: &str, or: &str| if text.is_empty() { or.to_owned() } else { text.to_owned() };
    let mut pairs = Vec::new();
    if let Some(sign) = context.sign.sign_off() {
        pairs.push(("Signed by".to_owned(), sign.reader.clone()));
        pairs.push(("Role".to_owned(), sign.role.clone()));
        pairs.push(("Meaning".to_owned(), sign.meaning.clone()));
        pairs.push(("Time of signature".to_owned(), sign.at_text()));
    }
    pairs.push(("Report made".to_owned(), context.created_text()));
    pairs.push(("Program".to_owned(), context.program.clone()));
    pairs.push(("Ledger entries".to_owned(), context.ledger_entries.to_string()));
    let hashes = vec![
        ("Recording, SHA-256".to_owned(), or(&recording.sha256, "none: made in memory")),
        ("Ledger, last entry".to_owned(), or(&context.ledger_head, "the ledger is empty")),
    ];
    vec![
        Block::State {
            settled: matches!(context.sign, SignState::Signed(_)),
            text: context.sign.text(),
            detail: match &context.sign {
                SignState::NotSigned => "Nobody has taken responsibility for what is printed here.",
                SignState::Signed(_) => {
                    "The signature covers the recording and the ledger named below, as hashed."
                }
                SignState::ChangedSince(_) => {
                    "The signature covers an earlier state of the ledger, not this one."
                }
            }
            .to_owned(),
        },
        Block::Pairs(pairs),
        Block::Table(Table {
            summary: "Hashes of recording and ledger".to_owned(),
            groups: Vec::new(),
            columns: vec![Column::left("What", 45.0), Column::left("Hash", 135.0)],
            rows: hashes.into_iter().map(|(a, b)| Row::plain(vec![a, b])).collect(),
            size: TableSize::Small,
        }),
    ]
}
