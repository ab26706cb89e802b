//! The day strip: the full day of tracing in rows, read line by line, with the clock in the margin.

mod hands;
mod over;
mod paint;
mod rows;
#[cfg(test)]
mod tests;

use std::collections::BTreeMap;
use std::sync::Arc;

use beatledger_core::model::Span;
use beatledger_core::session::Snapshot;
use beatledger_report::strip::filters_text;
use egui::{Align2, Rect, Role, Sense, Ui, WidgetInfo, pos2, vec2};

use crate::app::act::Act;
use crate::commands::table::Command;
use crate::paint::draw::{
    DayKey, HEAD_PT, Headline, Plate, focus_ring, font, lead_words, snapped, text_scale,
};
use crate::shell::view_context::View;
use crate::tracing::pyramid::{Column, Pyramid, direct_columns};
use paint::PictureKey;
use rows::Rows;

/// Row lengths, s, and the height of such a row at 100 % text size, points.
const ROW_LENGTHS: [(f64, f32); 7] =
    [(10.0, 104.0), (20.0, 84.0), (30.0, 70.0), (60.0, 54.0), (120.0, 44.0), (300.0, 36.0), (600.0, 30.0)];
/// Room left of the rows for the clock and the change marks, points.
const MARGIN_PT: f32 = 64.0;
/// Room right of the rows for the line that shows what has been read, points.
const RIGHT_PT: f32 = 8.0;
/// Room of the switches at the right of that line, points.
const TOOLS_PT: f32 = 400.0;
/// Rows whose columns are kept; beyond that the oldest pages are read again.
const KEPT_ROWS: usize = 400;

/// What the day strip keeps between frames: the page, options and pictures, no facts.
pub struct StripState {
    /// What the lens shows; drawn as a bracket below the tracing.
    pub lens: Option<Span>,
    length: usize,
    lead: usize,
    gain: f32,
    top_row: i64,
    last: Option<(i64, usize)>,
    shown: Option<Span>,
    scroll_pt: f32,
    head_pt: f32,
    zoom: f32,
    drag: Option<(i64, i64)>,
    pyramid: Option<Arc<Pyramid>>,
    columns: Columns,
    plate: Plate<PictureKey>,
}

impl Default for StripState {
    fn default() -> Self {
        Self {
            lens: None,
            length: 3,
            lead: 0,
            gain: 1.0,
            top_row: 0,
            last: None,
            shown: None,
            scroll_pt: 0.0,
            head_pt: HEAD_PT,
            zoom: 1.0,
            drag: None,
            pyramid: None,
            columns: Columns::default(),
            plate: Plate::default(),
        }
    }
}

impl StripState {
    /// Hands in the pyramid of the recording on show. Until then the rows are read directly.
    pub fn set_pyramid(&mut self, pyramid: Arc<Pyramid>) {
        self.pyramid = Some(pyramid);
        self.columns = Columns::default();
    }

    /// Forgets the pyramid: another recording or other filters are on show.
    pub fn clear_pyramid(&mut self) {
        self.pyramid = None;
        self.columns = Columns::default();
    }

    /// Length of a row, s.
    pub fn row_seconds(&self) -> f64 {
        ROW_LENGTHS[self.length].0
    }

    /// Chooses the nearest row length from 10 s to 10 min.
    pub fn set_row_seconds(&mut self, seconds: f64) {
        let far = |(length, _): &(f64, f32)| (length / seconds.max(1e-3)).ln().abs();
        let nearest =
            (0..ROW_LENGTHS.len()).min_by(|a, b| far(&ROW_LENGTHS[*a]).total_cmp(&far(&ROW_LENGTHS[*b])));
        self.length = nearest.unwrap_or(self.length);
    }

    /// Shorter rows: closer.
    pub fn zoom_in(&mut self) {
        self.length = self.length.saturating_sub(1);
    }

    /// Longer rows: wider.
    pub fn zoom_out(&mut self) {
        self.length = (self.length + 1).min(ROW_LENGTHS.len() - 1);
    }

    /// Index of the lead shown.
    pub fn lead(&self) -> usize {
        self.lead
    }

    /// Shows a lead.
    pub fn set_lead(&mut self, lead: usize) {
        self.lead = lead;
    }

    /// Shows the next of `leads` leads, round and round.
    pub fn next_lead(&mut self, leads: usize) {
        self.lead = (self.lead + 1) % leads.max(1);
    }

    /// Makes the tracing taller (`by` 2) or lower (`by` 0.5), between a quarter and four times.
    pub fn scale_gain(&mut self, by: f32) {
        self.gain = (self.gain * by).clamp(0.25, 4.0);
    }

    /// Height of the tracing against the usual one.
    pub fn gain(&self) -> f32 {
        self.gain
    }

    /// The stretch of the day that the last frame showed.
    pub fn visible_span(&self) -> Option<Span> {
        self.shown
    }
}

/// Columns of the rows on show and around, so that a page is read once.
#[derive(Default)]
struct Columns {
    key: Option<(DayKey, usize, usize, usize)>,
    rows: BTreeMap<i64, Arc<Vec<Column>>>,
}

impl Columns {
    fn row(
        &mut self,
        view: &View<'_>,
        pyramid: Option<&Pyramid>,
        lead: usize,
        rows: &Rows,
        row: i64,
        width: usize,
    ) -> Arc<Vec<Column>> {
        let day = DayKey::of(view.snapshot);
        let fits = self.key.as_ref().is_some_and(|(d, l, w, length)| {
            d.same_tracing(&day) && (*l, *w, *length) == (lead, width, rows.length_ms as usize)
        });
        if !fits || self.rows.len() > KEPT_ROWS {
            self.rows.clear();
            self.key = Some((day, lead, width, rows.length_ms as usize));
        }
        let read = || {
            let span = rows.span(row);
            let s = view.snapshot;
            let quick = pyramid.and_then(|p| p.columns(lead, span, width));
            let mut columns =
                quick.unwrap_or_else(|| direct_columns(&s.recording, &s.settings, lead, span, width));
            if s.inverted.get(lead).copied().unwrap_or(false) {
                columns.iter_mut().for_each(|c| *c = (-c.1, -c.0));
            }
            Arc::new(columns)
        };
        self.rows.entry(row).or_insert_with(read).clone()
    }
}

/// The rows of one frame on the screen.
struct Page {
    rows: Rows,
    /// Where the tracing is, points.
    rect: Rect,
    top_row: i64,
    count: i64,
    lead: usize,
    /// Points of height for 1 mV.
    mv_pt: f32,
    /// Where 0 mV lies in a row, from its top.
    zero_share: f32,
}

impl Page {
    fn row_height(&self) -> f32 {
        self.rect.height() / self.count as f32
    }

    fn row_rect(&self, row: i64) -> Rect {
        let top = self.rect.top() + (row - self.top_row) as f32 * self.row_height();
        Rect::from_min_size(pos2(self.rect.left(), top), vec2(self.rect.width(), self.row_height()))
    }

    fn visible(&self) -> std::ops::Range<i64> {
        self.top_row..self.top_row + self.count
    }

    fn span(&self) -> Span {
        Span::new(self.rows.span(self.top_row).start, self.rows.span(self.top_row + self.count - 1).end)
    }

    fn x_from_sample(&self, row: i64, sample: i64) -> f32 {
        let span = self.rows.span(row);
        let share = (sample - span.start) as f64 / span.len().max(1) as f64;
        self.rect.left() + share.clamp(0.0, 1.0) as f32 * self.rect.width()
    }

    fn sample_from_pos(&self, pos: egui::Pos2) -> i64 {
        let row = ((pos.y - self.rect.top()) / self.row_height()).floor() as i64;
        let span = self.rows.span(self.top_row + row.clamp(0, self.count - 1));
        let share = ((pos.x - self.rect.left()) / self.rect.width().max(1.0)).clamp(0.0, 1.0);
        span.start + (f64::from(share) * span.len() as f64) as i64
    }
}

/// Draws the day strip in the available space.
pub fn day_strip(ui: &mut Ui, view: &mut View<'_>, state: &mut StripState) {
    let size = ui.available_size().max(vec2(MARGIN_PT + 60.0, HEAD_PT + 40.0));
    let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, 0.0, view.look.panel);
    if view.snapshot.recording.samples <= 0 || view.snapshot.recording.leads.is_empty() {
        response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, "Day strip, empty"));
        let words = "The day of tracing is shown here in rows. Open a recording to see it.";
        painter.text(rect.center(), Align2::CENTER_CENTER, words, font(&painter, 14.0), view.look.faint);
        return;
    }
    let scale = text_scale(ui.ctx());
    state.lead = state.lead.min(view.snapshot.recording.leads.len() - 1);
    let page = state.page(view, rect, ui.pixels_per_point(), scale);
    state.shown = Some(page.span().overlap(view.snapshot.recording.whole()));
    let key = PictureKey::of(view, &page, state.pyramid.is_some());
    let (columns, pyramid) = (&mut state.columns, state.pyramid.as_deref());
    state.plate.show(&painter, page.rect, key, view.look.paper, |canvas| {
        paint::paint(canvas, view, &page, |row, width| {
            columns.row(view, pyramid, page.lead, &page.rows, row, width)
        });
    });
    let head = head_words(view, state, &page);
    let line = Headline::new(&painter, view.look, &head, rect.width(), TOOLS_PT);
    line.draw(&painter, view.look, rect);
    if (line.height_pt() - state.head_pt).abs() > 0.5 {
        // The rows make room in the next frame.
        state.head_pt = line.height_pt();
        ui.ctx().request_repaint();
    }
    over::margin(ui, &painter, view, &page);
    over::marks(&painter, view, &page, state.lens);
    over::drag_wash(&painter, view, &page, state.drag);
    over::place(&painter, view, &page);
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, format!("Day strip, {head}")));
    focus_ring(&painter, &response, view.look);
    crate::paint::draw::mark_part(&response, "day strip");
    tools(ui, view, rect);
    hands::pointer(ui, &response, view, state, &page);
    hands::wheel(ui, &response, view, state, &page);
    hands::keys(ui, &response, view, state, &page);
}

impl StripState {
    /// Lays the page out so that the place in the day is on it; it moves only when the place left it.
    fn page(&mut self, view: &View<'_>, rect: Rect, pixels_per_point: f32, scale: f32) -> Page {
        let (length_s, wanted_pt) = ROW_LENGTHS[self.length];
        let rows = Rows::new(&view.snapshot.recording, length_s);
        let body = Rect::from_min_max(
            rect.min + vec2(MARGIN_PT * scale, self.head_pt),
            rect.max - vec2(RIGHT_PT, 2.0),
        );
        let count = (body.height() / (wanted_pt * scale.max(1.0).sqrt())).floor().max(1.0) as i64;
        let place_row = rows.row_of(view.place);
        let last_row = rows.row_of(view.snapshot.recording.samples - 1);
        match self.last {
            Some((_, length)) if length != self.length => {
                // After a zoom the place stays at about the same height of the page.
                self.top_row = place_row - count / 3;
            }
            Some((place, _)) if place == view.place => {}
            _ if (self.top_row..self.top_row + count).contains(&place_row) => {}
            _ => self.top_row = place_row - count / 3,
        }
        self.top_row = self.top_row.min(last_row + 1 - count).max(0);
        self.last = Some((view.place, self.length));
        let rect = snapped(body, pixels_per_point);
        let mv_pt = rect.height() / count as f32 * 0.3 * self.gain;
        let zero_share = zero_share(view.snapshot, self.lead);
        Page { rows, rect, top_row: self.top_row, count, lead: self.lead, mv_pt, zero_share }
    }
}

/// Where 0 mV lies in a row: lower where the usual beat points up, higher where it points down.
fn zero_share(snapshot: &Snapshot, lead: usize) -> f32 {
    let largest = snapshot.found.groups.iter().max_by_key(|g| g.count);
    let Some(mean_mv) = largest.and_then(|g| g.mean_mv.get(lead)) else { return 0.62 };
    let values = mean_mv.iter().filter(|v| v.is_finite());
    let (low, high) = values.fold((-0.05f32, 0.05f32), |(l, h), v| (l.min(*v), h.max(*v)));
    let inverted = snapshot.inverted.get(lead).copied().unwrap_or(false);
    let up = if inverted { -low } else { high };
    0.3 + 0.42 * up / (high - low)
}

/// Switches at the right of the line of words; each is a command that has a key as well.
fn tools(ui: &mut Ui, view: &mut View<'_>, rect: Rect) {
    let scale = text_scale(ui.ctx());
    let leads = view.snapshot.recording.leads.len();
    let mut right = rect.right() - RIGHT_PT * scale;
    for (width, words, command) in [
        (90.0, "Longer rows", Command::LongerRows),
        (92.0, "Shorter rows", Command::ShorterRows),
        (56.0, "Lower", Command::LowerTracing),
        (56.0, "Taller", Command::TallerTracing),
        (78.0, "Next lead", Command::NextLead),
    ] {
        if command == Command::NextLead && leads < 2 {
            continue;
        }
        let max = pos2(right, rect.top() + HEAD_PT * scale - 1.0);
        let place = Rect::from_min_max(pos2(right - width * scale, rect.top() + 1.0), max);
        right = place.left() - 3.0;
        let text = egui::RichText::new(words).small();
        let button = egui::Button::new(text).frame_when_inactive(false).wrap_mode(egui::TextWrapMode::Extend);
        if ui.put(place, button).on_hover_text(command.tip()).clicked() {
            view.acts.push(Act::Run(command));
        }
    }
}

fn head_words(view: &View<'_>, state: &StripState, page: &Page) -> String {
    let length_s = state.row_seconds();
    let length =
        if length_s < 60.0 { format!("{length_s:.0} s") } else { format!("{:.0} min", length_s / 60.0) };
    let shown = page.span().overlap(view.snapshot.recording.whole());
    let recording = &view.snapshot.recording;
    let mut words = format!(
        "{} · rows of {length} · {} to {} · 1 mV = {:.0} points · {}",
        lead_words(view.snapshot, page.lead),
        recording.clock(shown.start),
        recording.clock((shown.end - 1).max(shown.start)),
        page.mv_pt,
        filters_text(&view.snapshot.settings),
    );
    if state.pyramid.is_none() {
        words += " · preparing the whole day; the rows shown are read directly";
    }
    words
}
