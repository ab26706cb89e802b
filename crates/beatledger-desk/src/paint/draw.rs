//! Small drawing tools that the views share: pixels kept in a texture, keys of what was drawn, night, marks.

use std::ops::Range;
use std::sync::Arc;

use beatledger_core::model::{Beat, LocalTime, Recording, Span};
use beatledger_core::session::Snapshot;
use egui::{Color32, ColorImage, Painter, Rect, Response, TextureHandle, TextureOptions, pos2};

use crate::app::selection::Selection;
use crate::paint::theme::Look;

/// An opaque picture in physical pixels. Everything outside it is cut off, nothing panics.
pub struct Canvas {
    width: usize,
    height: usize,
    pixels: Vec<Color32>,
}

impl Canvas {
    /// A picture of one colour.
    pub fn new(width: usize, height: usize, fill: Color32) -> Self {
        Self { width, height, pixels: vec![fill; width * height] }
    }

    /// Width in pixels.
    pub fn width(&self) -> usize {
        self.width
    }

    /// Height in pixels.
    pub fn height(&self) -> usize {
        self.height
    }

    /// Paints a box of whole pixels.
    pub fn fill(&mut self, x: Range<i64>, y: Range<i64>, color: Color32) {
        let (x, y) = (self.cut(x, self.width), self.cut(y, self.height));
        for row in y {
            self.pixels[row * self.width + x.start..row * self.width + x.end].fill(color);
        }
    }

    /// Mixes `color` into one pixel; `cover` 0 leaves it, 1 replaces it.
    pub fn blend(&mut self, x: i64, y: i64, color: Color32, cover: f32) {
        if x < 0 || y < 0 || x >= self.width as i64 || y >= self.height as i64 {
            return;
        }
        // The test above keeps the index inside the picture.
        let pixel = &mut self.pixels[y as usize * self.width + x as usize];
        let share = (cover.clamp(0.0, 1.0) * 256.0) as u32;
        let mix = |a: u8, b: u8| ((u32::from(a) * (256 - share) + u32::from(b) * share) >> 8) as u8;
        *pixel = Color32::from_rgb(
            mix(pixel.r(), color.r()),
            mix(pixel.g(), color.g()),
            mix(pixel.b(), color.b()),
        );
    }

    /// A vertical stroke in column `x` from `top` to `bottom` (pixels, fractions soften the ends); `share`
    /// below 1 lets what is below shine through.
    pub fn stroke(&mut self, x: i64, top: f32, bottom: f32, color: Color32, share: f32) {
        let Some(column) = usize::try_from(x).ok().filter(|x| *x < self.width) else { return };
        if !(top.is_finite() && bottom.is_finite()) {
            return;
        }
        let top = top.clamp(0.0, self.height as f32);
        let bottom = bottom.clamp(0.0, self.height as f32);
        let solid = Color32::from_rgb(color.r(), color.g(), color.b());
        for y in top.floor() as usize..bottom.ceil() as usize {
            let cover = share * (bottom.min(y as f32 + 1.0) - top.max(y as f32)).max(0.0);
            if cover < 1.0 {
                self.blend(x, y as i64, color, cover);
            } else if let Some(pixel) = self.pixels.get_mut(y * self.width + column) {
                *pixel = solid;
            }
        }
    }

    /// Diagonal lines `period` pixels apart and `width` pixels wide.
    pub fn hatch(&mut self, x: Range<i64>, y: Range<i64>, color: Color32, period: i64, width: i64) {
        let (x, y) = (self.cut(x, self.width), self.cut(y, self.height));
        let period = period.max(2);
        for row in y {
            for column in x.clone() {
                if (column + row) as i64 % period < width {
                    self.pixels[row * self.width + column] = color;
                }
            }
        }
    }

    fn cut(&self, range: Range<i64>, limit: usize) -> Range<usize> {
        let start = range.start.clamp(0, limit as i64) as usize;
        start..(range.end.clamp(0, limit as i64) as usize).max(start)
    }

    fn image(self) -> ColorImage {
        ColorImage::new([self.width, self.height], self.pixels)
    }
}

/// A picture that is painted again only when its key or its size changes, and kept in a texture.
pub struct Plate<K> {
    key: Option<(K, [usize; 2])>,
    texture: Option<TextureHandle>,
}

impl<K> Default for Plate<K> {
    fn default() -> Self {
        Self { key: None, texture: None }
    }
}

impl<K: PartialEq> Plate<K> {
    /// Shows the picture in `rect` (already on whole pixels, see [`snapped`]), painting it first if needed.
    pub fn show(
        &mut self,
        painter: &Painter,
        rect: Rect,
        key: K,
        fill: Color32,
        paint: impl FnOnce(&mut Canvas),
    ) {
        // Larger than the graphics hardware takes: a coarser picture, stretched.
        let most = painter.ctx().input(|i| i.max_texture_side) as f32;
        let size = (rect.size() * painter.pixels_per_point()).round();
        let size = size.clamp(egui::Vec2::ZERO, egui::Vec2::splat(most));
        let size = [size.x as usize, size.y as usize];
        if size.contains(&0) {
            return;
        }
        if self.key.as_ref().is_none_or(|(k, s)| *k != key || *s != size) {
            let mut canvas = Canvas::new(size[0], size[1], fill);
            paint(&mut canvas);
            match &mut self.texture {
                Some(texture) => texture.set(canvas.image(), TextureOptions::NEAREST),
                None => {
                    let texture =
                        painter.ctx().load_texture("plate", canvas.image(), TextureOptions::NEAREST);
                    self.texture = Some(texture);
                }
            }
            self.key = Some((key, size));
        }
        if let Some(texture) = &self.texture {
            let all = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
            painter.image(texture.id(), rect, all, Color32::WHITE);
        }
    }
}

/// Text size in force against the usual one; rooms for text grow with it.
pub fn text_scale(ctx: &egui::Context) -> f32 {
    let small =
        ctx.global_style().text_styles.get(&egui::TextStyle::Small).map_or(USUAL_SMALL_PT, |f| f.size);
    (small / USUAL_SMALL_PT).clamp(0.5, 4.0)
}

/// Size of small text at 100 %, points.
const USUAL_SMALL_PT: f32 = 11.5;

/// The text font at `points` times the text size in force.
pub fn font(painter: &Painter, points: f32) -> egui::FontId {
    egui::FontId::proportional(points * text_scale(painter.ctx()))
}

/// The line of words above a view: beside its switches where both fit, below them where they do not.
pub struct Headline {
    galley: Arc<egui::Galley>,
    row_pt: f32,
    beside: bool,
}

impl Headline {
    /// Lays `words` out for a view `width` points wide with switches that take `tools_pt` at 100 % text size.
    pub fn new(painter: &Painter, look: &Look, words: &str, width: f32, tools_pt: f32) -> Self {
        let scale = text_scale(painter.ctx());
        let lay = |wrap: f32| painter.layout(words.to_owned(), font(painter, 11.0), look.faint, wrap);
        let line = lay(f32::INFINITY);
        let beside = line.size().x + tools_pt * scale + 16.0 <= width;
        let galley = if beside { line } else { lay((width - 12.0).max(40.0)) };
        Self { galley, row_pt: HEAD_PT * scale, beside }
    }

    /// Height that words and switches take, points.
    pub fn height_pt(&self) -> f32 {
        if self.beside { self.row_pt } else { self.row_pt + self.galley.size().y + 4.0 }
    }

    /// Draws the words at the top left of `rect`.
    pub fn draw(&self, painter: &Painter, look: &Look, rect: Rect) {
        let down = if self.beside { (self.row_pt - self.galley.size().y) * 0.5 } else { self.row_pt };
        painter.galley(rect.min + egui::vec2(6.0, down), self.galley.clone(), look.faint);
    }
}

/// Height of a row of words or switches above a view at 100 % text size, points.
pub const HEAD_PT: f32 = 22.0;

/// `rect` moved to whole physical pixels, so that a picture in it stays sharp.
pub fn snapped(rect: Rect, pixels_per_point: f32) -> Rect {
    let snap = |x: f32| (x * pixels_per_point).round() / pixels_per_point;
    Rect::from_min_max(pos2(snap(rect.min.x), snap(rect.min.y)), pos2(snap(rect.max.x), snap(rect.max.y)))
}

/// Tells whether two frames look at the same day. It keeps what it compares alive, so that an address is
/// never taken for another day's.
#[derive(Clone)]
pub struct DayKey {
    recording: Arc<Recording>,
    beats: Arc<Vec<Beat>>,
    inverted: Vec<bool>,
    filters_hz: [f64; 3],
}

impl DayKey {
    /// The key of a snapshot.
    pub fn of(snapshot: &Snapshot) -> Self {
        let s = &snapshot.settings;
        Self {
            recording: snapshot.recording.clone(),
            beats: snapshot.beats.clone(),
            inverted: snapshot.inverted.clone(),
            filters_hz: [s.highpass_hz, s.lowpass_hz, s.mains_hz],
        }
    }

    /// True when the tracing as drawn is the same, whatever the labels are.
    pub fn same_tracing(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.recording, &other.recording)
            && self.inverted == other.inverted
            && self.filters_hz == other.filters_hz
    }
}

impl PartialEq for DayKey {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.beats, &other.beats) && self.same_tracing(other)
    }
}

/// Tells whether two frames have the same selection.
#[derive(Clone)]
pub struct SelectionKey {
    beats: Arc<Vec<i64>>,
    span: Option<Span>,
}

impl SelectionKey {
    /// The key of a selection.
    pub fn of(selection: &Selection) -> Self {
        Self { beats: selection.beats.clone(), span: selection.span.or(selection.event.map(|(_, s)| s)) }
    }

    /// The selected span, or that of the selected event.
    pub fn span(&self) -> Option<Span> {
        self.span
    }
}

impl PartialEq for SelectionKey {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.beats, &other.beats) && self.span == other.span
    }
}

/// Night hours of the recording by the settings in force; none when the start is unknown.
pub fn nights(snapshot: &Snapshot) -> Vec<Span> {
    let recording = &snapshot.recording;
    let Some(start) = recording.start else { return Vec::new() };
    let (from_h, to_h) = (snapshot.settings.night_from_h, snapshot.settings.night_to_h);
    let length_h = if to_h > from_h { to_h - from_h } else { 24.0 - from_h + to_h };
    let sample_at =
        |ms_from_midnight: f64| recording.rate.samples_from_ms(ms_from_midnight - start.ms_of_day() as f64);
    let days = (recording.hours() / 24.0).ceil() as i64 + 1;
    (-1..=days)
        .map(|day| {
            let from_ms = day as f64 * LocalTime::DAY_MS as f64 + from_h * 3_600_000.0;
            Span::new(sample_at(from_ms), sample_at(from_ms + length_h * 3_600_000.0))
        })
        .map(|night| night.overlap(recording.whole()))
        .filter(|night| !night.is_empty())
        .collect()
}

/// Remembers where the keyboard goes for the part of the window with this name, until the next frame.
pub fn mark_part(response: &Response, name: &'static str) {
    response.ctx.data_mut(|d| d.insert_temp(part_key(name), response.id));
}

/// Gives the keyboard to a part that was drawn; false when it was not.
pub fn focus_part(ctx: &egui::Context, name: &'static str) -> bool {
    let id = ctx.data(|d| d.get_temp::<egui::Id>(part_key(name)));
    id.is_some_and(|id| {
        ctx.memory_mut(|m| m.request_focus(id));
        true
    })
}

/// The part that has the keyboard, of these.
pub fn focused_part(ctx: &egui::Context, names: &[&'static str]) -> Option<usize> {
    let focused = ctx.memory(|m| m.focused())?;
    names.iter().position(|name| ctx.data(|d| d.get_temp::<egui::Id>(part_key(name))) == Some(focused))
}

fn part_key(name: &str) -> egui::Id {
    egui::Id::unique(("part of the window", name))
}

/// Draws the focus ring of a view that has the keyboard.
pub fn focus_ring(painter: &Painter, response: &Response, look: &Look) {
    if response.has_focus() {
        let stroke = egui::Stroke::new(2.0, look.edge);
        painter.rect_stroke(response.rect, 2.0, stroke, egui::StrokeKind::Inside);
    }
}

/// Name of a lead as it is drawn, with `(inverted)` where it is.
pub fn lead_words(snapshot: &Snapshot, lead: usize) -> String {
    let name = snapshot.recording.leads.get(lead).map_or("no lead", |l| l.name.as_str());
    let inverted = snapshot.inverted.get(lead).copied().unwrap_or(false);
    if inverted { format!("{name} (inverted)") } else { name.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stroke_covers_parts_of_pixels_and_never_leaves_the_picture() {
        let mut canvas = Canvas::new(2, 4, Color32::WHITE);
        canvas.stroke(0, 1.5, 2.5, Color32::BLACK, 1.0);
        canvas.stroke(7, -9.0, 99.0, Color32::BLACK, 1.0);
        canvas.stroke(1, f32::NAN, 2.0, Color32::BLACK, 1.0);
        let grey: Vec<u8> = canvas.pixels.iter().map(|p| p.r()).collect();
        assert_eq!(grey, [255, 255, 127, 255, 127, 255, 255, 255]);
    }
}
