//! Sets each kind of block.

use super::flow::{Flow, SIDE_MM};
use super::fonts::Weight;
use super::rgb;
use super::sheet::{Op, Part};
use super::{chart, st_chart, strip, table};
use crate::document::{Block, KeyFigure, Style};

const FIGURE_COLUMNS: usize = 4;
const PAIR_COLUMNS: usize = 4;
/// Most lines of a value or a note; what is longer ends in a sign that it goes on.
const MOST_LINES: usize = 5;

/// Sets one block; `front` is true in the first section.
pub(super) fn set(flow: &mut Flow<'_>, block: &Block, front: bool) {
    match block {
        Block::Title { over, text } => title(flow, over, text),
        Block::Subheading(text) => subheading(flow, text, if front { 2 } else { 3 }),
        Block::Paragraph(style, text) => paragraph(flow, *style, text),
        Block::State { settled, text, detail } => state(flow, *settled, text, detail),
        Block::Pairs(pairs) => self::pairs(flow, pairs),
        Block::KeyFigures(figures) => key_figures(flow, figures),
        Block::Table(table) => table::set(flow, table),
        Block::Trend(chart) => chart::set(flow, chart),
        Block::St(chart) => st_chart::set(flow, chart),
        Block::Strip(block) => strip::set(flow, block),
    }
}

fn title(flow: &mut Flow<'_>, over: &str, text: &str) {
    let room = flow.width();
    flow.y += 3.0;
    let small = flow.part(Part::Paragraph);
    flow.put(small, SIDE_MM, 8.0, Weight::Regular, rgb::MUTED, over);
    flow.y += 1.5;
    let part = flow.part(Part::Heading(1, text.to_owned()));
    for line in flow.faces.wrap_most(text, 20.0, Weight::Bold, room, 3) {
        flow.ensure(10.0);
        flow.y += 8.4;
        flow.put(part, SIDE_MM, 20.0, Weight::Bold, rgb::INK, &line);
    }
    flow.y += 5.0;
}

fn subheading(flow: &mut Flow<'_>, text: &str, level: u16) {
    flow.ensure(24.0);
    flow.y += 6.6;
    let part = flow.part(Part::Heading(level, text.to_owned()));
    flow.put(part, SIDE_MM, 10.0, Weight::Bold, rgb::INK, text);
    flow.y += 1.8;
}

fn paragraph(flow: &mut Flow<'_>, style: Style, text: &str) {
    if style == Style::Point {
        return point(flow, text);
    }
    // Lines of more than about 150 mm are hard to follow.
    let room = flow.width().min(if style == Style::Note { flow.width() } else { 160.0 });
    let (size, weight, colour) = match style {
        Style::Body | Style::Point => (9.0, Weight::Regular, rgb::INK),
        Style::Large => (10.5, Weight::Regular, rgb::INK),
        Style::Note => (7.5, Weight::Regular, rgb::MUTED),
        Style::Strong => (9.0, Weight::Bold, rgb::INK),
    };
    flow.paragraph((SIDE_MM, room), size, weight, colour, text);
    flow.y += if style == Style::Note { 1.2 } else { 0.0 };
}

/// A point with a hanging indent.
fn point(flow: &mut Flow<'_>, text: &str) {
    flow.ensure(8.0);
    let y = flow.y + 4.38;
    flow.decorate(Op::text(SIDE_MM, y, 9.0, Weight::Regular, rgb::INK, "•"));
    flow.paragraph((SIDE_MM + 4.0, 156.0), 9.0, Weight::Regular, rgb::INK, text);
}

/// A box that says whether the report is signed: a full bar when it is, an open one when it is not.
fn state(flow: &mut Flow<'_>, settled: bool, text: &str, detail: &str) {
    let (x, room) = (SIDE_MM + 5.0, flow.width() - 9.0);
    let lines = flow.faces.wrap_most(text, 11.0, Weight::Bold, room, 6);
    let details = flow.faces.wrap_most(detail, 8.5, Weight::Regular, room, 6);
    let height = 5.4 + lines.len() as f32 * 5.2 + details.len() as f32 * 4.2;
    flow.ensure(height + 3.0);
    let (top, width) = (flow.y, flow.width());
    flow.decorate(Op::rect(SIDE_MM, top, width, height, rgb::GROUND));
    match settled {
        true => flow.decorate(Op::rect(SIDE_MM, top, 1.6, height, rgb::INK)),
        false => {
            let mut y = top;
            while y < top + height - 0.1 {
                flow.decorate(Op::rect(SIDE_MM, y, 1.6, (top + height - y).min(1.6), rgb::INK));
                y += 2.6;
            }
        }
    }
    flow.y += 2.0;
    let part = flow.part(Part::Paragraph);
    for line in lines {
        flow.y += 5.2;
        flow.put(part, x, 11.0, Weight::Bold, rgb::INK, &(line + " "));
    }
    flow.y += 0.4;
    for line in details {
        flow.y += 4.2;
        flow.put(part, x, 8.5, Weight::Regular, rgb::INK, &(line + " "));
    }
    flow.y = top + height + 3.0;
}

fn pairs(flow: &mut Flow<'_>, pairs: &[(String, String)]) {
    let column = flow.width() / PAIR_COLUMNS as f32;
    for row in pairs.chunks(PAIR_COLUMNS) {
        let wrapped: Vec<Vec<String>> = row
            .iter()
            .map(|(_, v)| flow.faces.wrap_most(v, 9.0, Weight::Regular, column - 4.0, MOST_LINES))
            .collect();
        let most = wrapped.iter().map(Vec::len).max().unwrap_or(1);
        let height = 4.2 + most as f32 * 4.3 + 1.8;
        flow.ensure(height);
        let top = flow.y;
        for (i, ((name, _), lines)) in row.iter().zip(wrapped).enumerate() {
            let (x, part) = (SIDE_MM + i as f32 * column, flow.part(Part::Paragraph));
            flow.y = top + 3.2;
            flow.put(part, x, 7.0, Weight::Regular, rgb::MUTED, &format!("{name} "));
            for line in &lines {
                flow.y += 4.3;
                flow.put(part, x, 9.0, Weight::Regular, rgb::INK, &format!("{line} "));
            }
        }
        flow.y = top + height;
    }
    flow.y += 2.0;
}

fn key_figures(flow: &mut Flow<'_>, figures: &[KeyFigure]) {
    let column = flow.width() / FIGURE_COLUMNS as f32;
    for row in figures.chunks(FIGURE_COLUMNS) {
        let notes: Vec<Vec<String>> = row
            .iter()
            .map(|f| flow.faces.wrap_most(&f.note, 7.0, Weight::Regular, column - 4.0, MOST_LINES))
            .collect();
        let most = notes.iter().map(Vec::len).max().unwrap_or(1);
        let height = 14.2 + most as f32 * 3.3 + 2.6;
        flow.ensure(height);
        let (top, width) = (flow.y, flow.width());
        flow.decorate(Op::line(vec![[SIDE_MM, top], [SIDE_MM + width, top]], 0.15, rgb::RULE));
        for (i, (figure, note)) in row.iter().zip(notes).enumerate() {
            let x = SIDE_MM + i as f32 * column;
            let part = flow.part(Part::Paragraph);
            flow.y = top + 4.4;
            flow.put(part, x, 8.0, Weight::Regular, rgb::MUTED, &format!("{} ", figure.name));
            flow.y = top + 12.0;
            key_value(flow, part, x, column - 3.0, figure);
            flow.y = top + 13.4;
            for line in &note {
                flow.y += 3.3;
                flow.put(part, x, 7.0, Weight::Regular, rgb::MUTED, &format!("{line} "));
            }
        }
        flow.y = top + height;
    }
}

fn key_value(flow: &mut Flow<'_>, part: usize, x: f32, room: f32, figure: &KeyFigure) {
    let faces = flow.faces;
    let unit = faces.width_mm(&figure.unit, 9.0, Weight::Regular) + 1.2;
    let wide = faces.width_mm(&figure.value, 17.0, Weight::Bold);
    // A long value shrinks to its column rather than running into the next.
    let size = 17.0 * ((room - unit) / wide.max(1.0)).clamp(0.5, 1.0);
    flow.put(part, x, size, Weight::Bold, rgb::INK, &figure.value);
    if !figure.unit.is_empty() {
        let at = x + faces.width_mm(&figure.value, size, Weight::Bold) + 1.2;
        flow.put(part, at, 9.0, Weight::Regular, rgb::INK, &format!("{} ", figure.unit));
    }
}
