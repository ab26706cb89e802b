//! One cell of the grid: words, overlaid members, mean.

use std::sync::Arc;

use beatledger_core::model::BeatClass;
use beatledger_core::session::Snapshot;
use egui::{Align2, Color32, Painter, Rect, Response, Stroke, pos2, vec2};

use super::members::{LEADS, Traces, sign};
use crate::paint::canvas::{Canvas, KeptPicture, snapped};
use crate::paint::headline::{font, text_scale};
use crate::paint::theme::Theme;
use crate::shell::view_context::ViewContext;
use crate::tracing::pyramid::columns_of;

/// What the picture of a cell depends on.
#[derive(PartialEq)]
pub struct CellKey {
    read: bool,
    class: BeatClass,
    dark: bool,
    range_mv: [(f32, f32); LEADS],
}

/// What a cell says about its group.
pub struct CellFacts {
    group: usize,
    timing: &'static str,
    counts: [u32; 5],
    day_total: usize,
    selected: u32,
    changed: u32,
}

impl CellFacts {
    /// Facts of a group as it stands.
    pub fn of(snapshot: &Snapshot, group: usize, counts: [u32; 5], selected: u32, changed: u32) -> Self {
        let timing = snapshot.found.groups.get(group).map_or("", |g| g.timing.words());
        Self { group, timing, counts, day_total: snapshot.beats.len().max(1), selected, changed }
    }

    /// Beats that belong to the group now.
    pub fn total(&self) -> u32 {
        self.counts.iter().sum()
    }

    /// The class that most of its beats have now.
    pub fn class(&self) -> BeatClass {
        BeatClass::ALL.into_iter().rev().max_by_key(|c| self.counts[c.index()]).unwrap_or(BeatClass::N)
    }

    /// Present classes, the most frequent first.
    fn classes(&self) -> Vec<(BeatClass, u32)> {
        let mut all: Vec<_> =
            BeatClass::ALL.map(|c| (c, self.counts[c.index()])).into_iter().filter(|c| c.1 > 0).collect();
        all.sort_by_key(|(class, n)| (std::cmp::Reverse(*n), class.index()));
        all
    }

    fn share_words(&self) -> String {
        let percent = f64::from(self.total()) * 100.0 / self.day_total as f64;
        if percent < 0.1 { "under 0.1 %".to_owned() } else { format!("{percent:.1} %") }
    }

    /// `Group 3, V, early, 412 beats, 0.4 %`; with counts by class where members were relabelled.
    pub fn words(&self) -> String {
        let classes = self.classes();
        let labels = match &classes[..] {
            [(class, _)] => class.letter().to_string(),
            many => many.iter().map(|(c, n)| format!("{} {n}", c.letter())).collect::<Vec<_>>().join(", "),
        };
        let total = self.total();
        let beats = if total == 1 { "beat" } else { "beats" };
        let mut words = format!(
            "Group {}, {labels}, {}, {total} {beats}, {}",
            self.group + 1,
            self.timing,
            self.share_words()
        );
        if self.changed > 0 {
            words += &format!(", {} changed by a reader", self.changed);
        }
        if self.selected > 0 {
            words += &format!(", {} selected", self.selected);
        }
        words
    }
}

/// Draws words and picture.
pub fn draw(
    painter: &Painter,
    view: &ViewContext<'_>,
    rect: Rect,
    facts: &CellFacts,
    traces: Option<Arc<Traces>>,
    kept: &mut KeptPicture<CellKey>,
    range_mv: [(f32, f32); LEADS],
) {
    let theme = view.theme;
    let scale = text_scale(painter.ctx());
    painter.rect_filled(rect, 4.0, if facts.selected > 0 { theme.wash } else { theme.paper });
    let picture = snapped(body(rect, scale), painter.pixels_per_point());
    let key = CellKey { read: traces.is_some(), class: facts.class(), dark: theme.dark, range_mv };
    let snapshot = view.snapshot;
    kept.show(painter, picture, key, theme.paper, |canvas| {
        paint(canvas, snapshot, theme, facts, traces.as_deref(), range_mv, painter.pixels_per_point());
    });
    header(painter, theme, rect, facts, scale);
    let leads = snapshot.recording.leads.len().min(LEADS);
    for lead in 0..leads {
        let x = picture.left() + picture.width() * lead as f32 / leads as f32 + 3.0;
        let name = crate::paint::words::lead_words(snapshot, lead);
        let at = pos2(x, picture.bottom() + 1.0);
        painter.text(at, Align2::LEFT_TOP, name, font(painter, 9.5), theme.faint);
    }
    footer(painter, theme, rect, facts);
}

/// Timing and share at the left, what is selected at the right.
fn footer(painter: &Painter, theme: &Theme, rect: Rect, facts: &CellFacts) {
    let small = font(painter, 10.5);
    let words = format!("{} · {} of all beats", facts.timing, facts.share_words());
    let left = rect.left_bottom() + vec2(9.0, -5.0);
    painter.text(left, Align2::LEFT_BOTTOM, words, small.clone(), theme.faint);
    let selected = match facts.selected {
        0 => return,
        n if n == facts.total() => "selected".to_owned(),
        n => format!("{n} selected"),
    };
    painter.text(rect.right_bottom() - vec2(8.0, 5.0), Align2::RIGHT_BOTTOM, selected, small, theme.ink);
}

fn header(painter: &Painter, theme: &Theme, rect: Rect, facts: &CellFacts, scale: f32) {
    let y = rect.top() + 13.0 * scale;
    let mut x = rect.left() + 9.0;
    for (i, (class, n)) in facts.classes().into_iter().enumerate().take(3) {
        let color = theme.class(class);
        let size = if i == 0 { 16.0 } else { 12.0 };
        let letter =
            painter.text(pos2(x, y), Align2::LEFT_CENTER, class.letter(), font(painter, size), color);
        let count = painter.text(
            pos2(letter.right() + 5.0, y + 1.0),
            Align2::LEFT_CENTER,
            n,
            font(painter, 12.0),
            theme.ink,
        );
        x = count.right() + 9.0;
    }
    let words = format!("group {}", facts.group + 1);
    let galley = painter.layout_no_wrap(words, font(painter, 10.5), theme.faint);
    let at = pos2(rect.right() - 8.0 - galley.size().x, y - galley.size().y * 0.5);
    if at.x > x {
        painter.galley(at, galley, theme.faint);
    }
    if facts.changed > 0 {
        let bar = Rect::from_min_size(rect.min + vec2(0.0, 3.0), vec2(3.0, rect.height() - 6.0));
        painter.rect_filled(bar, 0.0, theme.edge);
    }
}

/// Edge of the cell: selection and focus.
pub fn edge(painter: &Painter, theme: &Theme, rect: Rect, response: &Response, selected: bool) {
    let stroke = match (response.has_focus(), selected || response.hovered()) {
        (true, _) => Stroke::new(2.5, theme.edge),
        (false, true) => Stroke::new(1.0, theme.edge),
        (false, false) => Stroke::new(1.0, theme.grid_bold),
    };
    painter.rect_stroke(rect, 4.0, stroke, egui::StrokeKind::Inside);
}

fn paint(
    canvas: &mut Canvas,
    snapshot: &Snapshot,
    theme: &Theme,
    facts: &CellFacts,
    traces: Option<&Traces>,
    range_mv: [(f32, f32); LEADS],
    px: f32,
) {
    let leads = snapshot.recording.leads.len().clamp(1, LEADS);
    let width = canvas.width() / leads;
    let Some(group) = snapshot.found.groups.get(facts.group) else { return };
    for (lead, range_mv) in range_mv.into_iter().enumerate().take(leads) {
        let frame = LeadRoom { left: (lead * width) as i64, width: width.saturating_sub(3), range_mv };
        let zero = frame.y(canvas, 0.0) as i64;
        canvas.fill(frame.left..frame.left + frame.width as i64, zero..zero + 1, theme.grid_bold);
        if lead > 0 {
            canvas.fill(frame.left - 2..frame.left - 1, 0..i64::MAX, theme.grid_fine);
        }
        let members = traces.and_then(|t| t.leads.get(lead)).map(Vec::as_slice).unwrap_or_default();
        let share = (2.4 / members.len().max(1) as f32).clamp(0.1, 0.5);
        for member in members {
            frame.line(canvas, member, theme.faint, share, 0.45 * px);
        }
        let sign = sign(snapshot, lead);
        let mean: Vec<f32> = group.mean_mv.get(lead).into_iter().flatten().map(|v| v * sign).collect();
        frame.line(canvas, &mean, theme.class(facts.class()), 1.0, 0.8 * px);
    }
}

/// Where the words of a cell end and its waveforms begin.
fn body(rect: Rect, scale: f32) -> Rect {
    Rect::from_min_max(
        pos2(rect.left() + 5.0, rect.top() + 24.0 * scale),
        rect.max - vec2(5.0, 3.0 + 32.0 * scale),
    )
}

/// Where one lead is drawn in a cell, pixels.
struct LeadRoom {
    left: i64,
    width: usize,
    range_mv: (f32, f32),
}

impl LeadRoom {
    fn y(&self, canvas: &Canvas, mv: f32) -> f32 {
        let (low, high) = self.range_mv;
        (high - mv) / (high - low).max(0.1) * canvas.height() as f32
    }

    fn line(&self, canvas: &mut Canvas, values: &[f32], color: Color32, share: f32, half_px: f32) {
        let per_column = values.len().saturating_sub(1) as f64 / self.width.max(1) as f64;
        for (x, (low, high)) in columns_of(values, 0.0, per_column, self.width).into_iter().enumerate() {
            if low.is_finite() {
                let (top, bottom) = (self.y(canvas, high) - half_px, self.y(canvas, low) + half_px);
                canvas.stroke(self.left + x as i64, top, bottom, color, share);
            }
        }
    }
}
