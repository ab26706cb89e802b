//! The lens: the tracing at the place on paper scale, with beat marks, RR intervals, wave limits and calipers.
//!
//! One millimetre is 96 / 25.4 points at x1, the size that desktop systems agree on; the zoom steps change
//! both axes alike, so that 25 mm/s and 10 mm/mV always keep their aspect.

mod beats;
mod calipers;
mod layout;
mod paper;
#[cfg(test)]
mod tests;

use std::sync::Arc;

use beatledger_core::model::Span;
use beatledger_report::strip::{PULSE_ROOM_MM, StripGeom, StripOptions, build};
use egui::{Align2, Mesh, Rect, Response, Role, Sense, Ui, WidgetInfo, pos2, vec2};

use crate::app::act::Act;
use crate::commands::table::Command;
use crate::paint::draw::{DayKey, HEAD_PT, Headline, SelectionKey, focus_ring, font, snapped, text_scale};
use crate::shell::view_context::View;
use crate::tracing::pick;
use calipers::Caliper;
use layout::{Print, Reach};
use paper::PaperKey;

/// Points of one millimetre at x1: 96 points an inch.
const MM_PT: f32 = 96.0 / 25.4;
/// Zoom steps.
const ZOOMS: [f32; 4] = [0.5, 1.0, 2.0, 4.0];
/// Height of a lead name on the paper at 100 % text size, points.
const NAME_PT: f32 = 16.0;
/// Height of the clock along the lower edge of the paper at 100 % text size, points.
const CLOCK_PT: f32 = 12.0;
/// Room that the geometry gives each lead, mm: 3.5 mV up and 2.5 mV down, so that the paper alone limits it.
const ROOM_MM: f32 = 60.0;
/// Paper speed, mm/s.
const MM_PER_S: f32 = 25.0;
/// Room of the switches at the right of the line of words, points.
const TOOLS_PT: f32 = 240.0;
/// Height of the line of beat letters, points.
const LETTERS_PT: f32 = 20.0;

/// What the lens keeps between frames: options, where it stands, and drawn paper; no facts.
pub struct LensState {
    /// True when a drag measures instead of selecting.
    pub calipers: bool,
    /// True to show the wave limits of every beat, not only of the selected ones.
    pub all_waves: bool,
    /// Lead of the day strip: it comes first where not all leads fit.
    pub strip_lead: usize,
    zoom: usize,
    skipped: usize,
    start: i64,
    last_place: Option<i64>,
    shown: Option<Span>,
    width_pt: f32,
    scroll_pt: f32,
    head_pt: f32,
    pinch: f32,
    drag: Option<(i64, i64)>,
    caliper: Option<Caliper>,
    reach: Option<(DayKey, Vec<Reach>)>,
    geom: Option<(DayKey, StripOptions, Span, Arc<StripGeom>)>,
    paper: Option<(PaperKey, Arc<Mesh>)>,
}

impl Default for LensState {
    fn default() -> Self {
        Self {
            calipers: false,
            all_waves: false,
            strip_lead: 0,
            zoom: 1,
            skipped: 0,
            start: 0,
            last_place: None,
            shown: None,
            width_pt: 900.0,
            scroll_pt: 0.0,
            head_pt: HEAD_PT,
            pinch: 1.0,
            drag: None,
            caliper: None,
            reach: None,
            geom: None,
            paper: None,
        }
    }
}

impl LensState {
    /// Less time, larger.
    pub fn closer(&mut self) {
        self.set_zoom((self.zoom + 1).min(ZOOMS.len() - 1));
    }

    /// More time, smaller.
    pub fn wider(&mut self) {
        self.set_zoom(self.zoom.saturating_sub(1));
    }

    /// The zoom step whose width comes nearest to `seconds`.
    pub fn set_seconds(&mut self, seconds: f64) {
        let wanted = self.width_pt / (MM_PT * MM_PER_S * seconds.max(0.1) as f32);
        let far = |step: usize| (ZOOMS[step] / wanted.max(1e-3)).ln().abs();
        self.set_zoom((0..ZOOMS.len()).min_by(|a, b| far(*a).total_cmp(&far(*b))).unwrap_or(1));
    }

    /// Starts with the next lead, where not all fit.
    pub fn next_leads(&mut self, leads: usize) {
        self.skipped = (self.skipped + 1) % leads.max(1);
    }

    /// Shows another lead of the day strip first, where not all fit.
    pub fn follow(&mut self, strip_lead: usize) {
        if self.strip_lead != strip_lead {
            self.strip_lead = strip_lead;
            self.skipped = 0;
        }
    }

    /// True while the calipers are out.
    pub fn has_calipers(&self) -> bool {
        self.calipers || self.caliper.is_some()
    }

    /// Takes the calipers off the paper.
    pub fn clear_calipers(&mut self) {
        self.caliper = None;
        self.calipers = false;
    }

    /// The stretch that the last frame showed.
    pub fn visible_span(&self) -> Option<Span> {
        self.shown
    }

    /// Points per paper millimetre against 96 points an inch.
    pub fn zoom(&self) -> f32 {
        ZOOMS[self.zoom]
    }

    fn set_zoom(&mut self, zoom: usize) {
        if zoom != self.zoom {
            self.zoom = zoom;
            // The place comes to the middle again in the next frame.
            self.last_place = None;
        }
    }

    /// The stretch to show: it moves only when the place comes near its ends.
    fn span(&mut self, view: &View<'_>, length: i64) -> Span {
        let edge = length / 20;
        let near = Span::new(self.start + edge, self.start + length - edge).contains(view.place);
        if self.last_place.is_none() || (self.last_place != Some(view.place) && !near) {
            self.start = view.place - length * 2 / 5;
        }
        self.last_place = Some(view.place);
        self.start = self.start.min(view.snapshot.recording.samples - length).max(0);
        Span::new(self.start, self.start + length).overlap(view.snapshot.recording.whole())
    }

    fn geometry(&mut self, view: &View<'_>, span: Span, options: StripOptions) -> Arc<StripGeom> {
        let day = DayKey::of(view.snapshot);
        match &self.geom {
            Some((d, o, s, geom)) if *d == day && *o == options && *s == span => geom.clone(),
            _ => {
                let geom = Arc::new(build(view.snapshot, span, &options));
                self.geom = Some((day, options, span, geom.clone()));
                geom
            }
        }
    }
}

/// The paper on the screen.
struct Sheet {
    geom: Arc<StripGeom>,
    /// Paper with tracing, without the line of letters above it.
    rect: Rect,
    /// Points of one millimetre.
    mm_pt: f32,
    hz: f64,
    /// 0 mV of each lead shown, mm from the top of the paper.
    baselines_mm: Vec<f32>,
}

impl Sheet {
    fn x(&self, mm: f32) -> f32 {
        self.rect.left() + mm * self.mm_pt
    }

    /// Height of `mv` on the lead at `index` of those shown.
    fn y_from_mv(&self, index: usize, mv: f32) -> f32 {
        let zero_mm = self.baselines_mm.get(index).copied().unwrap_or(0.0);
        self.rect.top() + (zero_mm - mv * self.geom.mm_per_mv) * self.mm_pt
    }

    /// Place of a point of the geometry, mm, on the lead at `index` of those shown.
    fn pos(&self, index: usize, point: &[f32; 2]) -> egui::Pos2 {
        let below_zero_mm = self.geom.leads.get(index).map_or(0.0, |l| point[1] - l.baseline_mm);
        pos2(self.x(point[0]), self.y_from_mv(index, 0.0) + below_zero_mm * self.mm_pt)
    }

    /// The lead nearest to a height on the screen.
    fn lead_at(&self, y: f32) -> Option<usize> {
        let far = |i: usize| (self.y_from_mv(i, 0.0) - y).abs();
        (0..self.geom.leads.len()).min_by(|a, b| far(*a).total_cmp(&far(*b)))
    }

    /// True when some tracing leaves the paper.
    fn is_cut(&self) -> bool {
        let outside = |y: f32| y < self.rect.top() || y > self.rect.bottom();
        let leads = self.geom.leads.iter().enumerate();
        leads.clone().any(|(_, l)| l.cut)
            || leads
                .flat_map(|(i, l)| l.polylines.iter().flatten().map(move |p| (i, p)))
                .any(|(i, p)| outside(self.pos(i, p).y))
    }

    fn x_from_sample(&self, sample: i64) -> f32 {
        self.x(self.geom.x_from_sample(self.hz, sample))
    }

    fn sample_from_x(&self, x: f32) -> i64 {
        let mm = f64::from((x - self.rect.left()) / self.mm_pt - self.geom.x0_mm);
        let sample = self.geom.span.start + (mm / f64::from(MM_PER_S) * self.hz).round() as i64;
        sample.clamp(self.geom.span.start, (self.geom.span.end - 1).max(self.geom.span.start))
    }
}

/// Draws the lens in the available space.
pub fn lens(ui: &mut Ui, view: &mut View<'_>, state: &mut LensState) {
    let scale = text_scale(ui.ctx());
    let size = ui.available_size().max(vec2(120.0, 80.0));
    let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, 0.0, view.look.panel);
    if view.snapshot.recording.samples <= 0 || view.snapshot.recording.leads.is_empty() {
        response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Lens, empty"));
        let words = "The tracing at the place in the day is shown here on paper scale.";
        painter.text(rect.center(), Align2::CENTER_CENTER, words, font(&painter, 14.0), view.look.faint);
        return;
    }
    let head = Rect::from_min_size(rect.min, vec2(rect.width(), HEAD_PT * scale));
    let top = rect.top() + state.head_pt + LETTERS_PT * scale;
    let paper_rect = snapped(Rect::from_min_max(pos2(rect.left(), top), rect.max), ui.pixels_per_point());
    let sheet = state.sheet(view, paper_rect, scale);
    state.shown = Some(sheet.geom.span);
    let caption = caption(view, state, &sheet);
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, format!("Lens, {caption}")));
    paper::washes(&painter, view, &sheet);
    // What does not fit the paper is cut at its edge and never drawn over words and letters.
    let on_paper = painter.with_clip_rect(sheet.rect.intersect(painter.clip_rect()));
    on_paper.add(egui::Shape::Mesh(state.paper_mesh(view, &sheet, ui.pixels_per_point())));
    paper::words(&on_paper, view, &sheet);
    beats::wave_limits(&on_paper, view, &sheet, state.all_waves);
    beats::place(&painter, view, &sheet);
    let line = Headline::new(&painter, view.look, &caption, rect.width(), TOOLS_PT);
    line.draw(&painter, view.look, rect);
    if (line.height_pt() - state.head_pt).abs() > 0.5 {
        // The paper makes room in the next frame.
        state.head_pt = line.height_pt();
        ui.ctx().request_repaint();
    }
    focus_ring(&painter, &response, view.look);
    crate::paint::draw::mark_part(&response, "lens");
    hands(ui, &response, view, state, &sheet);
    beats::buttons(ui, &painter, view, &sheet);
    calipers::draw(&painter, view, &sheet, state.caliper.as_ref());
    if let Some((a, b)) = state.drag {
        let x = sheet.x_from_sample(a.min(b))..=sheet.x_from_sample(a.max(b));
        painter.rect_filled(
            Rect::from_x_y_ranges(x, sheet.rect.y_range()),
            0.0,
            view.look.edge.gamma_multiply(0.18),
        );
    }
    tools(ui, view, state, head);
}

impl LensState {
    fn sheet(&mut self, view: &View<'_>, rect: Rect, scale: f32) -> Sheet {
        let recording = &view.snapshot.recording;
        let mm_pt = MM_PT * ZOOMS[self.zoom];
        self.width_pt = rect.width();
        let tracing_mm = (rect.width() / mm_pt - PULSE_ROOM_MM).max(5.0);
        let length = (f64::from(tracing_mm / MM_PER_S) * recording.rate.hz()).ceil() as i64;
        let span = self.span(view, length.max(1));
        let paper_mm = rect.height() / mm_pt;
        let reach = self.reach_mm(view, StripOptions::default().mm_per_mv);
        let print = Print { name_mm: NAME_PT * scale / mm_pt, clock_mm: CLOCK_PT * scale / mm_pt };
        let leads = self.leads_that_fit(&reach, paper_mm, print);
        let shown: Vec<Reach> = leads.iter().filter_map(|l| reach.get(*l).copied()).collect();
        let baselines_mm = layout::baselines_mm(&shown, paper_mm, print);
        let options = StripOptions {
            leads,
            lead_height_mm: Some(ROOM_MM),
            thin_below_mm: 0.35 / mm_pt,
            ..StripOptions::default()
        };
        let geom = self.geometry(view, span, options);
        Sheet { geom, rect, mm_pt, hz: recording.rate.hz(), baselines_mm }
    }

    fn reach_mm(&mut self, view: &View<'_>, mm_per_mv: f32) -> Vec<Reach> {
        let day = DayKey::of(view.snapshot);
        match &self.reach {
            Some((d, reach)) if d.same_tracing(&day) => reach.clone(),
            _ => {
                let reach = layout::reach_mm(view.snapshot, mm_per_mv);
                self.reach = Some((day, reach.clone()));
                reach
            }
        }
    }

    /// As many leads as the paper has room for, at least one: all in their order, or from the lead of the day
    /// strip on.
    fn leads_that_fit(&self, reach: &[Reach], paper_mm: f32, print: Print) -> Vec<usize> {
        let n = reach.len();
        if n == 0 || layout::how_many_fit(reach, paper_mm, print) == n {
            return (0..n).collect();
        }
        let order: Vec<usize> = (0..n).map(|i| (self.strip_lead + self.skipped + i) % n).collect();
        let turned: Vec<Reach> = order.iter().map(|l| reach[*l]).collect();
        let count = layout::how_many_fit(&turned, paper_mm, print).min(n - 1).max(1);
        order[..count].to_vec()
    }

    fn paper_mesh(&mut self, view: &View<'_>, sheet: &Sheet, pixels_per_point: f32) -> Arc<Mesh> {
        let key = PaperKey::of(view, sheet, pixels_per_point);
        match &self.paper {
            Some((k, mesh)) if *k == key => mesh.clone(),
            _ => {
                let mesh = Arc::new(paper::mesh(view, sheet, pixels_per_point));
                self.paper = Some((key, mesh.clone()));
                mesh
            }
        }
    }
}

/// Clock, leads, speed, gain and filters as the report prints them, and the zoom.
fn caption(view: &View<'_>, state: &LensState, sheet: &Sheet) -> String {
    let mut words = format!("{} · x{}", sheet.geom.caption, ZOOMS[state.zoom]);
    let (shown, all) = (sheet.geom.leads.len(), view.snapshot.recording.leads.len());
    if sheet.is_cut() {
        words += " · tall deflections cut";
    }
    if shown < all {
        words += &format!(" · {shown} of {all} leads fit");
    }
    words
}

/// Switches at the right of the line of words; each is a command that can be run by name as well.
fn tools(ui: &mut Ui, view: &mut View<'_>, state: &LensState, head: Rect) {
    let scale = text_scale(ui.ctx());
    let leads = view.snapshot.recording.leads.len();
    let fits = state.geom.as_ref().is_some_and(|g| g.3.leads.len() >= leads);
    let mut right = head.right() - 4.0;
    for (width, on, words, command) in [
        (66.0, state.calipers, "Calipers", Command::Calipers),
        (84.0, state.all_waves, "Wave limits", Command::WaveLimits),
        (76.0, false, "Next leads", Command::NextLensLeads),
    ] {
        if command == Command::NextLensLeads && fits {
            continue;
        }
        let rect = Rect::from_min_max(
            pos2(right - width * scale, head.top() + 1.0),
            pos2(right, head.bottom() - 1.0),
        );
        right = rect.left() - 4.0;
        let text = egui::RichText::new(words).small();
        if ui.put(rect, egui::Button::selectable(on, text)).on_hover_text(command.tip()).clicked() {
            view.acts.push(Act::Run(command));
        }
    }
}

fn hands(ui: &Ui, response: &Response, view: &mut View<'_>, state: &mut LensState, sheet: &Sheet) {
    let (shift, alt, origin) = ui.input(|i| (i.modifiers.shift, i.modifiers.alt, i.pointer.press_origin()));
    let pos = response.interact_pointer_pos();
    if response.drag_started()
        && let Some(from) = origin.filter(|p| sheet.rect.contains(*p))
    {
        if state.calipers || alt {
            state.caliper = Caliper::start(sheet, from);
        } else {
            let sample = sheet.sample_from_x(from.x);
            state.drag = Some((sample, sample));
        }
    }
    if let (true, Some(pos)) = (response.dragged(), pos) {
        match (&mut state.drag, &mut state.caliper) {
            (Some(drag), _) => drag.1 = sheet.sample_from_x(pos.x),
            (None, Some(caliper)) => caliper.stretch(sheet, pos),
            _ => {}
        }
    }
    if response.drag_stopped() {
        if let Some((a, b)) = state.drag.take() {
            pick::select_span(view, Span::new(a.min(b), a.max(b)), shift);
        }
    } else if response.clicked()
        && let Some(pos) = pos
    {
        response.request_focus();
        state.caliper = None;
        view.acts.push(Act::GoTo(sheet.sample_from_x(pos.x)));
    }
    if response.contains_pointer() {
        wheel(ui, view, state, sheet);
    }
}

/// The wheel moves along the day and takes the place along; with Ctrl it zooms.
fn wheel(ui: &Ui, view: &mut View<'_>, state: &mut LensState, sheet: &Sheet) {
    let (scroll, zoom) = ui.input(|i| (i.smooth_scroll_delta(), i.zoom_delta()));
    state.pinch *= zoom;
    if state.pinch > 1.25 {
        state.closer();
        state.pinch = 1.0;
    } else if state.pinch < 0.8 {
        state.wider();
        state.pinch = 1.0;
    }
    state.scroll_pt -= scroll.x + scroll.y;
    let by = (f64::from(state.scroll_pt / sheet.mm_pt / MM_PER_S) * sheet.hz) as i64;
    if by != 0 {
        state.scroll_pt = 0.0;
        let to = (view.place + by).clamp(0, (view.snapshot.recording.samples - 1).max(0));
        state.start += to - view.place;
        view.acts.push(Act::GoTo(to));
    }
}

impl PaperKey {
    fn of(view: &View<'_>, sheet: &Sheet, pixels_per_point: f32) -> Self {
        Self {
            geom: sheet.geom.clone(),
            rect: sheet.rect,
            mm_pt: sheet.mm_pt,
            pixels_per_point,
            dark: view.look.dark,
            baselines_mm: sheet.baselines_mm.clone(),
            selection: SelectionKey::of(view.selection).span(),
        }
    }
}
