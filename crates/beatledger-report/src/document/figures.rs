//! All figures with their definitions, and variability.

use beatledger_core::model::{Basis, Family, Figure};
use beatledger_core::session::Snapshot;

use super::reader::provenance;
use super::tree::{Block, Column, Row, Section, Style, Table, TableSize};
use crate::tables::{Page, settings_words};
use crate::values::{figure_text, place_text};

/// Families that stand under heart rate variability, in printing order.
const VARIABILITY: [Family; 3] = [Family::Variability, Family::Spectrum, Family::Turbulence];

pub(super) fn section(snapshot: &Snapshot) -> Section {
    let mut blocks = Vec::new();
    for family in families(snapshot).into_iter().filter(|f| !VARIABILITY.contains(f)) {
        blocks.extend(blocks_of(snapshot, family));
    }
    if blocks.is_empty() {
        blocks.push(Block::Paragraph(Style::Body, "There are no figures.".to_owned()));
    }
    Section::new("All figures", blocks).on_new_page()
}

pub(super) fn variability(snapshot: &Snapshot) -> Section {
    let mut blocks = Vec::new();
    for family in families(snapshot).into_iter().filter(|f| VARIABILITY.contains(f)) {
        blocks.extend(blocks_of(snapshot, family));
    }
    blocks.extend(super::tables::blocks_of(snapshot, &[Page::Variability]));
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
pub(crate) fn families(snapshot: &Snapshot) -> Vec<Family> {
    let mut families: Vec<Family> = Vec::new();
    for figure in &snapshot.summary.figures {
        if !families.contains(&figure.family()) {
            families.push(figure.family());
        }
    }
    families
}

/// What the figures of a family have in common, said once below them.
struct Common<'a> {
    settings: Vec<&'a str>,
    basis: Basis,
}

impl<'a> Common<'a> {
    fn of(figures: &[&'a Figure]) -> Self {
        let named = |key: &&str| figures.iter().all(|f| f.settings().contains(key));
        let first = figures.first();
        Self {
            settings: first.map_or(Vec::new(), |f| f.settings().iter().copied().filter(named).collect()),
            basis: first.map_or(Basis::default(), |f| f.basis),
        }
    }

    /// The line below the table.
    fn words(&self, snapshot: &Snapshot) -> String {
        let rests = rests_words(&self.basis, " unless said otherwise");
        format!("{}{rests}", settings_words(snapshot, &self.settings)).trim_start().to_owned()
    }
}

fn rests_words(basis: &Basis, but: &str) -> String {
    basis.percent.map_or(String::new(), |p| format!(" Rests on {p:.1} % {}{but}.", basis.of))
}

/// Definition of a figure, and where it differs from what the family has in common its settings in force and the share
/// of the data that it rests on.
fn about(figure: &Figure, common: &Common<'_>, snapshot: &Snapshot) -> String {
    let own: Vec<&str> = figure.settings().iter().copied().filter(|k| !common.settings.contains(k)).collect();
    let rests = if figure.basis == common.basis { String::new() } else { rests_words(&figure.basis, "") };
    format!("{}{}{rests}", figure.definition(), settings_words(snapshot, &own))
}

/// A family with its heading and what its figures have in common.
fn blocks_of(snapshot: &Snapshot, family: Family) -> [Block; 3] {
    let figures: Vec<&Figure> = snapshot.summary.figures.iter().filter(|f| f.family() == family).collect();
    let common = Common::of(&figures);
    [
        Block::Subheading(family.title().to_owned()),
        Block::Table(table(snapshot, family, &figures, &common)),
        Block::Paragraph(Style::Note, common.words(snapshot)),
    ]
}

fn table(snapshot: &Snapshot, family: Family, figures: &[&Figure], common: &Common<'_>) -> Table {
    let row = |f: &&Figure| {
        let place = f.place.map_or(String::new(), |p| place_text(&snapshot.recording, p.start));
        Row::plain(vec![
            f.name.to_owned(),
            figure_text(f, &snapshot.recording),
            place,
            provenance(f, snapshot),
            about(f, common, snapshot),
        ])
    };
    Table {
        summary: format!(
            "Figures of the family {}: name, value, place, who said so, definition",
            family.title()
        ),
        groups: Vec::new(),
        columns: vec![
            Column::left("Figure", 38.0),
            Column::right("Value", 23.0),
            Column::right("At", 14.0),
            Column::left("Said by", 23.0),
            Column::left("Definition", 84.0),
        ],
        rows: figures.iter().map(row).collect(),
        size: TableSize::Small,
    }
}
