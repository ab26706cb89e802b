//! Rows of the lists: one or two lines of text that can be chosen, with a name for a screen reader.

use egui::text::{LayoutJob, TextFormat, TextWrapping};
use egui::{
    Align2, Color32, FontId, Rect, Response, Role, Sense, Stroke, StrokeKind, TextStyle, Ui, WidgetInfo,
};

use crate::paint::theme::Theme;

/// Room left and right of the text, points.
const PAD: f32 = 6.0;

/// What a row says.
pub struct TextRow<'a> {
    /// First line.
    pub first: &'a str,
    /// Second, smaller line; empty for a row of one line.
    pub second: &'a str,
    /// At the right end of the first line.
    pub right: &'a str,
    /// True for the row that is selected.
    pub chosen: bool,
    /// Struck through and faint: for an event that counts in no figure.
    pub struck: bool,
    /// First line in bold.
    pub bold: bool,
}

/// Height of a row of two lines.
pub fn two_lines(ui: &Ui) -> f32 {
    ui.text_style_height(&TextStyle::Body) + ui.text_style_height(&TextStyle::Small) + 5.0
}

/// Height of a row of one line.
pub fn one_line(ui: &Ui) -> f32 {
    ui.text_style_height(&TextStyle::Body) + 3.0
}

/// Draws a row of `width`; it is clicked or pressed like a button.
pub fn row(ui: &mut Ui, theme: &Theme, width: f32, row: &TextRow<'_>) -> Response {
    let height = if row.second.is_empty() { one_line(ui) } else { two_lines(ui) };
    let (rect, response) = ui.allocate_exact_size(egui::vec2(width, height), Sense::click());
    response.widget_info(|| {
        let parts = [row.first, row.second, row.right].into_iter().filter(|t| !t.is_empty());
        WidgetInfo::selected(Role::Button, true, row.chosen, parts.collect::<Vec<_>>().join(", "))
    });
    if ui.is_rect_visible(rect) {
        paint(ui, theme, rect, &response, row);
    }
    response
}

fn paint(ui: &Ui, theme: &Theme, rect: Rect, response: &Response, row: &TextRow<'_>) {
    let painter = ui.painter_at(rect);
    if row.chosen {
        painter.rect_filled(rect, 3.0, theme.wash);
    }
    if response.has_focus() || response.hovered() {
        painter.rect_stroke(rect, 3.0, Stroke::new(1.0, theme.edge), StrokeKind::Inside);
    }
    let color = if row.struck { theme.faint } else { theme.ink };
    let body = TextStyle::Body.resolve(ui.style());
    let first_font = if row.bold { crate::paint::fonts::bold(body.size) } else { body.clone() };
    let right = line(ui, row.right, body, theme.ink, false, f32::INFINITY);
    let room = rect.width() - 2.0 * PAD - if row.right.is_empty() { 0.0 } else { right.size().x + PAD };
    let first = line(ui, row.first, first_font, color, row.struck, room);
    let top = if row.second.is_empty() { rect.center().y - first.size().y / 2.0 } else { rect.top() + 2.0 };
    painter.galley(egui::pos2(rect.right() - PAD - right.size().x, top), right, theme.ink);
    let below = top + first.size().y;
    painter.galley(egui::pos2(rect.left() + PAD, top), first, color);
    if !row.second.is_empty() {
        let small = TextStyle::Small.resolve(ui.style());
        let second = line(ui, row.second, small, theme.faint, false, rect.width() - 2.0 * PAD);
        let at = Align2::LEFT_TOP.anchor_size(egui::pos2(rect.left() + PAD, below), second.size());
        painter.galley(at.min, second, theme.faint);
    }
}

/// One line of text, cut with an ellipsis at `width`.
fn line(
    ui: &Ui,
    text: &str,
    font: FontId,
    color: Color32,
    struck: bool,
    width: f32,
) -> std::sync::Arc<egui::Galley> {
    let strikethrough = if struck { Stroke::new(1.0, color) } else { Stroke::NONE };
    let format = TextFormat { font_id: font, color, strikethrough, ..TextFormat::default() };
    let mut job = LayoutJob::single_section(text.to_owned(), format);
    job.wrap = TextWrapping::truncate_at_width(width);
    ui.fonts_mut(|f| f.layout_job(job))
}
