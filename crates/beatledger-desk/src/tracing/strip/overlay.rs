//! What is drawn over the picture of the rows: clock and change marks in the margin, class letters, events,
//! the lens bracket, the place.

use beatledger_core::model::{BeatClass, Event, EventState, Recording, Span};
use beatledger_core::review::Edit;
use beatledger_report::values::day_clock;
use egui::{Align2, Painter, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

use super::page::{MARGIN_PT, Page};
use crate::app::act::Act;
use crate::paint::headline::{font, text_scale};
use crate::paint::theme::Theme;
use crate::shell::view_context::ViewContext;
use crate::tracing::pick::beats_in;

/// Most letters that a page shows above the tracing; beyond that the counts in the margin carry the letters.
const MAX_LETTERS: usize = 500;

/// The clock of every row; a bar where a reader changed something; a line at the right for what has been read.
pub fn margin(ui: &Ui, painter: &Painter, view: &mut ViewContext<'_>, page: &Page) {
    let recording = view.snapshot.recording.clone();
    let changed = changed_spans(view);
    let place_row = page.rows.row_of(view.place);
    let scale = text_scale(painter.ctx());
    let mut dated = None;
    for row in page.visible() {
        let span = page.rows.span(row);
        let inside = span.overlap(recording.whole());
        if inside.is_empty() {
            continue;
        }
        let at = page.row_rect(row);
        let side = Rect::from_min_max(pos2(at.left() - MARGIN_PT * scale + 2.0, at.top()), at.left_bottom());
        let here = row == place_row;
        if here {
            painter.rect_filled(side.shrink2(vec2(6.0, 1.0)), 3.0, view.theme.wash);
        }
        let color = if here { view.theme.ink } else { view.theme.faint };
        let clock = recording.clock(inside.start);
        let counts = page.rows.length_ms >= 60_000 && at.height() >= 28.0 * scale;
        let y = at.top() + at.height() * if counts { 0.3 } else { 0.5 };
        painter.text(pos2(at.left() - 8.0, y), Align2::RIGHT_CENTER, &clock, font(painter, 11.0), color);
        if let Some(date) = new_date(&recording, inside.start, dated.replace(inside.start)) {
            let above = pos2(at.left() - 8.0, y - 7.0 * scale);
            painter.text(above, Align2::RIGHT_BOTTOM, date, font(painter, 9.5), view.theme.faint);
        }
        if counts {
            row_counts(painter, view, span, pos2(at.left() - 8.0, at.top() + at.height() * 0.72));
        }
        let changes = changes_in(view, &changed, span);
        if changes > 0 {
            let bar = Rect::from_min_size(side.min + vec2(0.0, 1.0), vec2(3.0, at.height() - 2.0));
            painter.rect_filled(bar, 0.0, view.theme.edge);
        }
        read_line(painter, view, page, row, span);
        let response = ui.interact(side, ui.scope_id().with(("strip row", row)), Sense::CLICK);
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, row_words(view, span, changes)));
        if response.clicked() {
            view.acts.push(Act::GoTo(inside.start));
        }
        response.on_hover_ui(|ui| {
            ui.label(row_words(view, span, changes));
        });
    }
}

/// Counts of beats that are not normal, letter first, right-aligned at `right`.
fn row_counts(painter: &Painter, view: &ViewContext<'_>, span: Span, right: egui::Pos2) {
    let beats = &view.snapshot.beats[beats_in(&view.snapshot.beats, span)];
    let mut counts = [0u32; 5];
    beats.iter().for_each(|b| counts[b.class.index()] += 1);
    let mut x = right.x;
    for class in BeatClass::ALL.into_iter().skip(1).filter(|c| counts[c.index()] > 0) {
        let words = format!("{}{}", class.letter(), counts[class.index()]);
        let place = pos2(x, right.y);
        let drawn =
            painter.text(place, Align2::RIGHT_CENTER, words, font(painter, 9.5), view.theme.class(class));
        x = drawn.left() - 4.0;
    }
}

/// The date of a row, month and day, where the recording has several and the row before has another.
fn new_date(recording: &Recording, sample: i64, before: Option<i64>) -> Option<String> {
    let date = |sample| Some(day_clock(recording, sample).split_once(' ')?.0.get(5..)?.to_owned());
    date(sample).filter(|now| before.and_then(date).as_ref() != Some(now))
}

fn row_words(view: &ViewContext<'_>, span: Span, changes: usize) -> String {
    let beats = &view.snapshot.beats[beats_in(&view.snapshot.beats, span)];
    let recording = &view.snapshot.recording;
    let mut words =
        format!("Row {}, {} beats", day_clock(recording, span.overlap(recording.whole()).start), beats.len());
    for class in BeatClass::ALL.into_iter().skip(1) {
        let n = beats.iter().filter(|b| b.class == class).count();
        if n > 0 {
            words += &format!(", {n} {}", class.letter());
        }
    }
    if changes > 0 {
        words += &format!(", {changes} changed by a reader");
    }
    words
}

/// Spans that a reader marked; beats are counted from the beats themselves.
fn changed_spans(view: &ViewContext<'_>) -> Vec<Span> {
    let span_of = |edit: &Edit| match edit {
        Edit::MarkNoise { span } | Edit::UnmarkNoise { span } => Some(*span),
        Edit::ChangeEvent { new_span, .. } => Some(*new_span),
        Edit::AddEvent { span, .. } | Edit::DropEvent { span, .. } => Some(*span),
        _ => None,
    };
    view.snapshot.fold.edits().filter_map(span_of).collect()
}

fn changes_in(view: &ViewContext<'_>, changed: &[Span], span: Span) -> usize {
    let beats = &view.snapshot.beats[beats_in(&view.snapshot.beats, span)];
    beats.iter().filter(|b| b.is_changed()).count() + changed.iter().filter(|c| c.touches(span)).count()
}

fn read_line(painter: &Painter, view: &ViewContext<'_>, page: &Page, row: i64, span: Span) {
    let share = span.covered_by(&view.snapshot.read) as f32 / span.len().max(1) as f32;
    if share > 0.0 {
        let at = page.row_rect(row);
        let line =
            Rect::from_min_size(at.right_top() + vec2(3.0, 1.0), vec2(2.0, (at.height() - 2.0) * share));
        painter.rect_filled(line, 0.0, view.theme.edge);
    }
}

/// Letters of beats that are not normal, and bars of events.
pub fn marks(painter: &Painter, view: &ViewContext<'_>, page: &Page, lens: Option<Span>) {
    letters(painter, view, page);
    let shown = page.span();
    for event in view.snapshot.events.iter().filter(|e| e.span.touches(shown)) {
        if let Some(words) = short_words(event) {
            bar(painter, view.theme, page, event, &words);
        }
    }
    if let Some(lens) = lens {
        for row in rows_of(page, lens) {
            bracket(painter, view.theme, page, row, lens);
        }
    }
}

fn letters(painter: &Painter, view: &ViewContext<'_>, page: &Page) {
    let size = (page.row_height() * 0.2).clamp(9.0, 13.0);
    let letter_font = font(painter, size);
    let galleys = BeatClass::ALL
        .map(|c| painter.layout_no_wrap(c.letter().to_string(), letter_font.clone(), view.theme.class(c)));
    let beats = &view.snapshot.beats;
    let marked = beats[beats_in(beats, page.span())].iter().filter(|b| b.class != BeatClass::N);
    if marked.count() > MAX_LETTERS {
        return;
    }
    for row in page.visible() {
        let mut free_from = f32::MIN;
        let top = page.row_rect(row).top() + 2.5;
        for beat in beats[beats_in(beats, page.rows.span(row))].iter().filter(|b| b.class != BeatClass::N) {
            let galley = &galleys[beat.class.index()];
            let x = (page.x_from_sample(row, beat.sample) - galley.size().x * 0.5).max(page.rect.left());
            if x < free_from {
                continue;
            }
            free_from = x + galley.size().x + 2.0;
            let under = Rect::from_min_size(pos2(x, top), galley.size()).expand2(vec2(1.0, -2.0));
            painter.rect_filled(under, 2.0, view.theme.paper.gamma_multiply(0.7));
            painter.galley(pos2(x, top), galley.clone(), view.theme.class(beat.class));
        }
    }
}

/// The kind of an event in the short words of the trade; `None` for what is shown in another way.
fn short_words(event: &Event) -> Option<String> {
    let words = event.kind.mark();
    if words.is_empty() {
        return None;
    }
    Some(match event.state {
        EventState::Dropped => format!("{words} (dropped)"),
        EventState::Changed => format!("{words} (changed)"),
        _ => words.to_owned(),
    })
}

fn rows_of(page: &Page, span: Span) -> std::ops::RangeInclusive<i64> {
    let last = page.top_row + page.count - 1;
    let from = page.rows.row_of(span.start).max(page.top_row);
    from..=page.rows.row_of((span.end - 1).max(span.start)).min(last)
}

fn bar(painter: &Painter, theme: &Theme, page: &Page, event: &Event, words: &str) {
    let unread = event.state == EventState::Unread;
    let color = if unread && event.critical { theme.ink } else { theme.faint };
    for row in rows_of(page, event.span) {
        let at = page.row_rect(row);
        let (from, to) = (page.x_from_sample(row, event.span.start), page.x_from_sample(row, event.span.end));
        let to = to.max(from + 2.0);
        let y = at.bottom() - 4.0;
        let line = Rect::from_min_max(pos2(from, y - 1.0), pos2(to, y + 1.5));
        if event.stands() {
            painter.rect_filled(line, 0.0, color);
        } else {
            painter.rect_stroke(line, 0.0, Stroke::new(1.0, theme.faint), egui::StrokeKind::Middle);
        }
        if at.height() >= 34.0 {
            let galley = painter.layout_no_wrap(words.to_owned(), font(painter, 9.5), color);
            // Beside a short bar, above a long one: the tracing of the event itself stays free.
            let size = galley.size();
            let beside = to - from < 8.0 * size.x;
            let place = match beside {
                true if to + 4.0 + size.x < at.right() => pos2(to + 4.0, at.bottom() - size.y - 1.0),
                true => pos2((from - 4.0 - size.x).max(at.left()), at.bottom() - size.y - 1.0),
                false => pos2(from + 1.0, y - 1.5 - size.y),
            };
            let under = Rect::from_min_size(place, galley.size()).expand2(vec2(1.0, -1.0));
            painter.rect_filled(under, 2.0, theme.paper.gamma_multiply(0.8));
            painter.galley(place, galley, color);
        }
    }
}

fn bracket(painter: &Painter, theme: &Theme, page: &Page, row: i64, lens: Span) {
    let at = page.row_rect(row);
    let (from, to) = (page.x_from_sample(row, lens.start), page.x_from_sample(row, lens.end));
    let stroke = Stroke::new(1.0, theme.edge);
    painter.hline(from..=to, at.bottom() - 0.5, stroke);
    for (x, sample) in [(from, lens.start), (to, lens.end)] {
        if page.rows.span(row).contains(sample) {
            painter.vline(x, at.bottom() - 6.0..=at.bottom(), stroke);
        }
    }
}

/// The span under the pointer while it is being drawn.
pub fn drag_wash(painter: &Painter, view: &ViewContext<'_>, page: &Page, drag: Option<(i64, i64)>) {
    let Some((a, b)) = drag else { return };
    let span = Span::new(a.min(b), a.max(b));
    for row in rows_of(page, span) {
        let (from, to) = (page.x_from_sample(row, span.start), page.x_from_sample(row, span.end));
        let rect = Rect::from_x_y_ranges(from..=to, page.row_rect(row).y_range());
        painter.rect_filled(rect, 0.0, view.theme.edge.gamma_multiply(0.18));
        painter.rect_stroke(rect, 0.0, Stroke::new(1.0, view.theme.edge), egui::StrokeKind::Inside);
    }
}

/// The place in the day.
pub fn place(painter: &Painter, view: &ViewContext<'_>, page: &Page) {
    let row = page.rows.row_of(view.place);
    if !page.visible().contains(&row) {
        return;
    }
    let at = page.row_rect(row);
    let x = painter.round_to_pixel_center(page.x_from_sample(row, view.place));
    painter.vline(x, at.y_range(), Stroke::new(1.0, view.theme.edge));
    let tip = vec![pos2(x - 4.0, at.top() - 1.0), pos2(x + 4.0, at.top() - 1.0), pos2(x, at.top() + 5.0)];
    painter.add(egui::Shape::convex_polygon(tip, view.theme.edge, Stroke::NONE));
}
