//! The table by hour: what each clock hour holds, with the totals of the day; each hour is a button that
//! selects it.

use beatledger_core::model::{HourRow, Span};
use egui::{
    Align2, Pos2, Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, TextStyle, Ui, WidgetInfo, vec2,
};

use crate::app::act::Act;
use crate::app::selection::Selection;
use crate::lists::rows;
use crate::paint::headline::{font, text_scale};
use crate::paint::words::grouped;
use crate::shell::view_context::ViewContext;

/// Width of the first column and least width of the others at 100 % text size, points.
const HOUR_PT: f32 = 74.0;
const LEAST_PT: f32 = 50.0;

/// A column: its words above, its full name, and how it reads a row.
struct Column {
    above: &'static str,
    head: &'static str,
    name: &'static str,
    value: fn(&HourRow) -> String,
}

const fn column(
    above: &'static str,
    head: &'static str,
    name: &'static str,
    value: fn(&HourRow) -> String,
) -> Column {
    Column { above, head, name, value }
}

/// Columns by common practice for a table by hour; their sums are the figures of the day.
const COLUMNS: [Column; 16] = [
    column("Readable", "min", "readable minutes", |r| format!("{:.0}", r.readable_s / 60.0)),
    column("Beats", "", "beats", |r| grouped(r.beats)),
    column("Rate", "slowest", "slowest bpm", |r| number(r.min_bpm)),
    column("", "mean", "mean bpm", |r| number(r.mean_bpm)),
    column("bpm", "fastest", "fastest bpm", |r| number(r.max_bpm)),
    column("S beats", "all", "S beats", |r| grouped(r.s_beats)),
    column("", "single", "S singles", |r| grouped(r.s_singles)),
    column("", "couplets", "S couplets", |r| grouped(r.s_couplets)),
    column("", "runs", "S runs", |r| grouped(r.s_runs)),
    column("V beats", "all", "V beats", |r| grouped(r.v_beats)),
    column("", "single", "V singles", |r| grouped(r.v_singles)),
    column("", "couplets", "V couplets", |r| grouped(r.v_couplets)),
    column("", "runs", "V runs", |r| grouped(r.v_runs)),
    column("Pauses", "", "pauses", |r| grouped(r.pauses)),
    column("AF", "min", "AF minutes", |r| format!("{:.1}", r.af_s / 60.0)),
    column("Longest", "RR, ms", "longest RR ms", |r| number(r.longest_rr_ms)),
];

fn number(x: Option<f64>) -> String {
    x.map_or_else(|| "–".to_owned(), |x| format!("{x:.0}"))
}

/// Right edges of the columns from the left of the table, points.
struct Places {
    hour: f32,
    step: f32,
}

impl Places {
    fn right(&self, column: usize) -> f32 {
        self.hour + self.step * (column + 1) as f32
    }

    fn width(&self) -> f32 {
        self.right(COLUMNS.len() - 1) + 6.0
    }
}

/// Draws the table.
pub fn hours(ui: &mut Ui, view: &mut ViewContext<'_>) {
    let summary = &view.snapshot.summary;
    if summary.hours.is_empty() {
        ui.label("No hours yet. What each clock hour holds would stand here: rate, ectopy, pauses, AF.");
        return;
    }
    let scale = text_scale(ui.ctx());
    let hour = HOUR_PT * scale;
    let step = ((ui.available_width() - hour - 20.0) / COLUMNS.len() as f32).max(LEAST_PT * scale);
    let places = Places { hour, step };
    ScrollArea::horizontal().auto_shrink([false, false]).id_salt("hours across").show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        head(ui, view, &places);
        one(ui, view, &places, &summary.day, true);
        ScrollArea::vertical().auto_shrink([false, false]).id_salt("hours").show(ui, |ui| {
            for row in &summary.hours {
                one(ui, view, &places, row, false);
            }
        });
    });
}

fn head(ui: &mut Ui, view: &ViewContext<'_>, places: &Places) {
    let line = ui.text_style_height(&TextStyle::Small);
    let (rect, _) = ui.allocate_exact_size(vec2(places.width(), line * 2.0 + 4.0), Sense::hover());
    let painter = ui.painter();
    let small = font(painter, 11.0);
    let at = |x: f32, row: f32| Pos2::new(rect.left() + x, rect.top() + row * line);
    painter.text(at(6.0, 1.0), Align2::LEFT_TOP, "Hour", small.clone(), view.theme.faint);
    for (i, column) in COLUMNS.iter().enumerate() {
        let x = places.right(i);
        painter.text(at(x, 0.0), Align2::RIGHT_TOP, column.above, small.clone(), view.theme.ink);
        painter.text(at(x, 1.0), Align2::RIGHT_TOP, column.head, small.clone(), view.theme.faint);
    }
    painter.hline(rect.x_range(), rect.bottom() - 1.0, Stroke::new(1.0, view.theme.grid_bold));
}

fn one(ui: &mut Ui, view: &mut ViewContext<'_>, places: &Places, row: &HourRow, is_day: bool) {
    let recording = &view.snapshot.recording;
    let span = row.span.unwrap_or_else(|| recording.whole());
    let clock = if is_day { "Day".to_owned() } else { recording.clock(span.start) };
    let (rect, response) = ui.allocate_exact_size(vec2(places.width(), rows::one_line(ui)), Sense::click());
    let words = if is_day { "the whole day".to_owned() } else { format!("hour from {clock}") };
    let chosen = view.selection.span == Some(span) && view.selection.beats.is_empty();
    response.widget_info(|| {
        let parts: Vec<String> = COLUMNS.iter().map(|c| format!("{} {}", c.name, (c.value)(row))).collect();
        WidgetInfo::selected(Role::Button, true, chosen, format!("{}: {}", capital(&words), parts.join(", ")))
    });
    if ui.is_rect_visible(rect) {
        paint(ui, view, places, row, rect, &clock, (chosen, is_day));
        if response.has_focus() || response.hovered() {
            let width = if response.has_focus() { 2.0 } else { 1.0 };
            ui.painter().rect_stroke(rect, 3.0, Stroke::new(width, view.theme.edge), StrokeKind::Inside);
        }
    }
    if response.has_focus() {
        response.scroll_to_me(None);
    }
    let response = response.on_hover_text_at_pointer(places_words(view, row));
    if response.clicked() {
        view.acts.push(Act::Select { selection: Selection::of_span(span, words), go: true });
    }
}

/// Where the extremes of an hour are, and what the hours are.
fn places_words(view: &ViewContext<'_>, row: &HourRow) -> String {
    let recording = &view.snapshot.recording;
    let at = |what: &str, place: Option<Span>| {
        place.map_or(String::new(), |p| format!("{what} at {}. ", recording.clock(p.start)))
    };
    format!(
        "{}{}{}\n{}",
        at("Slowest", row.min_place),
        at("Fastest", row.max_place),
        at("Longest RR", row.longest_rr_place),
        beatledger_report::explain::HOURS.definition
    )
}

fn paint(
    ui: &Ui,
    view: &ViewContext<'_>,
    places: &Places,
    row: &HourRow,
    rect: Rect,
    clock: &str,
    (chosen, is_day): (bool, bool),
) {
    let painter = ui.painter();
    if chosen {
        painter.rect_filled(rect, 3.0, view.theme.wash);
    }
    let body = TextStyle::Body.resolve(ui.style());
    let font = if is_day { crate::paint::fonts::bold(body.size) } else { body };
    let y = rect.center().y;
    painter.text(Pos2::new(rect.left() + 6.0, y), Align2::LEFT_CENTER, clock, font.clone(), view.theme.ink);
    for (i, column) in COLUMNS.iter().enumerate() {
        let value = (column.value)(row);
        // Nothing to see is faint, so that the hours with something stand out.
        let nothing = value == "0" || value == "0.0" || value == "–";
        let color = if nothing { view.theme.faint } else { view.theme.ink };
        let at = Pos2::new(rect.left() + places.right(i), y);
        painter.text(at, Align2::RIGHT_CENTER, value, font.clone(), color);
    }
}

fn capital(words: &str) -> String {
    crate::paint::words::capital(words)
}
