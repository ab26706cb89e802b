//! The day band: the whole day across the window. One look says where to go.
//!
//! On top the rate trend as a density of beats (how many beats of each rate fall into each column of time),
//! below it lanes in words: S, V, AF, pauses and block, unreadable time, diary, what has been read.

mod input;
mod picture;
mod plot;
#[cfg(test)]
mod tests;

use beatledger_core::model::{BeatClass, Span};
use beatledger_core::session::Snapshot;
use beatledger_report::values::day_clock;
use egui::{Align2, Painter, Pos2, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

use crate::app::lookup::nights;
use crate::paint::canvas::{KeptPicture, snapped};
use crate::paint::focus::{focus_ring, mark_part};
use crate::paint::headline::{font, text_scale};
use crate::paint::picture_keys::{DayKey, SelectionKey};
use crate::paint::theme::Theme;
use crate::shell::view_context::ViewContext;
use picture::{BandKey, LANES, Trend};
use plot::BandPlot;

/// Height of the rate density at 100 % text size, points.
const RATE_PT: f32 = 54.0;
/// Least height of the rate density against the text size: three names stand beside it, points.
const RATE_NAMES_PT: f32 = 34.0;
/// Height of one lane, points.
const LANE_PT: f32 = 11.0;
/// Height of the hour axis, points.
const AXIS_PT: f32 = 15.0;
/// Room for the names of the lanes, points.
const NAMES_PT: f32 = 74.0;

/// What the day band keeps between frames: pictures and options, no facts.
#[derive(Default)]
pub struct BandState {
    /// What the day strip shows; drawn as a frame.
    pub frame: Option<Span>,
    kept: KeptPicture<BandKey>,
    trend: Option<(DayKey, Trend)>,
    ticks: Option<(SelectionKey, Vec<bool>)>,
}

/// Height that the day band takes, points; it grows with the text.
pub fn height_pt(ctx: &egui::Context) -> f32 {
    let scale = text_scale(ctx);
    rate_pt(scale) + (LANE_PT * LANES.len() as f32 + AXIS_PT) * scale + 4.0
}

fn rate_pt(scale: f32) -> f32 {
    RATE_PT.max(RATE_NAMES_PT * scale)
}

/// Draws the day band over the available width.
pub fn day_band(ui: &mut Ui, view: &mut ViewContext<'_>, state: &mut BandState) {
    let scale = text_scale(ui.ctx());
    let size = vec2(ui.available_width().max(NAMES_PT * scale + 40.0), height_pt(ui.ctx()));
    let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
    let painter = ui.painter_at(rect);
    let top_left = rect.min + vec2(NAMES_PT * scale, 2.0);
    let plot = Rect::from_min_max(top_left, pos2(rect.right() - 8.0, rect.bottom() - AXIS_PT * scale - 2.0));
    let plot = snapped(plot, ui.pixels_per_point());
    let day = BandPlot { samples: view.snapshot.recording.samples.max(1), plot };
    painter.rect_filled(rect, 0.0, view.theme.panel);
    let trend = trend(view.snapshot, &mut state.trend);
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, in_words(view, trend)));
    let key = BandKey::of(view, trend.range_bpm, scale);
    state.kept.show(&painter, plot, key, view.theme.paper, |canvas| {
        let px = canvas.height() as f32 / plot.height().max(1.0);
        picture::paint(canvas, view.snapshot, view.theme, trend, px, (rate_pt(scale), LANE_PT * scale));
    });
    names(&painter, plot, trend.range_bpm, view.theme);
    hours(&painter, &day, view);
    selection_ticks(&painter, &day, view, &mut state.ticks);
    frame_and_place(&painter, &day, view, state.frame);
    focus_ring(&painter, &response, view.theme);
    mark_part(&response, "day band");
    input::pointer(&response, &day, view);
    input::keys(ui, &response, view);
}

fn trend<'a>(snapshot: &Snapshot, kept: &'a mut Option<(DayKey, Trend)>) -> &'a Trend {
    let key = DayKey::of(snapshot);
    if kept.as_ref().is_none_or(|(k, _)| *k != key) {
        *kept = None;
    }
    &kept.get_or_insert_with(|| (key, Trend::of(snapshot))).1
}

fn in_words(view: &ViewContext<'_>, trend: &Trend) -> String {
    let s = view.snapshot;
    let count = |class: BeatClass| trend.counts[class.index()];
    format!(
        "Day band, {:.1} hours from {}, {} beats, {} V, {} S, place {}",
        s.recording.hours(),
        day_clock(&s.recording, 0),
        s.beats.len(),
        count(BeatClass::V),
        count(BeatClass::S),
        day_clock(&s.recording, view.place),
    )
}

fn names(painter: &Painter, plot: Rect, range_bpm: (f32, f32), theme: &Theme) {
    let right = plot.left() - 6.0;
    let scale = text_scale(painter.ctx());
    let (rate, lane) = (rate_pt(scale), LANE_PT * scale);
    let small = font(painter, 9.5);
    let text = |y: f32, align: Align2, words: &str| {
        painter.text(pos2(right, y), align, words, small.clone(), theme.faint);
    };
    text(plot.top() + 1.0, Align2::RIGHT_TOP, &format!("{:.0} bpm", range_bpm.1));
    text(plot.top() + rate * 0.5, Align2::RIGHT_CENTER, "Rate");
    text(plot.top() + rate - 1.0, Align2::RIGHT_BOTTOM, &format!("{:.0}", range_bpm.0));
    for (i, name) in LANES.iter().enumerate() {
        text(plot.top() + rate + lane * (i as f32 + 0.5), Align2::RIGHT_CENTER, name);
    }
}

fn hours(painter: &Painter, day: &BandPlot, view: &ViewContext<'_>) {
    let recording = &view.snapshot.recording;
    let hours = recording.hours().max(1e-6);
    let hour_pt = day.plot.width() / hours as f32;
    let step_h = [1, 2, 3, 6, 12]
        .into_iter()
        .find(|s| *s as f32 * hour_pt >= 40.0 * text_scale(painter.ctx()))
        .unwrap_or(24);
    let first_ms = recording.start.map_or(0, |s| s.ms_of_day());
    let clock_font = font(painter, 10.0);
    for hour in first_ms.div_euclid(3_600_000)..=(first_ms / 3_600_000 + hours as i64 + 1) {
        let sample = recording.rate.samples_from_ms((hour * 3_600_000 - first_ms) as f64);
        if !recording.whole().contains(sample) {
            continue;
        }
        let x = painter.round_to_pixel_center(day.x_from_sample(sample));
        let long = hour.rem_euclid(step_h) == 0;
        let length = if long { 4.0 } else { 2.0 };
        painter.vline(x, day.plot.bottom()..=day.plot.bottom() + length, Stroke::new(1.0, view.theme.faint));
        if long {
            let clock = recording.clock(sample);
            // Over several days midnight carries the new date, month and day.
            let date = (hour.rem_euclid(24) == 0).then(|| day_clock(recording, sample));
            let date = date.as_deref().and_then(|words| words.split_once(' ')?.0.get(5..));
            let words = date.or(clock.get(..clock.len().saturating_sub(3))).unwrap_or(&clock);
            let x = x.clamp(day.plot.left() + 14.0, day.plot.right() - 14.0);
            painter.text(
                pos2(x, day.plot.bottom() + 3.0),
                Align2::CENTER_TOP,
                words,
                clock_font.clone(),
                view.theme.faint,
            );
        }
    }
    for night in nights(view.snapshot) {
        let (from, to) = (day.x_from_sample(night.start), day.x_from_sample(night.end));
        if to - from > 40.0 {
            let at = pos2(from + 4.0, day.plot.top() + 1.0);
            painter.text(at, Align2::LEFT_TOP, "night", font(painter, 9.5), view.theme.faint);
        }
    }
}

fn selection_ticks(
    painter: &Painter,
    day: &BandPlot,
    view: &ViewContext<'_>,
    kept: &mut Option<(SelectionKey, Vec<bool>)>,
) {
    let key = SelectionKey::of(view.selection);
    let columns = (day.plot.width() / 2.0).max(1.0) as usize;
    if kept.as_ref().is_none_or(|(k, ticks)| *k != key || ticks.len() != columns) {
        let mut ticks = vec![false; columns];
        for sample in key_beats(view) {
            let at = (*sample as f64 / day.samples as f64 * columns as f64) as usize;
            ticks[at.min(columns - 1)] = true;
        }
        *kept = Some((key, ticks));
    }
    let mut mesh = egui::Mesh::default();
    let bottom = day.plot.top() + rate_pt(text_scale(painter.ctx()));
    let top = bottom - 5.0;
    if let Some((_, ticks)) = kept {
        for (i, _) in ticks.iter().enumerate().filter(|(_, t)| **t) {
            let x = day.plot.left() + i as f32 * 2.0;
            mesh.add_colored_rect(Rect::from_min_max(pos2(x, top), pos2(x + 2.0, bottom)), view.theme.edge);
        }
    }
    if let Some(span) = SelectionKey::of(view.selection).span() {
        let (from, to) = (day.x_from_sample(span.start), day.x_from_sample(span.end));
        let bar = Rect::from_min_max(pos2(from, bottom - 2.0), pos2(to.max(from + 2.0), bottom));
        mesh.add_colored_rect(bar, view.theme.edge);
    }
    painter.add(mesh);
}

fn key_beats<'a>(view: &'a ViewContext<'_>) -> &'a [i64] {
    let whole = view.snapshot.recording.whole();
    view.selection.within(whole)
}

fn frame_and_place(painter: &Painter, day: &BandPlot, view: &ViewContext<'_>, frame: Option<Span>) {
    if let Some(shown) = frame.map(|f| f.overlap(view.snapshot.recording.whole())) {
        let (from, to) = (day.x_from_sample(shown.start), day.x_from_sample(shown.end));
        let x = from..=to.max(from + 3.0);
        let rect = Rect::from_x_y_ranges(x, day.plot.y_range()).expand2(vec2(1.0, 1.0));
        painter.rect_stroke(rect, 2.0, Stroke::new(1.5, view.theme.edge), egui::StrokeKind::Outside);
    }
    let x = painter.round_to_pixel_center(day.x_from_sample(view.place));
    painter.vline(x, day.plot.y_range(), Stroke::new(1.0, view.theme.ink));
    let tip: [Pos2; 3] = [
        pos2(x - 4.0, day.plot.top() - 2.0),
        pos2(x + 4.0, day.plot.top() - 2.0),
        pos2(x, day.plot.top() + 4.0),
    ];
    painter.add(egui::Shape::convex_polygon(tip.to_vec(), view.theme.ink, Stroke::NONE));
}
