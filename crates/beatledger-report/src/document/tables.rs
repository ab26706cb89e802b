//! Tables of the summary as blocks of the report's sections.

use beatledger_core::session::Snapshot;

use super::st_chart::st_chart;
use super::tree::{Block, Section, Style};
use crate::tables::{self, Page, ShownTable};

/// The blocks of the tables that stand in one of these sections.
pub(super) fn blocks_of(snapshot: &Snapshot, pages: &[Page]) -> Vec<Block> {
    let shown = tables::shown(snapshot).into_iter();
    shown.filter(|table| pages.contains(&table.about.page)).flat_map(blocks).collect()
}

/// Heading, result, caution, rows and definition.
pub(super) fn blocks(table: ShownTable) -> Vec<Block> {
    let mut out = vec![Block::Subheading(table.about.title.to_owned())];
    let mut say = |style, text: &str| {
        if !text.is_empty() {
            out.push(Block::Paragraph(style, text.to_owned()));
        }
    };
    say(Style::Body, &table.words);
    say(Style::Strong, table.caution);
    out.extend(table.table.filter(|_| table.about.page != Page::IntervalsInWords).map(Block::Table));
    out.push(Block::Paragraph(Style::Note, table.note));
    out
}

/// Everything that stands neither under variability nor with the diary, on a page of its own.
pub(super) fn section(snapshot: &Snapshot) -> Option<Section> {
    let mut blocks = blocks_of(snapshot, &[Page::Intervals, Page::IntervalsInWords]);
    let is_st = |b: &Block| matches!(b, Block::Subheading(title) if title == tables::ST.about().title);
    if let Some((at, chart)) = blocks.iter().position(is_st).zip(st_chart(snapshot)) {
        blocks.insert(at + 1, Block::St(Box::new(chart)));
    }
    (!blocks.is_empty()).then(|| Section::new("Intervals, ST and leads", blocks).on_new_page())
}
