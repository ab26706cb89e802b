//! The paper itself: grid, hatching, tracing. Made once and kept, until the paper moves.

use std::sync::Arc;

use beatledger_core::model::{BeatClass, Span};
use beatledger_report::strip::StripGeom;
use beatledger_report::values::day_clock;
use egui::epaint::{TessellationOptions, Tessellator};
use egui::{Align2, Color32, Mesh, Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};

use super::paper_area::Paper;
use crate::paint::headline::font;
use crate::paint::picture_keys::SelectionKey;
use crate::paint::theme::Theme;
use crate::shell::view_context::ViewContext;

/// What the drawn paper depends on.
pub struct PaperKey {
    pub geom: Arc<StripGeom>,
    pub rect: Rect,
    pub mm_pt: f32,
    pub pixels_per_point: f32,
    pub dark: bool,
    pub baselines_mm: Vec<f32>,
    pub selection: Option<Span>,
}

impl PartialEq for PaperKey {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.geom, &other.geom)
            && (self.rect, self.mm_pt, self.pixels_per_point, self.dark)
                == (other.rect, other.mm_pt, other.pixels_per_point, other.dark)
            && self.baselines_mm == other.baselines_mm
            && self.selection == other.selection
    }
}

/// Fine lines closer than this are left out, points.
const LEAST_GRID_PT: f32 = 2.5;

/// Paper colour and what is selected, below the grid.
pub fn washes(painter: &Painter, view: &ViewContext<'_>, paper: &Paper) {
    painter.rect_filled(paper.rect, 0.0, view.theme.paper);
    let wash = |from: i64, to: i64| {
        let x = paper.x_from_sample(from).max(paper.rect.left())
            ..=paper.x_from_sample(to).min(paper.rect.right());
        if x.start() < x.end() {
            painter.rect_filled(Rect::from_x_y_ranges(x, paper.rect.y_range()), 0.0, view.theme.wash);
        }
    };
    if let Some(span) = SelectionKey::of(view.selection).span() {
        wash(span.start, span.end);
    }
    let rate = view.snapshot.recording.rate;
    let (before, after) = (rate.samples_from_ms(200.0), rate.samples_from_ms(360.0));
    for sample in view.selection.within(paper.geom.span) {
        wash(sample - before, sample + after);
    }
}

/// Grid, hatching and tracing as one mesh.
pub fn mesh(view: &ViewContext<'_>, paper: &Paper, pixels_per_point: f32) -> Mesh {
    let mut mesh = Mesh::default();
    grid(&mut mesh, view.theme, paper, pixels_per_point);
    let options = TessellationOptions::default();
    let mut lines = Tessellator::new(pixels_per_point, options, [1, 1], Vec::new());
    lines.set_clip_rect(paper.rect);
    let mut draw =
        |points: Vec<Pos2>, stroke: Stroke| lines.tessellate_shape(Shape::line(points, stroke), &mut mesh);
    for (from, to) in &paper.geom.unreadable {
        hatch(paper, *from, *to, |a, b| draw(vec![a, b], Stroke::new(1.0, view.theme.hatch)));
    }
    let coloured = coloured(view, paper);
    for (i, lead) in paper.geom.leads.iter().enumerate() {
        let at = |p: &[f32; 2]| paper.pos(i, p);
        draw(lead.pulse.iter().map(at).collect(), Stroke::new(1.2, view.theme.faint));
        for line in &lead.polylines {
            draw(line.iter().map(at).collect(), Stroke::new(1.3, view.theme.ink));
            for ((from_mm, to_mm), color) in &coloured {
                let from = line.partition_point(|p| p[0] < *from_mm);
                let to = line.partition_point(|p| p[0] <= *to_mm);
                if from + 1 < to {
                    draw(line[from..to].iter().map(at).collect(), Stroke::new(1.8, *color));
                }
            }
        }
    }
    mesh
}

/// From and to (mm) of the QRS of beats that are not normal, with the colour of the class.
fn coloured(view: &ViewContext<'_>, paper: &Paper) -> Vec<((f32, f32), Color32)> {
    let rate = view.snapshot.recording.rate;
    let marks = paper.geom.marks.iter().filter(|m| m.class != BeatClass::N);
    marks
        .filter_map(|mark| {
            let beat = view.snapshot.beats.get(mark.beat as usize)?;
            let on = beat.waves.qrs_on.map_or(-rate.samples_from_ms(60.0), i64::from);
            let off = beat.waves.qrs_off.map_or(rate.samples_from_ms(100.0), i64::from);
            let mm = |offset| paper.geom.x_from_sample(paper.hz, beat.sample + offset);
            Some(((mm(on), mm(off)), view.theme.class(beat.class)))
        })
        .collect()
}

fn grid(mesh: &mut Mesh, theme: &Theme, paper: &Paper, pixels_per_point: f32) {
    let (rect, px) = (paper.rect, 1.0 / pixels_per_point);
    let snap = |x: f32| (x * pixels_per_point).round() / pixels_per_point;
    for bold_pass in [false, true] {
        if !bold_pass && paper.mm_pt < LEAST_GRID_PT {
            continue;
        }
        let color = if bold_pass { theme.grid_bold } else { theme.grid_fine };
        let count = |points: f32| (points / paper.mm_pt) as i32 + 1;
        for i in (0..=count(rect.width())).filter(|i| (i % 5 == 0) == bold_pass) {
            let x = snap(rect.left() + i as f32 * paper.mm_pt);
            if x < rect.right() {
                mesh.add_colored_rect(
                    Rect::from_min_size(pos2(x, rect.top()), vec2(px, rect.height())),
                    color,
                );
            }
        }
        for i in (0..=count(rect.height())).filter(|i| (i % 5 == 0) == bold_pass) {
            let y = snap(rect.top() + i as f32 * paper.mm_pt);
            if y < rect.bottom() {
                mesh.add_colored_rect(
                    Rect::from_min_size(pos2(rect.left(), y), vec2(rect.width(), px)),
                    color,
                );
            }
        }
    }
}

/// Diagonals over `from` to `to` (mm), cut to that stretch.
fn hatch(paper: &Paper, from_mm: f32, to_mm: f32, mut line: impl FnMut(Pos2, Pos2)) {
    let (left, right) = (paper.x(from_mm).max(paper.rect.left()), paper.x(to_mm).min(paper.rect.right()));
    let (top, bottom) = (paper.rect.top(), paper.rect.bottom());
    let tall = bottom - top;
    let mut x = left - tall;
    while x < right {
        let (a, b) = (x.max(left), (x + tall).min(right));
        if a < b {
            line(pos2(a, bottom - (a - x)), pos2(b, bottom - (b - x)));
        }
        x += 9.0;
    }
}

/// Lead names, the clock below, and the word for hatched time.
pub fn words(painter: &Painter, view: &ViewContext<'_>, paper: &Paper) {
    let small = font(painter, 11.0);
    for (i, lead) in paper.geom.leads.iter().enumerate() {
        // Below 0 mV, where the calibration pulse leaves room.
        let at = pos2(paper.rect.left() + 3.0, paper.y_from_mv(i, 0.0) + 2.0);
        painter.text(at, Align2::LEFT_TOP, &lead.name, small.clone(), view.theme.ink);
    }
    for (from, _) in &paper.geom.unreadable {
        let at = pos2(paper.x(*from).max(paper.rect.left() + 40.0) + 4.0, paper.rect.top() + 4.0);
        let galley = painter.layout_no_wrap("unreadable".into(), small.clone(), view.theme.ink);
        painter.rect_filled(Rect::from_min_size(at, galley.size()).expand(2.0), 2.0, view.theme.paper);
        painter.galley(at, galley, view.theme.ink);
    }
    seconds(painter, view, paper);
}

fn seconds(painter: &Painter, view: &ViewContext<'_>, paper: &Paper) {
    let recording = &view.snapshot.recording;
    let tiny = font(painter, 9.5);
    // A mark may be rounded to the sample before its second; half a second later has the same clock.
    let half_s = recording.rate.samples_from_ms(500.0);
    let mut free_from = paper.rect.left() + 8.0;
    let mut is_first = true;
    for mm in &paper.geom.seconds {
        let x = painter.round_to_pixel_center(paper.x(*mm));
        painter.vline(x, paper.rect.bottom() - 5.0..=paper.rect.bottom(), Stroke::new(1.0, view.theme.faint));
        if x < free_from {
            continue;
        }
        let at = paper.sample_from_x(x) + half_s;
        // The first one names the date where the recording has several.
        let clock = if is_first { day_clock(recording, at) } else { recording.clock(at) };
        is_first = false;
        let galley = painter.layout_no_wrap(clock, tiny.clone(), view.theme.faint);
        let at = pos2(x + 3.0, paper.rect.bottom() - galley.size().y - 1.0);
        if at.x + galley.size().x < paper.rect.right() {
            free_from = at.x + galley.size().x + 40.0;
            painter.rect_filled(
                Rect::from_min_size(at, galley.size()),
                0.0,
                view.theme.paper.gamma_multiply(0.75),
            );
            painter.galley(at, galley, view.theme.faint);
        }
    }
}

impl PaperKey {
    /// The key of what is drawn in this frame.
    pub fn of(view: &ViewContext<'_>, paper: &Paper, pixels_per_point: f32) -> Self {
        Self {
            geom: paper.geom.clone(),
            rect: paper.rect,
            mm_pt: paper.mm_pt,
            pixels_per_point,
            dark: view.theme.dark,
            baselines_mm: paper.baselines_mm.clone(),
            selection: SelectionKey::of(view.selection).span(),
        }
    }
}
