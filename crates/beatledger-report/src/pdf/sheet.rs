//! A page as a list of marks, each with the part of the document that it belongs to.

use super::fonts::Weight;
use super::rgb::Rgb;
use crate::document::Turn;

/// A mark on a page.
#[derive(Clone, Debug)]
pub(super) enum Op {
    /// Text: left end and base line, mm.
    Text { at: [f32; 2], size_pt: f32, weight: Weight, rgb: Rgb, text: String },
    /// Lines of one width and colour, drawn as one path.
    Lines { lines: Vec<Vec<[f32; 2]>>, width_mm: f32, rgb: Rgb },
    /// A filled area.
    Area { outline: Vec<[f32; 2]>, rgb: Rgb },
}

impl Op {
    pub(super) fn text(x: f32, y: f32, size_pt: f32, weight: Weight, rgb: Rgb, text: &str) -> Self {
        Self::Text { at: [x, y], size_pt, weight, rgb, text: text.to_owned() }
    }

    pub(super) fn line(line: Vec<[f32; 2]>, width_mm: f32, rgb: Rgb) -> Self {
        Self::Lines { lines: vec![line], width_mm, rgb }
    }

    pub(super) fn rect(x: f32, y: f32, w: f32, h: f32, rgb: Rgb) -> Self {
        Self::Area { outline: vec![[x, y], [x + w, y], [x + w, y + h], [x, y + h]], rgb }
    }
}

/// What a part of the document is, for those who cannot see it.
#[derive(Clone, Debug)]
pub(super) enum Part {
    Section,
    Heading(u16, String),
    Paragraph,
    Table(String),
    Row,
    HeadCell,
    Cell,
    Figure(String),
}

/// Index of a part in the tree.
pub(super) type PartId = usize;

/// The parts of the document in reading order; a parent stands before its children.
#[derive(Debug, Default)]
pub(super) struct Tree {
    pub parts: Vec<(Part, Option<PartId>)>,
}

impl Tree {
    pub(super) fn add(&mut self, part: Part, parent: Option<PartId>) -> PartId {
        self.parts.push((part, parent));
        self.parts.len() - 1
    }
}

/// One page.
#[derive(Debug)]
pub(super) struct Sheet {
    pub turn: Turn,
    /// Marks in drawing order; those without a part are decoration.
    pub items: Vec<(Option<PartId>, Op)>,
}

impl Sheet {
    pub(super) fn size_mm(&self) -> (f32, f32) {
        page_mm(self.turn)
    }
}

/// A line of the outline: text, page, height on the page, mm.
pub(super) type OutlineEntry = (String, usize, f32);

/// Width over height of a page, mm.
pub fn page_mm(turn: Turn) -> (f32, f32) {
    match turn {
        Turn::Portrait => (210.0, 297.0),
        Turn::Landscape => (297.0, 210.0),
    }
}
