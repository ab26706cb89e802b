//! The picture of a page of rows in physical pixels: paper, night, selection, hatching, tracing, class marks.

use std::sync::Arc;

use beatledger_core::model::{Beat, BeatClass, Span};
use egui::Color32;

use super::page::Page;
use crate::app::lookup::nights;
use crate::paint::canvas::Canvas;
use crate::paint::picture_keys::{DayKey, SelectionKey};
use crate::paint::theme::Theme;
use crate::shell::view_context::ViewContext;
use crate::tracing::pick::beats_in;
use crate::tracing::pyramid::Column;

/// What the picture depends on.
#[derive(PartialEq)]
pub struct RowsKey {
    day: DayKey,
    selection: SelectionKey,
    night_h: [f64; 2],
    top_row: i64,
    count: i64,
    length_ms: i64,
    lead: usize,
    mv_pt: f32,
    dark: bool,
    quick: bool,
}

impl RowsKey {
    /// The key of what a page shows.
    pub fn of(view: &ViewContext<'_>, page: &Page, quick: bool) -> Self {
        let settings = &view.snapshot.settings;
        Self {
            day: DayKey::of(view.snapshot),
            selection: SelectionKey::of(view.selection),
            night_h: [settings.night_from_h, settings.night_to_h],
            top_row: page.top_row,
            count: page.count,
            length_ms: page.rows.length_ms,
            lead: page.lead,
            mv_pt: page.mv_pt,
            dark: view.theme.dark,
            quick,
        }
    }
}

/// Paints the whole page; `columns` gives the tracing of a row.
pub fn paint(
    canvas: &mut Canvas,
    view: &ViewContext<'_>,
    page: &Page,
    mut columns: impl FnMut(i64, usize) -> Arc<Vec<Column>>,
) {
    let height = canvas.height() as f32 / page.count as f32;
    let px = canvas.height() as f32 / page.rect.height().max(1.0);
    let nights = nights(view.snapshot);
    let whole = view.snapshot.recording.whole();
    let rows: Vec<RowPicture> = page
        .visible()
        .map(|row| RowPicture {
            span: page.rows.span(row),
            top: ((row - page.top_row) as f32 * height).round() as i64,
            bottom: ((row - page.top_row + 1) as f32 * height).round() as i64,
            width: canvas.width() as i64,
            px,
        })
        .collect();
    // All backgrounds first: a tall beat may reach into the row above.
    for row in rows.iter().filter(|r| r.span.touches(whole)) {
        row.background(canvas, view, &nights, whole);
    }
    for (i, row) in rows.iter().enumerate().filter(|(_, r)| r.span.touches(whole)) {
        let columns = columns(page.top_row + i as i64, canvas.width());
        row.tracing(canvas, view, page, &columns);
        row.class_ticks(canvas, view);
    }
}

/// One row in pixels.
struct RowPicture {
    span: Span,
    top: i64,
    bottom: i64,
    width: i64,
    px: f32,
}

impl RowPicture {
    fn column(&self, sample: i64) -> i64 {
        ((sample - self.span.start) as f64 / self.span.len().max(1) as f64 * self.width as f64) as i64
    }

    fn columns(&self, span: Span) -> std::ops::Range<i64> {
        let cut = span.overlap(self.span);
        self.column(cut.start)..self.column(cut.end)
    }

    fn thick(&self, points: f32) -> i64 {
        (points * self.px).round().max(1.0) as i64
    }

    fn background(&self, canvas: &mut Canvas, view: &ViewContext<'_>, nights: &[Span], whole: Span) {
        let theme = view.theme;
        for night in nights.iter().filter(|n| n.touches(self.span)) {
            canvas.fill(self.columns(*night), self.top..self.bottom, theme.night);
        }
        self.selection(canvas, view);
        for hole in touching(&view.snapshot.unreadable, self.span) {
            let (period, width) = (self.thick(7.0), self.thick(1.0));
            canvas.hatch(
                self.columns(hole),
                self.top + self.thick(1.0)..self.bottom,
                theme.hatch,
                period,
                width,
            );
        }
        canvas.fill(self.columns(whole), self.bottom - 1..self.bottom, theme.grid_fine);
        // Before the first and after the last sample there is no paper.
        canvas.fill(0..self.column(whole.start.max(self.span.start)), self.top..self.bottom, theme.panel);
        canvas.fill(
            self.column(whole.end.min(self.span.end))..self.width,
            self.top..self.bottom,
            theme.panel,
        );
    }

    fn selection(&self, canvas: &mut Canvas, view: &ViewContext<'_>) {
        let theme = view.theme;
        if let Some(span) = SelectionKey::of(view.selection).span().filter(|s| s.touches(self.span)) {
            canvas.fill(self.columns(span), self.top..self.bottom, theme.wash);
            canvas.fill(self.columns(span), self.bottom - self.thick(1.5)..self.bottom, theme.edge);
        }
        let rate = view.snapshot.recording.rate;
        let (before, after) = (rate.samples_from_ms(160.0), rate.samples_from_ms(320.0));
        for sample in view.selection.within(self.span) {
            let x = self.columns(Span::new(sample - before, sample + after));
            let x = x.start..x.end.max(x.start + self.thick(2.0));
            canvas.fill(x.clone(), self.top..self.bottom, theme.wash);
            canvas.fill(x, self.bottom - self.thick(2.0)..self.bottom, theme.edge);
        }
    }

    fn tracing(&self, canvas: &mut Canvas, view: &ViewContext<'_>, page: &Page, columns: &[Column]) {
        let mv_px = page.mv_pt * self.px;
        let colors = self.colors(view);
        // A column that covers much of a second is an envelope, not a line: softer, so that colours stand out.
        let column_s =
            view.snapshot.recording.rate.seconds_from_samples(self.span.len()) / self.width.max(1) as f64;
        let soft = (0.2 / column_s).clamp(0.5, 1.0) as f32;
        let height = (self.bottom - self.top) as f32;
        let zero = self.top as f32 + height * page.zero_share;
        // A tall beat may reach half a row into its neighbours and is cut there.
        let (highest, lowest) = (self.top as f32 - height * 0.5, self.bottom as f32 + height * 0.4);
        let half = 0.55 * self.px.max(1.0);
        for (x, (low, high)) in columns.iter().enumerate() {
            if low.is_finite() {
                let top = (zero - high * mv_px - half).clamp(highest, lowest);
                let bottom = (zero - low * mv_px + half).clamp(highest, lowest);
                let color = colors[x.min(colors.len() - 1)];
                let share = match color {
                    c if c == view.theme.ink => soft,
                    c if c == view.theme.faint => 0.6 * soft,
                    _ => 1.0,
                };
                canvas.stroke(x as i64, top, bottom, color, share);
            }
        }
    }

    /// Ink of every column: the class colour around beats that are not normal, faint where unreadable.
    fn colors(&self, view: &ViewContext<'_>) -> Vec<Color32> {
        let theme = view.theme;
        let mut colors = vec![theme.ink; self.width.max(1) as usize];
        let mut ink = |range: std::ops::Range<i64>, color: Color32| {
            let cut = |x: i64| x.clamp(0, self.width) as usize;
            let (from, to) = (cut(range.start), cut(range.end));
            if from < to {
                colors[from..to].fill(color);
            }
        };
        let rate = view.snapshot.recording.rate;
        for beat in self.marked(&view.snapshot.beats).filter(|b| b.class != BeatClass::N) {
            let on = beat.waves.qrs_on.map_or(-rate.samples_from_ms(60.0), i64::from);
            let off = beat.waves.qrs_off.map_or(rate.samples_from_ms(100.0), i64::from);
            let x = self.column(beat.sample + on)..self.column(beat.sample + off);
            ink(x.start..x.end.max(x.start + self.thick(1.5)), theme.class(beat.class));
        }
        for hole in touching(&view.snapshot.unreadable, self.span) {
            ink(self.columns(hole), theme.faint);
        }
        colors
    }

    /// A tick at the top of the row for each beat that is not normal, one at the bottom for each changed one.
    fn class_ticks(&self, canvas: &mut Canvas, view: &ViewContext<'_>) {
        for beat in self.marked(&view.snapshot.beats) {
            let x = self.column(beat.sample);
            if beat.class != BeatClass::N {
                let color = view.theme.class(beat.class);
                canvas.fill(x..x + self.thick(1.5), self.top..self.top + self.thick(3.0), color);
            }
            if beat.is_changed() {
                self.caret(canvas, x, view.theme);
            }
        }
    }

    fn caret(&self, canvas: &mut Canvas, x: i64, theme: &Theme) {
        let tall = self.thick(5.0);
        for y in 0..tall {
            canvas.fill(
                x - y / 2 - 1..x + y / 2 + 1,
                self.bottom - tall + y - 1..self.bottom - tall + y,
                theme.edge,
            );
        }
    }

    fn marked<'a>(&self, beats: &'a [Beat]) -> impl Iterator<Item = &'a Beat> {
        beats[beats_in(beats, self.span)].iter()
    }
}

/// Those of sorted, disjoint `spans` that touch `span`.
fn touching(spans: &[Span], span: Span) -> impl Iterator<Item = Span> {
    let first = spans.partition_point(|s| s.end <= span.start);
    spans[first..].iter().copied().take_while(move |s| s.start < span.end)
}
