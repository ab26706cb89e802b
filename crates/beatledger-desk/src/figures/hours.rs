//! The table by hour: what each clock hour holds, with the totals of the day; each hour is a button that
//! selects it.

use beatledger_core::model::{HourRow, Span};
use beatledger_report::document::{Row, Table};
use beatledger_report::tables;
use beatledger_report::values::day_clock;
use egui::{
    Align2, Pos2, Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, TextStyle, Ui, WidgetInfo, vec2,
};

use crate::app::act::Act;
use crate::app::selection::Selection;
use crate::lists::rows;
use crate::paint::headline::{font, text_scale};

use crate::shell::view_context::ViewContext;

/// Width of the first column and least width of the others at 100 % text size, points.
const HOUR_PT: f32 = 74.0;
const LEAST_PT: f32 = 50.0;

/// Right edges of the columns from the left of the table, points.
struct Places {
    hour: f32,
    step: f32,
    columns: usize,
}

impl Places {
    fn right(&self, column: usize) -> f32 {
        self.hour + self.step * (column + 1) as f32
    }

    fn width(&self) -> f32 {
        self.hour + self.step * self.columns as f32 + 6.0
    }
}

/// Draws the table, the day first: `table` has a row for each hour of the summary, and one for the day after them.
pub fn hours(ui: &mut Ui, view: &mut ViewContext<'_>, table: Option<&Table>) {
    let summary = &view.snapshot.summary;
    let filled = table.filter(|_| !summary.hours.is_empty());
    let Some((table, (day, rows))) = filled.and_then(|t| Some((t, t.rows.split_last()?))) else {
        ui.label("No hours yet. What each clock hour holds would stand here: rate, ectopy, pauses, AF.");
        return;
    };
    let scale = text_scale(ui.ctx());
    let hour = HOUR_PT * scale;
    let columns = table.columns.len().saturating_sub(1);
    let step = ((ui.available_width() - hour - 20.0) / columns.max(1) as f32).max(LEAST_PT * scale);
    let places = Places { hour, step, columns };
    ScrollArea::horizontal().auto_shrink([false, false]).id_salt("hours across").show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        head(ui, view, &places, table);
        one(ui, view, &places, table, (&summary.day, day));
        ScrollArea::vertical().auto_shrink([false, false]).id_salt("hours").show(ui, |ui| {
            for row in summary.hours.iter().zip(rows) {
                one(ui, view, &places, table, row);
            }
        });
    });
}

/// The words above each column but the first: the group where it ends, then the column's own heading.
fn heads(table: &Table) -> Vec<(&str, &str)> {
    let mut groups: Vec<(&str, bool)> = Vec::new();
    for (name, n) in &table.groups {
        groups.extend((0..*n).map(|i| (name.as_str(), i + 1 == *n)));
    }
    let titles = table.columns.iter().enumerate().skip(1);
    titles
        .map(|(i, column)| match groups.get(i) {
            Some((group, true)) if !group.is_empty() => (*group, column.title.as_str()),
            Some((group, false)) if !group.is_empty() => ("", column.title.as_str()),
            // A heading with no group above it takes both lines.
            _ => column.title.split_once(' ').unwrap_or((&column.title, "")),
        })
        .collect()
}

fn head(ui: &mut Ui, view: &ViewContext<'_>, places: &Places, table: &Table) {
    let line = ui.text_style_height(&TextStyle::Small);
    let (rect, _) = ui.allocate_exact_size(vec2(places.width(), line * 2.0 + 4.0), Sense::hover());
    let painter = ui.painter();
    let small = font(painter, 11.0);
    let at = |x: f32, row: f32| Pos2::new(rect.left() + x, rect.top() + row * line);
    painter.text(at(6.0, 1.0), Align2::LEFT_TOP, "Hour", small.clone(), view.theme.faint);
    for (i, (above, below)) in heads(table).into_iter().enumerate() {
        let x = places.right(i);
        painter.text(at(x, 0.0), Align2::RIGHT_TOP, above, small.clone(), view.theme.ink);
        painter.text(at(x, 1.0), Align2::RIGHT_TOP, below, small.clone(), view.theme.faint);
    }
    painter.hline(rect.x_range(), rect.bottom() - 1.0, Stroke::new(1.0, view.theme.grid_bold));
}

/// A row as it is read aloud: `beats 4 211, slowest bpm 52, S runs none, ...`.
fn read_aloud(table: &Table, row: &Row) -> String {
    let cell = |(name, text): (&str, &String)| match text.as_str() {
        "–" => format!("{name} none"),
        text => format!("{name} {text}"),
    };
    let named = table.columns.iter().map(|c| c.name).zip(&row.cells).skip(1);
    named.map(cell).collect::<Vec<_>>().join(", ")
}

fn one(
    ui: &mut Ui,
    view: &mut ViewContext<'_>,
    places: &Places,
    table: &Table,
    (hour, row): (&HourRow, &Row),
) {
    let span = row.place.unwrap_or_else(|| view.snapshot.recording.whole());
    let clock = row.cells.first().map_or("", String::as_str);
    let (rect, response) = ui.allocate_exact_size(vec2(places.width(), rows::one_line(ui)), Sense::click());
    let words = if row.strong { "the whole day".to_owned() } else { format!("hour from {clock}") };
    let chosen = view.selection.span == Some(span) && view.selection.beats.is_empty();
    response.widget_info(|| {
        let name = format!("{}: {}", capital(&words), read_aloud(table, row));
        WidgetInfo::selected(Role::Button, true, chosen, name)
    });
    if ui.is_rect_visible(rect) {
        paint(ui, view, places, row, rect, chosen);
        if response.has_focus() || response.hovered() {
            let width = if response.has_focus() { 2.0 } else { 1.0 };
            ui.painter().rect_stroke(rect, 3.0, Stroke::new(width, view.theme.edge), StrokeKind::Inside);
        }
    }
    if response.has_focus() {
        response.scroll_to_me(None);
    }
    let response = response.on_hover_text_at_pointer(places_words(view, hour));
    if response.clicked() {
        view.acts.push(Act::Select { selection: Selection::of_span(span, words), go: true });
    }
}

/// Where the extremes of an hour are, and what the hours are.
fn places_words(view: &ViewContext<'_>, row: &HourRow) -> String {
    let recording = &view.snapshot.recording;
    let at = |what: &str, place: Option<Span>| {
        place.map_or(String::new(), |p| format!("{what} at {}. ", day_clock(recording, p.start)))
    };
    format!(
        "{}{}{}\n{}",
        at("Slowest", row.min_place),
        at("Fastest", row.max_place),
        at("Longest RR", row.longest_rr_place),
        tables::HOURS.about().definition
    )
}

fn paint(ui: &Ui, view: &ViewContext<'_>, places: &Places, row: &Row, rect: Rect, chosen: bool) {
    let painter = ui.painter();
    if chosen {
        painter.rect_filled(rect, 3.0, view.theme.wash);
    }
    let body = TextStyle::Body.resolve(ui.style());
    let font = if row.strong { crate::paint::fonts::bold(body.size) } else { body };
    let y = rect.center().y;
    for (i, text) in row.cells.iter().enumerate() {
        // Nothing to see is faint, so that the hours with something stand out.
        let color = if text == "–" || text == "0" { view.theme.faint } else { view.theme.ink };
        let (at, align) = match i.checked_sub(1) {
            None => (6.0, Align2::LEFT_CENTER),
            Some(column) => (places.right(column), Align2::RIGHT_CENTER),
        };
        painter.text(Pos2::new(rect.left() + at, y), align, text, font.clone(), color);
    }
}

fn capital(words: &str) -> String {
    crate::paint::words::capital(words)
}
