//! Sets tables: wrapped cells, numbers lined up at the right, headings again on each page.

use super::flow::{Flow, SIDE_MM};
use super::fonts::{MM_PER_PT, Weight};
use super::rgb;
use super::sheet::{Op, Part, PartId};
use crate::document::{Align, Row, Table, TableSize};

/// Room between the text of two columns, mm.
const GUTTER_MM: f32 = 2.4;
/// Most lines of one cell; what is longer ends in a sign that it goes on.
const MOST_LINES: usize = 30;

/// Left edge and width of each column, mm.
type Columns = Vec<(f32, f32)>;

pub(super) fn set(flow: &mut Flow<'_>, table: &Table) {
    let size_pt = match table.size {
        TableSize::Normal => 8.5,
        TableSize::Small => 7.2,
        TableSize::Dense => 7.0,
    };
    let columns = columns(flow, table);
    let part = flow.part(Part::Table(table.summary.clone()));
    flow.y += 0.6;
    head(flow, table, &columns, size_pt, Some(part));
    for row in &table.rows {
        let lines = wrapped(flow, &row.cells, &columns, size_pt, row.strong);
        let height = height(&lines, size_pt);
        if flow.ensure(height) {
            // Said once for those who listen, printed on each page for those who look.
            head(flow, table, &columns, size_pt, None);
        }
        set_row(flow, table, row, (&lines, height), &columns, size_pt, part);
    }
    flow.y += 3.0;
}

fn columns(flow: &Flow<'_>, table: &Table) -> Columns {
    let sum: f32 = table.columns.iter().map(|c| c.share).sum::<f32>().max(1.0);
    // The last column has no neighbour, so that the gutter is left over at the edge.
    let all = flow.width() + GUTTER_MM;
    let mut x = SIDE_MM;
    table
        .columns
        .iter()
        .map(|c| {
            let width = all * c.share / sum;
            x += width;
            (x - width, width - GUTTER_MM)
        })
        .collect()
}

fn wrapped(
    flow: &Flow<'_>,
    cells: &[String],
    columns: &Columns,
    size: f32,
    strong: bool,
) -> Vec<Vec<String>> {
    let weight = if strong { Weight::Bold } else { Weight::Regular };
    cells
        .iter()
        .zip(columns)
        .map(|(cell, (_, width))| flow.faces.wrap_most(cell, size, weight, *width, MOST_LINES))
        .collect()
}

fn line_step(size_pt: f32) -> f32 {
    size_pt * MM_PER_PT * 1.28
}

fn height(cells: &[Vec<String>], size_pt: f32) -> f32 {
    cells.iter().map(Vec::len).max().unwrap_or(1).max(1) as f32 * line_step(size_pt)
        + if size_pt < 7.1 { 1.0 } else { 1.7 }
}

/// Left end of a line of a cell.
fn x_of(flow: &Flow<'_>, line: &str, align: Align, (x, width): (f32, f32), size: f32, weight: Weight) -> f32 {
    match align {
        Align::Left => x,
        Align::Right => x + width - flow.faces.width_mm(line, size, weight),
    }
}

fn head(flow: &mut Flow<'_>, table: &Table, columns: &Columns, size: f32, part: Option<PartId>) {
    let titles: Vec<String> = table.columns.iter().map(|c| c.title.clone()).collect();
    let lines = wrapped(flow, &titles, columns, size, true);
    let height = height(&lines, size);
    if part.is_some() {
        flow.ensure(height + 16.0);
    }
    groups(flow, table, columns, size);
    let row = part.map(|p| flow.part_in(Part::Row, p));
    let (top, most) = (flow.y, lines.iter().map(Vec::len).max().unwrap_or(1));
    for ((cell, column), place) in lines.iter().zip(&table.columns).zip(columns) {
        let cell_part = row.map(|r| flow.part_in(Part::HeadCell, r));
        for (i, line) in cell.iter().enumerate() {
            let x = x_of(flow, line, column.align, *place, size, Weight::Bold);
            // Headings of one line stand at the foot of the row, next to their column.
            let y = top + 0.4 + line_step(size) * (most - cell.len() + i + 1) as f32;
            let op = Op::text(x, y, size, Weight::Bold, rgb::MUTED, &format!("{line} "));
            match cell_part {
                Some(p) => flow.mark(p, op),
                None => flow.decorate(op),
            }
        }
    }
    flow.y = top + height;
    let rule = vec![[SIDE_MM, flow.y], [SIDE_MM + flow.width(), flow.y]];
    flow.decorate(Op::line(rule, 0.25, rgb::INK));
}

/// Headings over several columns. They are decoration: each column's own heading is read out.
fn groups(flow: &mut Flow<'_>, table: &Table, columns: &Columns, size: f32) {
    if table.groups.is_empty() {
        return;
    }
    let mut at = 0;
    for (text, count) in &table.groups {
        let (Some(first), Some(last)) = (columns.get(at), columns.get((at + count).saturating_sub(1))) else {
            break;
        };
        at += count;
        if text.is_empty() {
            continue;
        }
        let (from, to) = (first.0 + 1.0, last.0 + last.1);
        let wide = flow.faces.width_mm(text, size, Weight::Bold);
        let y = flow.y + line_step(size);
        flow.decorate(Op::text((from + to - wide) / 2.0, y, size, Weight::Bold, rgb::MUTED, text));
        flow.decorate(Op::line(vec![[from, y + 1.0], [to, y + 1.0]], 0.15, rgb::RULE));
    }
    flow.y += line_step(size) + 1.4;
}

fn set_row(
    flow: &mut Flow<'_>,
    table: &Table,
    row: &Row,
    (lines, height): (&[Vec<String>], f32),
    columns: &Columns,
    size: f32,
    part: PartId,
) {
    let weight = if row.strong { Weight::Bold } else { Weight::Regular };
    let row_part = flow.part_in(Part::Row, part);
    let top = flow.y;
    for ((cell, column), place) in lines.iter().zip(&table.columns).zip(columns) {
        let cell_part = flow.part_in(Part::Cell, row_part);
        for (i, line) in cell.iter().enumerate().filter(|(_, l)| !l.is_empty()) {
            let x = x_of(flow, line, column.align, *place, size, weight);
            let y = top + 0.2 + line_step(size) * (i + 1) as f32;
            let text = if i + 1 < cell.len() { format!("{line} ") } else { line.clone() };
            flow.mark(cell_part, Op::text(x, y, size, weight, rgb::INK, &text));
        }
    }
    flow.y = top + height;
    let rule = vec![[SIDE_MM, flow.y], [SIDE_MM + flow.width(), flow.y]];
    flow.decorate(Op::line(rule, 0.1, rgb::FAINT));
}
