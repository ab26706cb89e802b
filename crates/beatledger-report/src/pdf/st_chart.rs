//! Draws the course of ST over the day: a plot a lead, one under the other, on one axis of time.

use super::flow::{Flow, SIDE_MM};
use super::fonts::Weight;
use super::rgb;
use super::sheet::{Op, Part, PartId};
use crate::document::{StChart, StPlot};

/// Room left of the plots for names and axes, mm.
const NAMES_MM: f32 = 24.0;
/// Height of a plot, mm.
const PLOT_MM: f32 = 20.0;
/// Room between two plots, mm.
const GAP_MM: f32 = 3.0;
/// Room below the last plot for the clock, mm.
const CLOCK_MM: f32 = 7.0;
/// Nothing is drawn narrower than this, mm.
const LEAST_MM: f32 = 0.35;

/// Where a plot lies.
struct Place {
    left: f32,
    top: f32,
    width: f32,
    hours: f64,
    range: (f64, f64),
}

impl Place {
    fn x(&self, hour: f64) -> f32 {
        self.left + (hour / self.hours.max(1e-9)).clamp(0.0, 1.0) as f32 * self.width
    }

    fn y(&self, mv: f64) -> f32 {
        let share = (mv - self.range.0) / (self.range.1 - self.range.0).max(1e-6);
        self.top + PLOT_MM * (1.0 - share.clamp(0.0, 1.0) as f32)
    }

    fn right(&self) -> f32 {
        self.left + self.width
    }
}

pub(super) fn set(flow: &mut Flow<'_>, chart: &StChart) {
    let last = chart.leads.len().saturating_sub(1);
    for (i, lead) in chart.leads.iter().enumerate() {
        flow.ensure(PLOT_MM + GAP_MM + CLOCK_MM);
        let figure = flow.part(Part::Figure(lead.words.clone()));
        let place = Place {
            left: SIDE_MM + NAMES_MM,
            top: flow.y + GAP_MM,
            width: flow.width() - NAMES_MM,
            hours: chart.hours,
            range: lead.range_mv,
        };
        grounds(flow, chart, lead, &place);
        axis(flow, lead, &place, figure);
        line(flow, lead, &place, figure);
        flow.y = place.top + PLOT_MM;
        if i == last || flow.left() < PLOT_MM + GAP_MM + CLOCK_MM {
            clock(flow, chart, &place, figure);
            flow.y += CLOCK_MM;
        }
    }
    flow.y += 2.0;
}

/// Unreadable time, and the changes that are held.
fn grounds(flow: &mut Flow<'_>, chart: &StChart, lead: &StPlot, place: &Place) {
    let mut boxes = |from: f64, to: f64, colour| {
        let (from, to) = (place.x(from), place.x(to));
        flow.decorate(Op::rect(from, place.top, (to - from).max(LEAST_MM), PLOT_MM, colour));
    };
    chart.unreadable.iter().for_each(|(from, to)| boxes(*from, *to, rgb::UNREADABLE));
    lead.changes.iter().for_each(|((from, to), _)| boxes(*from, *to, rgb::BAND));
}

fn axis(flow: &mut Flow<'_>, lead: &StPlot, place: &Place, figure: PartId) {
    let steps = ((place.range.1 - place.range.0) / 0.1).round().max(1.0) as usize;
    let every = steps.div_ceil(4);
    for step in (0..=steps).step_by(every) {
        let mv = place.range.0 + 0.1 * step as f64;
        let y = place.y(mv);
        flow.decorate(Op::line(vec![[place.left, y], [place.right(), y]], 0.1, rgb::RULE));
        // A level just below zero is no minus zero in print.
        let mv = if mv.abs() < 0.05 { 0.0 } else { mv };
        let text = format!("{mv:.1} ");
        let x = place.left - 1.2 - flow.faces.width_mm(&text, 7.0, Weight::Regular);
        flow.mark(figure, Op::text(x, y + 0.9, 7.0, Weight::Regular, rgb::MUTED, &text));
    }
    let y = place.y(lead.reference_mv);
    flow.decorate(Op::line(vec![[place.left, y], [place.right(), y]], 0.2, rgb::MUTED));
    let name = flow.faces.cut(&lead.name, 8.0, Weight::Bold, NAMES_MM - 9.0);
    flow.mark(figure, Op::text(SIDE_MM, place.top + 2.8, 8.0, Weight::Bold, rgb::INK, &format!("{name} ")));
    flow.mark(figure, Op::text(SIDE_MM, place.top + 6.2, 7.0, Weight::Regular, rgb::MUTED, "ST, mV "));
}

fn line(flow: &mut Flow<'_>, lead: &StPlot, place: &Place, figure: PartId) {
    let of_piece = |piece: &Vec<(f64, f32)>| {
        let mut points: Vec<[f32; 2]> =
            piece.iter().map(|p| [place.x(p.0), place.y(f64::from(p.1))]).collect();
        if let [only] = points[..] {
            points.push([only[0] + 0.2, only[1]]);
        }
        points
    };
    let lines: Vec<_> = lead.pieces.iter().map(of_piece).collect();
    if !lines.is_empty() {
        flow.mark(figure, Op::Lines { lines, width_mm: 0.22, rgb: rgb::INK });
    }
    let mut free = f32::MIN;
    for ((from, _), extreme_mv) in &lead.changes {
        let text = format!("{extreme_mv:+.2} ");
        let wide = flow.faces.width_mm(&text, 7.0, Weight::Bold);
        let at = place.x(*from).min(place.right() - wide);
        if at > free {
            flow.mark(figure, Op::text(at, place.top - 0.6, 7.0, Weight::Bold, rgb::INK, &text));
            free = at + wide;
        }
    }
}

/// The clock below the last plot of a page.
fn clock(flow: &mut Flow<'_>, chart: &StChart, place: &Place, figure: PartId) {
    let low = place.top + PLOT_MM;
    let mut free = f32::MIN;
    for (hour, text) in &chart.ticks {
        let x = place.x(*hour);
        flow.decorate(Op::line(vec![[x, low], [x, low + 1.0]], 0.1, rgb::RULE));
        let wide = flow.faces.width_mm(text, 7.0, Weight::Regular);
        let at = (x - wide / 2.0).min(place.right() - wide);
        if at > free {
            flow.mark(figure, Op::text(at, low + 4.2, 7.0, Weight::Regular, rgb::MUTED, &format!("{text} ")));
            free = at + wide + 1.5;
        }
    }
}
