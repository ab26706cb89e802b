//! All figures with their definitions, and variability.

use beatledger_core::model::Figure;
use beatledger_core::session::Snapshot;

use super::reader::provenance;
use super::rows::settings_words;
use super::{Block, Column, Row, Section, Style, Table, TableSize};
use crate::values::{figure_text, place_text};

/// Families that stand under heart rate variability, in printing order.
const VARIABILITY: [&str; 3] = ["Variability", "Variability spectrum", "Turbulence and deceleration"];

pub(super) fn section(snapshot: &Snapshot) -> Section {
    let mut blocks = Vec::new();
    for family in families(snapshot).into_iter().filter(|f| !VARIABILITY.contains(f)) {
        blocks.push(Block::Subheading(family.to_owned()));
        blocks.push(Block::Table(table(snapshot, family)));
    }
    if blocks.is_empty() {
        blocks.push(Block::Paragraph(Style::Body, "There are no figures.".to_owned()));
    }
    Section::new("All figures", blocks).on_new_page()
}

pub(super) fn variability(snapshot: &Snapshot) -> Section {
    let mut blocks = Vec::new();
    for family in families(snapshot).into_iter().filter(|f| VARIABILITY.contains(f)) {
        blocks.push(Block::Subheading(family.to_owned()));
        blocks.push(Block::Table(table(snapshot, family)));
    }
    blocks.extend(super::rows::blocks_of(snapshot, &["hrv_hours"]));
    blocks.push(match blocks.is_empty() {
        true => Block::Paragraph(Style::Body, "Heart rate variability was not measured.".to_owned()),
        false => Block::Paragraph(
            Style::Note,
            "Measurements, not diagnoses. Values of a day and of five minutes are never compared with each other."
                .to_owned(),
        ),
    });
    Section::new("Heart rate variability", blocks)
}

/// Families in printing order.
pub(crate) fn families(snapshot: &Snapshot) -> Vec<&'static str> {
    let mut families: Vec<&'static str> = Vec::new();
    for figure in &snapshot.summary.figures {
        if !families.contains(&figure.family) {
            families.push(figure.family);
        }
    }
    families
}

/// Definition, settings in force and the share of the data that a figure rests on.
fn about(figure: &Figure, snapshot: &Snapshot) -> String {
    let rests = figure.basis.percent.map(|p| format!(" Rests on {p:.1} % {}.", figure.basis.of));
    let settings = settings_words(snapshot, figure.settings);
    format!("{}{settings}{}", figure.definition, rests.unwrap_or_default())
}

fn table(snapshot: &Snapshot, family: &str) -> Table {
    let row = |f: &Figure| {
        let place = f.place.map_or(String::new(), |p| place_text(&snapshot.recording, p.start));
        Row::plain(vec![
            f.name.to_owned(),
            figure_text(f, &snapshot.recording),
            place,
            provenance(f, snapshot),
            about(f, snapshot),
        ])
    };
    Table {
        summary: format!("Figures of the family {family}: name, value, place, who said so, definition"),
        groups: Vec::new(),
        columns: vec![
            Column::left("Figure", 42.0),
            Column::right("Value", 26.0),
            Column::right("At", 15.0),
            Column::left("Said by", 30.0),
            Column::left("Definition", 68.0),
        ],
        rows: snapshot.summary.figures.iter().filter(|f| f.family == family).map(row).collect(),
        size: TableSize::Small,
    }
}
