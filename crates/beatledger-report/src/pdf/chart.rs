//! Draws the rate of the day with events, night and unreadable time.

use super::flow::{Flow, SIDE_MM};
use super::fonts::Weight;
use super::rgb;
use super::sheet::{Op, Part, PartId};
use crate::document::TrendChart;

/// Room left of the plot for axis and lane names, mm.
const NAMES_MM: f32 = 40.0;
/// Height of the rate plot, mm.
const RATE_MM: f32 = 54.0;
/// Height of an event lane, mm.
const LANE_MM: f32 = 3.6;
/// Room above the plot for diary numbers, mm.
const DIARY_MM: f32 = 5.0;
/// Marks nearer than this are drawn as one, mm.
const NEAR_MM: f32 = 0.08;

/// Where the plot lies.
struct Plot {
    left: f32,
    top: f32,
    width: f32,
    low: f32,
    hours: f64,
    range: (f64, f64),
}

impl Plot {
    fn x(&self, hour: f64) -> f32 {
        self.left + (hour / self.hours.max(1e-9)).clamp(0.0, 1.0) as f32 * self.width
    }

    fn y(&self, bpm: f64) -> f32 {
        let share = (bpm - self.range.0) / (self.range.1 - self.range.0).max(1.0);
        self.top + RATE_MM * (1.0 - share.clamp(0.0, 1.0) as f32)
    }
}

pub(super) fn set(flow: &mut Flow<'_>, chart: &TrendChart) {
    let lanes = chart.lanes.len() as f32 * LANE_MM + if chart.lanes.is_empty() { 0.0 } else { 2.0 };
    flow.ensure(DIARY_MM + RATE_MM + lanes + 8.0);
    let top = flow.y + DIARY_MM;
    let plot = Plot {
        left: SIDE_MM + NAMES_MM,
        top,
        width: flow.width() - NAMES_MM,
        low: top + RATE_MM + lanes,
        hours: chart.hours,
        range: chart.range_bpm,
    };
    let figure = flow.part(Part::Figure(chart.words.clone()));
    grounds(flow, chart, &plot);
    axes(flow, chart, &plot, figure);
    rate(flow, chart, &plot, figure);
    event_lanes(flow, chart, &plot, figure);
    diary(flow, chart, &plot, figure);
    flow.y = plot.low + 8.0;
}

/// Places on paper of stretches of the day, joined where they lie nearer than can be seen.
fn places(plot: &Plot, spans: &[(f64, f64)], least_mm: f32) -> Vec<(f32, f32)> {
    let mut out: Vec<(f32, f32)> = Vec::new();
    for (from, to) in spans {
        let from = plot.x(*from);
        let to = plot.x(*to).max(from + least_mm);
        match out.last_mut() {
            Some(last) if from - last.1 < NEAR_MM => last.1 = last.1.max(to),
            _ => out.push((from, to)),
        }
    }
    out
}

fn grounds(flow: &mut Flow<'_>, chart: &TrendChart, plot: &Plot) {
    for (from, to) in places(plot, &chart.night, 0.0) {
        flow.decorate(Op::rect(from, plot.top, to - from, plot.low - plot.top, rgb::NIGHT));
    }
    let mut hatch = Vec::new();
    for (from, to) in places(plot, &chart.unreadable, 0.2) {
        flow.decorate(Op::rect(from, plot.top, to - from, plot.low - plot.top, rgb::UNREADABLE));
        hatch_lines((from, to), (plot.top, plot.low), &mut hatch);
    }
    if !hatch.is_empty() {
        flow.decorate(Op::Lines { lines: hatch, width_mm: 0.1, rgb: rgb::MUTED });
    }
}

/// Slanting lines inside a rectangle.
fn hatch_lines((x0, x1): (f32, f32), (y0, y1): (f32, f32), out: &mut Vec<Vec<[f32; 2]>>) {
    let (w, h) = (x1 - x0, y1 - y0);
    let mut c = 1.0;
    while c < w + h {
        let from = if c <= h { [x0, y0 + c] } else { [x0 + c - h, y1] };
        let to = if c <= w { [x0 + c, y0] } else { [x1, y0 + c - w] };
        out.push(vec![from, to]);
        c += 1.6;
    }
}

fn axes(flow: &mut Flow<'_>, chart: &TrendChart, plot: &Plot, figure: PartId) {
    let right = plot.left + plot.width;
    let mut bpm = (plot.range.0 / 20.0).ceil() * 20.0;
    while bpm <= plot.range.1 + 1e-9 {
        let y = plot.y(bpm);
        flow.decorate(Op::line(vec![[plot.left, y], [right, y]], 0.1, rgb::RULE));
        let text = format!("{bpm:.0} ");
        let x = plot.left - 1.2 - flow.faces.width_mm(&text, 7.0, Weight::Regular);
        flow.mark(figure, Op::text(x, y + 0.9, 7.0, Weight::Regular, rgb::MUTED, &text));
        bpm += 20.0;
    }
    let y = plot.top + 2.6;
    flow.mark(figure, Op::text(SIDE_MM, y, 7.0, Weight::Bold, rgb::MUTED, "Rate, bpm "));
    let mut free = f32::MIN;
    for (hour, text) in &chart.ticks {
        let x = plot.x(*hour);
        flow.decorate(Op::line(vec![[x, plot.top], [x, plot.low + 1.0]], 0.1, rgb::RULE));
        let wide = flow.faces.width_mm(text, 7.0, Weight::Regular);
        let at = (x - wide / 2.0).min(right - wide);
        if at > free {
            let op = Op::text(at, plot.low + 4.2, 7.0, Weight::Regular, rgb::MUTED, &format!("{text} "));
            flow.mark(figure, op);
            free = at + wide + 1.5;
        }
    }
}

fn rate(flow: &mut Flow<'_>, chart: &TrendChart, plot: &Plot, figure: PartId) {
    for piece in &chart.pieces {
        let mut band: Vec<[f32; 2]> = piece.iter().map(|p| [plot.x(p.0), plot.y(f64::from(p.3))]).collect();
        band.extend(piece.iter().rev().map(|p| [plot.x(p.0), plot.y(f64::from(p.1))]));
        if piece.len() > 1 {
            flow.mark(figure, Op::Area { outline: band, rgb: rgb::BAND });
        }
    }
    let lines = chart.pieces.iter().map(|piece| {
        let mut line: Vec<[f32; 2]> = piece.iter().map(|p| [plot.x(p.0), plot.y(f64::from(p.2))]).collect();
        if let [only] = line[..] {
            line.push([only[0] + 0.2, only[1]]);
        }
        line
    });
    let lines = lines.collect();
    flow.mark(figure, Op::Lines { lines, width_mm: 0.22, rgb: rgb::INK });
}

fn event_lanes(flow: &mut Flow<'_>, chart: &TrendChart, plot: &Plot, figure: PartId) {
    for (i, (name, spans)) in chart.lanes.iter().enumerate() {
        let top = plot.top + RATE_MM + 2.0 + i as f32 * LANE_MM;
        let text = flow.faces.cut(name, 7.0, Weight::Regular, NAMES_MM - 2.0);
        flow.mark(figure, Op::text(SIDE_MM, top + 2.6, 7.0, Weight::Regular, rgb::INK, &format!("{text} ")));
        let rule = vec![[plot.left, top + LANE_MM], [plot.left + plot.width, top + LANE_MM]];
        flow.decorate(Op::line(rule, 0.1, rgb::RULE));
        for (from, to) in places(plot, spans, 0.35) {
            flow.mark(figure, Op::rect(from, top + 0.7, to - from, LANE_MM - 1.4, rgb::INK));
        }
    }
}

/// Numbers of the diary entries above the plot; numbers that would overlap give way.
fn diary(flow: &mut Flow<'_>, chart: &TrendChart, plot: &Plot, figure: PartId) {
    let mut free = f32::MIN;
    let mut lines = Vec::new();
    for (hour, number) in &chart.diary {
        let x = plot.x(*hour);
        lines.push(vec![[x, plot.top - 1.2], [x, plot.top + 1.2]]);
        let text = number.to_string();
        let wide = flow.faces.width_mm(&text, 7.0, Weight::Bold);
        if x - wide / 2.0 > free {
            let op =
                Op::text(x - wide / 2.0, plot.top - 1.9, 7.0, Weight::Bold, rgb::INK, &format!("{text} "));
            flow.mark(figure, op);
            free = x + wide / 2.0 + 0.6;
        }
    }
    if !lines.is_empty() {
        flow.mark(figure, Op::Lines { lines, width_mm: 0.2, rgb: rgb::INK });
    }
}
