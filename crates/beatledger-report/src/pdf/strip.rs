//! Draws strips at their true size.

use super::flow::{Flow, SIDE_MM};
use super::fonts::Weight;
use super::rgb;
use super::sheet::{Op, Part, PartId};
use crate::document::StripBlock;
use crate::strip::StripGeom;
use crate::values::class_rgb;

/// Left edge of the paper, mm: 190 mm of it lie in the middle of an A4 page.
const LEFT_MM: f32 = 10.0;
const LETTER_PT: f32 = 8.0;
const RR_PT: f32 = 6.2;

pub(super) fn set(flow: &mut Flow<'_>, block: &StripBlock) {
    let first = block.lines.first().map_or(0.0, |l| l.height_mm);
    flow.ensure(first + 12.8);
    flow.y += 4.2;
    let part = flow.part(Part::Paragraph);
    let room = flow.width() + 2.0 * (SIDE_MM - LEFT_MM);
    let title = flow.faces.cut(&block.title, 10.0, Weight::Bold, room * 0.6);
    flow.put(part, LEFT_MM, 10.0, Weight::Bold, rgb::INK, &format!("{title} "));
    let x = LEFT_MM + flow.faces.width_mm(&title, 10.0, Weight::Bold) + 3.0;
    let note = flow.faces.cut(&block.note, 8.0, Weight::Regular, LEFT_MM + room - x);
    flow.put(part, x, 8.0, Weight::Regular, rgb::MUTED, &note);
    flow.y += 1.8;
    for line in &block.lines {
        flow.ensure(line.height_mm + 6.8);
        let figure = flow.part(Part::Figure(format!("Tracing: {}. {}", block.title, line.caption)));
        draw(flow, line, figure);
        flow.y += line.height_mm + 3.3;
        let part = flow.part(Part::Paragraph);
        let caption = flow.faces.cut(&line.caption, 7.2, Weight::Regular, room);
        flow.put(part, LEFT_MM, 7.2, Weight::Regular, rgb::MUTED, &caption);
        flow.y += 3.5;
    }
}

fn draw(flow: &mut Flow<'_>, geom: &StripGeom, figure: PartId) {
    let (x0, y0) = (LEFT_MM, flow.y);
    let at = |p: &[f32; 2]| [x0 + p[0], y0 + p[1]];
    for (from, to) in &geom.unreadable {
        flow.decorate(Op::rect(x0 + from, y0, to - from, geom.height_mm, rgb::UNREADABLE));
    }
    grid(flow, geom, x0, y0);
    for (from, to) in geom.unreadable.iter().filter(|(from, to)| to - from > 16.0) {
        let x = x0 + from.max(geom.x0_mm) + (to - from).min(2.0);
        flow.mark(figure, Op::text(x, y0 + 3.7, RR_PT, Weight::Regular, rgb::INK, "unreadable "));
    }
    for lead in &geom.leads {
        let lines = lead.polylines.iter().map(|l| l.iter().map(at).collect()).collect();
        flow.mark(figure, Op::Lines { lines, width_mm: 0.24, rgb: rgb::INK });
        if !lead.pulse.is_empty() {
            let pulse = lead.pulse.iter().map(at).collect();
            flow.mark(figure, Op::line(pulse, 0.24, rgb::INK));
        }
    }
    for text in &geom.texts {
        let (x, y) = (x0 + text.x_mm, y0 + text.y_mm + 0.4);
        let text = flow.faces.cut(&text.text, 7.5, Weight::Bold, 80.0);
        flow.mark(figure, Op::text(x, y, 7.5, Weight::Bold, rgb::INK, &format!("{text} ")));
    }
    let ticks =
        geom.seconds.iter().map(|x| vec![[x0 + x, y0 + geom.height_mm], [x0 + x, y0 + geom.height_mm - 1.6]]);
    let ticks: Vec<_> = ticks.collect();
    flow.decorate(Op::Lines { lines: ticks, width_mm: 0.2, rgb: rgb::MUTED });
    beats(flow, geom, figure, (x0, y0 + 3.7));
}

fn grid(flow: &mut Flow<'_>, geom: &StripGeom, x0: f32, y0: f32) {
    let (right, low) = (x0 + geom.width_mm, y0 + geom.height_mm);
    for (bold, width_mm, colour) in [(false, 0.08, rgb::GRID_FINE), (true, 0.16, rgb::GRID_BOLD)] {
        let columns = geom.columns().filter(|c| c.1 == bold).map(|(x, _)| vec![[x0 + x, y0], [x0 + x, low]]);
        let rows = geom.rows().filter(|r| r.1 == bold).map(|(y, _)| vec![[x0, y0 + y], [right, y0 + y]]);
        let lines = columns.chain(rows).collect();
        flow.decorate(Op::Lines { lines, width_mm, rgb: colour });
    }
}

fn beats(flow: &mut Flow<'_>, geom: &StripGeom, figure: PartId, (x0, y): (f32, f32)) {
    let faces = flow.faces;
    // Beats closer than their letters would print one over the other; the later one gives way.
    let mut free = f32::MIN;
    for mark in &geom.marks {
        let text = mark.letter.to_string();
        let wide = faces.width_mm(&text, LETTER_PT, Weight::Bold);
        let x = x0 + (mark.x_mm - wide / 2.0).clamp(0.0, (geom.width_mm - wide).max(0.0));
        if x < free {
            continue;
        }
        free = x + wide;
        let colour = class_rgb(mark.class);
        flow.mark(figure, Op::text(x, y, LETTER_PT, Weight::Bold, colour, &text));
        if mark.changed {
            flow.mark(figure, Op::line(vec![[x, y + 0.6], [x + wide, y + 0.6]], 0.2, colour));
        }
    }
    for rr in &geom.rr {
        let text = format!("{:.0}", rr.rr_ms);
        let wide = faces.width_mm(&text, RR_PT, Weight::Regular);
        if wide + 4.0 < rr.width_mm {
            let x = x0 + rr.x_mm - wide / 2.0;
            flow.mark(figure, Op::text(x, y, RR_PT, Weight::Regular, rgb::MUTED, &text));
        }
    }
}
