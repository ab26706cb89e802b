//! Sets a report on A4 pages and writes it as PDF/A-3a with PDF/UA-1 tags. All places are millimetres from
//! the top left corner of a page; sizes of print are points. The same report gives the same bytes.

mod blocks;
mod chart;
mod flow;
mod fonts;
mod paint;
mod rgb;
mod sheet;
mod st_chart;
mod strip;
mod table;
#[cfg(test)]
mod tests;

use crate::ReportError;
use crate::document::{Block, Report};
use flow::Flow;
use fonts::{Faces, Weight};
use sheet::Op;

/// Sets `report` and gives the bytes of the PDF.
///
/// # Errors
/// When a built-in font cannot be read or the finished file would break the archival or accessibility rules.
pub fn render(report: &Report) -> Result<Vec<u8>, ReportError> {
    let faces = Faces::new()?;
    let mut flow = Flow::new(&faces);
    for (i, section) in report.sections.iter().enumerate() {
        let points = section.blocks.iter().filter(|b| matches!(b, Block::Paragraph(..))).count();
        if points == section.blocks.len() && points < 12 {
            // A short list of points stays on one page.
            flow.ensure(20.0 + 7.5 * points as f32);
        }
        flow.start_section(section, i == 0);
        for block in &section.blocks {
            blocks::set(&mut flow, block, i == 0);
        }
    }
    feet(&mut flow, &report.foot);
    let (sheets, tree, outline) = flow.finish();
    paint::paint(report, &sheets, &tree, &outline)
}

/// The foot of each page, once the number of pages is known.
fn feet(flow: &mut Flow<'_>, left: &str) {
    let faces = flow.faces;
    let pages = flow.sheets.len();
    for (i, sheet) in flow.sheets.iter_mut().enumerate() {
        let (width, height) = sheet.size_mm();
        let y = height - 9.0;
        let scale = "Print at 100 % (actual size)";
        let page = format!("Page {} of {pages}", i + 1);
        let room = width - 2.0 * flow::SIDE_MM;
        let mut put = |x: f32, text: &str| {
            sheet.items.push((None, Op::text(x, y, 7.0, Weight::Regular, rgb::MUTED, text)));
        };
        let wide = |text: &str| faces.width_mm(text, 7.0, Weight::Regular);
        put(flow::SIDE_MM, &faces.cut(left, 7.0, Weight::Regular, room * 0.38));
        put((width - wide(scale)) / 2.0, scale);
        put(flow::SIDE_MM + room - wide(&page), &page);
        let rule = vec![[flow::SIDE_MM, y - 4.0], [flow::SIDE_MM + room, y - 4.0]];
        sheet.items.push((None, Op::line(rule, 0.1, rgb::RULE)));
    }
}
