//! Where the next thing goes: pages, the running height, headings.

use super::fonts::{Faces, MM_PER_PT, Weight};
use super::rgb::{self, Rgb};
use super::sheet::{Op, OutlineEntry, Part, PartId, Sheet, Tree, page_mm};
use crate::document::{Section, Turn};

/// Room left and right, mm.
pub(super) const SIDE_MM: f32 = 15.0;
const TOP_MM: f32 = 14.0;
const BOTTOM_MM: f32 = 16.0;

/// Pages being filled.
pub(super) struct Flow<'f> {
    pub faces: &'f Faces,
    pub sheets: Vec<Sheet>,
    tree: Tree,
    outline: Vec<OutlineEntry>,
    section: Option<PartId>,
    /// Height at which the next thing starts, mm.
    pub y: f32,
}

impl<'f> Flow<'f> {
    pub(super) fn new(faces: &'f Faces) -> Self {
        Self {
            faces,
            sheets: Vec::new(),
            tree: Tree::default(),
            outline: Vec::new(),
            section: None,
            y: TOP_MM,
        }
    }

    pub(super) fn finish(self) -> (Vec<Sheet>, Tree, Vec<OutlineEntry>) {
        (self.sheets, self.tree, self.outline)
    }

    fn turn(&self) -> Turn {
        self.sheets.last().map_or(Turn::Portrait, |s| s.turn)
    }

    /// Width between the side margins, mm.
    pub(super) fn width(&self) -> f32 {
        page_mm(self.turn()).0 - 2.0 * SIDE_MM
    }

    /// Height that is left on the page, mm.
    pub(super) fn left(&self) -> f32 {
        page_mm(self.turn()).1 - BOTTOM_MM - self.y
    }

    pub(super) fn new_sheet(&mut self, turn: Turn) {
        self.sheets.push(Sheet { turn, items: Vec::new() });
        self.y = TOP_MM;
    }

    /// Starts a new page unless `height` mm are left; true when it did.
    pub(super) fn ensure(&mut self, height: f32) -> bool {
        let full = self.left() < height && self.y > TOP_MM;
        if full {
            self.new_sheet(self.turn());
        }
        full
    }

    /// Starts a section: its page, its heading (the first section has a title of its own), its outline entry.
    pub(super) fn start_section(&mut self, section: &Section, first: bool) {
        if self.sheets.is_empty() || section.new_page || section.turn != self.turn() {
            self.new_sheet(section.turn);
        }
        self.section = Some(self.tree.add(Part::Section, None));
        if !first {
            if self.y > TOP_MM {
                self.y += 5.0;
            }
            self.ensure(34.0);
        }
        self.outline.push((section.heading.clone(), self.sheets.len() - 1, self.y));
        if first {
            return;
        }
        let part = self.part(Part::Heading(2, section.heading.clone()));
        self.decorate(Op::rect(SIDE_MM, self.y, 14.0, 0.9, rgb::INK));
        self.y += 7.4;
        self.put(part, SIDE_MM, 14.0, Weight::Bold, rgb::INK, &section.heading);
        self.y += 3.0;
    }

    /// Adds a part of the present section.
    pub(super) fn part(&mut self, part: Part) -> PartId {
        self.tree.add(part, self.section)
    }

    /// Adds a part inside another.
    pub(super) fn part_in(&mut self, part: Part, parent: PartId) -> PartId {
        self.tree.add(part, Some(parent))
    }

    fn sheet(&mut self) -> &mut Sheet {
        if self.sheets.is_empty() {
            self.new_sheet(Turn::Portrait);
        }
        let last = self.sheets.len() - 1;
        &mut self.sheets[last]
    }

    pub(super) fn mark(&mut self, part: PartId, op: Op) {
        self.sheet().items.push((Some(part), op));
    }

    /// A mark that says nothing: rules and grounds.
    pub(super) fn decorate(&mut self, op: Op) {
        self.sheet().items.push((None, op));
    }

    /// One line of text with its base line at the present height.
    pub(super) fn put(&mut self, part: PartId, x: f32, size_pt: f32, weight: Weight, rgb: Rgb, text: &str) {
        let y = self.y;
        self.mark(part, Op::text(x, y, size_pt, weight, rgb, text));
    }

    /// A paragraph from `x` on, `room` wide; goes on over pages.
    pub(super) fn paragraph(
        &mut self,
        (x, room): (f32, f32),
        size_pt: f32,
        weight: Weight,
        rgb: Rgb,
        text: &str,
    ) {
        let part = self.part(Part::Paragraph);
        let lines = self.faces.wrap(text, size_pt, weight, room);
        let step = size_pt * MM_PER_PT * 1.38;
        let last = lines.len();
        for (i, line) in lines.into_iter().enumerate() {
            self.ensure(step + 0.5);
            self.y += step;
            // The space keeps words apart for those who read the text without its lines.
            let line = if i + 1 < last { line + " " } else { line };
            self.put(part, x, size_pt, weight, rgb, &line);
        }
        self.y += 1.4;
    }
}
