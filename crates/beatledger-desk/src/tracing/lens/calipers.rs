//! Calipers: two places on the paper and what lies between them in ms, bpm and mV.

use egui::{Painter, Pos2, Rect, Stroke, pos2, vec2};

use super::paper_area::Paper;
use crate::paint::headline::font;
use crate::shell::view_context::ViewContext;

/// Two places on one lead.
pub struct Caliper {
    from: (i64, f32),
    to: (i64, f32),
    lead: usize,
}

impl Caliper {
    /// Puts the first leg down on the lead below `pos`.
    pub fn start(paper: &Paper, pos: Pos2) -> Option<Self> {
        let index = paper.lead_at(pos.y)?;
        let leg = (paper.sample_from_x(pos.x), mv_at(paper, index, pos.y));
        Some(Self { from: leg, to: leg, lead: paper.geom.leads.get(index)?.lead })
    }

    /// Moves the second leg.
    pub fn stretch(&mut self, paper: &Paper, pos: Pos2) {
        if let Some(index) = self.index(paper) {
            self.to = (paper.sample_from_x(pos.x), mv_at(paper, index, pos.y));
        }
    }

    /// Place of its lead among those shown.
    fn index(&self, paper: &Paper) -> Option<usize> {
        paper.geom.leads.iter().position(|l| l.lead == self.lead)
    }

    /// Time, rate and voltage between the two ends: ms, bpm, mV.
    fn words(&self, hz: f64) -> String {
        let ms = (self.to.0 - self.from.0).abs() as f64 / hz * 1000.0;
        let bpm = if ms >= 1.0 { format!("{:.0} bpm", 60_000.0 / ms) } else { "no rate".to_owned() };
        format!("{ms:.0} ms · {bpm} · {:.2} mV", self.to.1 - self.from.1)
    }
}

fn mv_at(paper: &Paper, index: usize, y: f32) -> f32 {
    (paper.y_from_mv(index, 0.0) - y) / paper.mm_pt / paper.geom.mm_per_mv
}

/// Draws the calipers with their reading.
pub fn draw(painter: &Painter, view: &ViewContext<'_>, paper: &Paper, caliper: Option<&Caliper>) {
    let Some(caliper) = caliper else { return };
    let Some(index) = caliper.index(paper) else { return };
    let y = |mv: f32| paper.y_from_mv(index, mv);
    let (a, b) = (
        pos2(paper.x_from_sample(caliper.from.0), y(caliper.from.1)),
        pos2(paper.x_from_sample(caliper.to.0), y(caliper.to.1)),
    );
    let stroke = Stroke::new(1.5, view.theme.edge);
    painter.vline(a.x, paper.rect.y_range(), stroke);
    painter.vline(b.x, paper.rect.y_range(), stroke);
    painter.hline(a.x.min(b.x)..=a.x.max(b.x), a.y, Stroke::new(1.0, view.theme.edge));
    painter.vline(b.x, a.y.min(b.y)..=a.y.max(b.y), Stroke::new(4.0, view.theme.edge));
    let galley = painter.layout_no_wrap(caliper.words(paper.hz), font(painter, 12.5), view.theme.ink);
    let wish = pos2((a.x + b.x - galley.size().x) * 0.5, a.y.min(b.y) - galley.size().y - 6.0);
    let most = (paper.rect.max - galley.size() - vec2(4.0, 4.0)).max(paper.rect.min);
    let at = wish.clamp(paper.rect.min + vec2(4.0, 4.0), most.max(paper.rect.min + vec2(4.0, 4.0)));
    let plate = Rect::from_min_size(at, galley.size()).expand(4.0);
    painter.rect(plate, 3.0, view.theme.paper, Stroke::new(1.0, view.theme.edge), egui::StrokeKind::Outside);
    painter.galley(at, galley, view.theme.ink);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reading_of_400_ms_is_150_beats_a_minute() {
        let caliper = Caliper { from: (1000, 0.1), to: (1100, 1.3), lead: 0 };
        assert_eq!(caliper.words(250.0), "400 ms · 150 bpm · 1.20 mV");
        let closed = Caliper { from: (5, 0.0), to: (5, 0.0), lead: 0 };
        assert_eq!(closed.words(250.0), "0 ms · no rate · 0.00 mV");
    }
}
