//! Beat marks of the lens: letters, RR intervals, what was found, wave limits; each beat is a button.

use beatledger_core::model::{Beat, Span};
use beatledger_report::values::day_clock;
use egui::{Align2, Painter, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};

use super::paper_area::{CLOCK_PT, LETTERS_PT, Paper};
use crate::app::act::Act;
use crate::paint::headline::{font, text_scale};
use crate::shell::view_context::ViewContext;
use crate::tracing::pick::chosen;

/// Half the width of the button of a beat, mm: 120 ms, so that a click between beats sets the place alone.
const HALF_MM: f32 = 3.0;

/// White between two letters of wave limits, points.
const LETTER_GAP_PT: f32 = 3.0;

/// Letters above the paper and a button for every beat.
pub fn buttons(ui: &Ui, painter: &Painter, view: &mut ViewContext<'_>, paper: &Paper) {
    let top = paper.rect.top() - LETTERS_PT * text_scale(painter.ctx());
    let middle = (top + paper.rect.top()) * 0.5;
    intervals(painter, view, paper, middle);
    let letter_font = font(painter, 13.0);
    for (i, mark) in paper.geom.marks.iter().enumerate() {
        let Some(beat) = view.snapshot.beats.get(mark.beat as usize) else { continue };
        let x = paper.x(mark.x_mm);
        let color = view.theme.class(beat.class);
        painter.vline(x, paper.rect.top()..=paper.rect.top() + 4.0, Stroke::new(1.0, color));
        painter.text(pos2(x, middle), Align2::CENTER_CENTER, mark.letter, letter_font.clone(), color);
        changed(painter, view, beat, pos2(x, paper.rect.top() + 4.0));
        let (left, right) = reach_pt(paper, i);
        let rect = Rect::from_min_max(pos2(x - left, top), pos2(x + right, paper.rect.bottom()));
        let rect = rect.intersect(Rect::from_min_max(pos2(paper.rect.left(), top), paper.rect.max));
        button(ui, painter, view, mark.beat as usize, rect, pos2(x, middle));
    }
}

/// RR intervals between the letters, where there is room for them.
fn intervals(painter: &Painter, view: &ViewContext<'_>, paper: &Paper, middle: f32) {
    let small = font(painter, 10.0);
    for rr in &paper.geom.rr {
        let galley = painter.layout_no_wrap(format!("{:.0}", rr.rr_ms), small.clone(), view.theme.faint);
        let x = paper.x(rr.x_mm);
        // The letters at both ends need room as well.
        if galley.size().x + 22.0 < rr.width_mm * paper.mm_pt {
            painter.galley(
                pos2(x - galley.size().x * 0.5, middle - galley.size().y * 0.5),
                galley,
                view.theme.faint,
            );
        }
    }
}

/// How far the button of the mark at `i` reaches to the left and right, points: at most half way to the next mark.
fn reach_pt(paper: &Paper, i: usize) -> (f32, f32) {
    let marks = &paper.geom.marks;
    let half =
        |other: Option<f32>| other.map_or(HALF_MM, |mm| ((mm - marks[i].x_mm).abs() * 0.5).min(HALF_MM));
    let left = half(i.checked_sub(1).map(|before| marks[before].x_mm));
    let right = half(marks.get(i + 1).map(|after| after.x_mm));
    (left * paper.mm_pt, right * paper.mm_pt)
}

/// The button of the beat at `index` of the day: a click selects the beat and goes there.
fn button(
    ui: &Ui,
    painter: &Painter,
    view: &mut ViewContext<'_>,
    index: usize,
    rect: Rect,
    letter_at: egui::Pos2,
) {
    let snapshot = view.snapshot;
    let beat = &snapshot.beats[index];
    let id = ui.scope_id().with(("lens beat", beat.sample));
    let response = ui.interact(rect, id, Sense::click());
    let words = beat_words(view, index, beat);
    let selected = view.selection.contains(beat.sample);
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, selected, &words));
    if response.hovered() || response.has_focus() {
        painter.rect_stroke(rect, 2.0, Stroke::new(1.0, view.theme.edge), egui::StrokeKind::Inside);
    }
    if selected {
        painter.rect_stroke(
            Rect::from_center_size(letter_at, vec2(16.0, 17.0) * text_scale(painter.ctx())),
            3.0,
            Stroke::new(1.5, view.theme.edge),
            egui::StrokeKind::Inside,
        );
    }
    if response.clicked() {
        let name = format!("beat {} at {}", beat.class.letter(), day_clock(&snapshot.recording, beat.sample));
        let add = ui.input(|i| i.modifiers.shift);
        let selection = chosen(view.selection, add, vec![beat.sample], None, name);
        view.acts.push(Act::Select { selection, go: false });
        view.acts.push(Act::GoTo(beat.sample));
    }
    response.on_hover_text(words);
}

/// What the program found, where a reader said otherwise.
fn changed(painter: &Painter, view: &ViewContext<'_>, beat: &Beat, at: egui::Pos2) {
    let words = match beat.class_found {
        None => "inserted".to_owned(),
        Some(found) if found != beat.class => format!("found {}", found.letter()),
        Some(_) if beat.is_changed() => "agreed".to_owned(),
        Some(_) => return,
    };
    let galley = painter.layout_no_wrap(words, font(painter, 9.5), view.theme.edge);
    let at = at - vec2(galley.size().x * 0.5, 0.0);
    painter.rect_filled(
        Rect::from_min_size(at, galley.size()).expand2(vec2(2.0, 0.0)),
        2.0,
        view.theme.paper,
    );
    painter.galley(at, galley, view.theme.edge);
}

/// `Beat V at 14:05:03, RR 812 ms`, and more where there is more to say.
fn beat_words(view: &ViewContext<'_>, index: usize, beat: &Beat) -> String {
    let s = view.snapshot;
    let mut words = format!("Beat {} at {}", beat.class.letter(), day_clock(&s.recording, beat.sample));
    if let Some(before) = index.checked_sub(1).and_then(|i| s.beats.get(i)) {
        let between = Span::new(before.sample, beat.sample);
        words += &match between.covered_by(&s.unreadable) {
            0 => format!(", RR {:.0} ms", s.recording.rate.ms_from_samples(between.len())),
            _ => ", RR not known across unreadable time".to_owned(),
        };
    }
    match beat.class_found {
        Some(found) if found != beat.class => words += &format!(", found as {}", found.letter()),
        None => words += ", inserted by a reader",
        _ => {}
    }
    words
}

/// P, QRS and T limits of the beat at the place, or of every beat, as brackets below the first lead.
pub fn wave_limits(painter: &Painter, view: &ViewContext<'_>, paper: &Paper, all: bool) {
    if paper.geom.leads.is_empty() {
        return;
    }
    let scale = text_scale(painter.ctx());
    let clock = paper.rect.bottom() - CLOCK_PT * scale;
    let y = paper.y_from_mv(0, -0.5).min(clock - 2.0);
    let mut brackets: Vec<Bracket> = Vec::new();
    for mark in &paper.geom.marks {
        let Some(beat) = view.snapshot.beats.get(mark.beat as usize) else { continue };
        if all || beat.sample == view.place {
            brackets.extend(beat_brackets(beat, paper));
        }
    }
    let stroke = Stroke::new(1.0, view.theme.faint);
    let letters = letters(painter, view, &brackets);
    let mut free_from = f32::NEG_INFINITY;
    for bracket in &brackets {
        // Brackets over each other cannot be read; at high rates the limits of neighbouring beats may cross.
        if bracket.from < free_from {
            continue;
        }
        free_from = bracket.to + 1.0;
        painter.vline(bracket.from, y - 5.0..=y, stroke);
        painter.vline(bracket.to, y - 5.0..=y, stroke);
        painter.hline(bracket.from..=bracket.to, y, stroke);
    }
    let fits = y + 11.0 * scale < clock;
    for (x, galley) in letters.into_iter().filter(|_| fits) {
        painter.galley(pos2(x, y + 1.0), galley, view.theme.faint);
    }
}

/// Limits of one wave on the screen.
struct Bracket {
    name: &'static str,
    from: f32,
    to: f32,
}

fn beat_brackets(beat: &Beat, paper: &Paper) -> Vec<Bracket> {
    let w = &beat.waves;
    let x = |offset: i16| paper.x_from_sample(beat.sample + i64::from(offset));
    [("P", w.p_on, w.p_off), ("QRS", w.qrs_on, w.qrs_off), ("T", w.t_peak, w.t_off)]
        .into_iter()
        .filter_map(|(name, from, to)| Some(Bracket { name, from: x(from?), to: x(to?) }))
        .filter(|b| b.from < b.to)
        .collect()
}

/// Letters below the brackets; none at all where two of them would touch.
fn letters(
    painter: &Painter,
    view: &ViewContext<'_>,
    brackets: &[Bracket],
) -> Vec<(f32, std::sync::Arc<egui::Galley>)> {
    let small = font(painter, 9.0);
    let lay = |b: &Bracket| {
        let galley = painter.layout_no_wrap(b.name.to_owned(), small.clone(), view.theme.faint);
        ((b.from + b.to - galley.size().x) * 0.5, galley)
    };
    let laid: Vec<_> = brackets.iter().map(lay).collect();
    let apart = |pair: &[(f32, std::sync::Arc<egui::Galley>)]| {
        pair[0].0 + pair[0].1.size().x + LETTER_GAP_PT <= pair[1].0
    };
    if laid.windows(2).all(apart) { laid } else { Vec::new() }
}

/// The place in the day.
pub fn place(painter: &Painter, view: &ViewContext<'_>, paper: &Paper) {
    if !paper.geom.span.contains(view.place) {
        return;
    }
    let x = painter.round_to_pixel_center(paper.x_from_sample(view.place));
    let dash = Stroke::new(1.0, view.theme.edge);
    painter.extend(Shape::dashed_line(
        &[pos2(x, paper.rect.top()), pos2(x, paper.rect.bottom())],
        dash,
        4.0,
        4.0,
    ));
    let bottom = paper.rect.bottom();
    let tip = vec![pos2(x - 4.0, bottom), pos2(x, bottom - 6.0), pos2(x + 4.0, bottom)];
    painter.add(Shape::convex_polygon(tip, view.theme.edge, Stroke::NONE));
}
