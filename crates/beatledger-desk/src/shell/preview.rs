//! The first minutes of tracing, shown on an empty desk while the day is still being read and analysed.

use beatledger_core::model::{Recording, Span};
use beatledger_core::settings::Settings;
use egui::{Rect, Sense, Shape, Stroke, Ui, pos2, vec2};

use crate::paint::theme::Theme;
use crate::shell::identity::{length_words, start_words};
use crate::tracing::pyramid::{Column, direct_columns};

const ROWS: i64 = 12;
const ROW_SECONDS: f64 = 60.0;
const COLUMNS: usize = 900;
const ROW_PT: f32 = 26.0;
/// Half of the height of a row, mV: taller waves are cut.
const HALF_ROW_MV: f32 = 1.5;

/// Rows of the first lead, ready to be drawn.
pub struct Preview {
    words: String,
    rows: Vec<Vec<Column>>,
}

impl Preview {
    /// Reads the first minutes of `recording`, filtered as the day strip is.
    pub fn of(recording: &Recording, settings: &Settings) -> Self {
        let at = |row: i64| recording.rate.samples_from_seconds(ROW_SECONDS * row as f64);
        let rows = (0..ROWS).filter(|row| at(*row) < recording.samples);
        let rows = rows
            .map(|row| direct_columns(recording, settings, 0, Span::new(at(row), at(row + 1)), COLUMNS))
            .collect();
        let lead = recording.leads.first().map_or("", |l| &l.name);
        let words = format!(
            "First look: {}, {}, {}, {}; lead {lead}, a minute in a row, before any analysis",
            recording.name,
            recording.format,
            start_words(recording),
            length_words(recording)
        );
        Self { words, rows }
    }

    /// Draws the rows below each other.
    pub fn show(&self, ui: &mut Ui, theme: &Theme) {
        ui.label(&self.words);
        let width = (ui.available_width() - 32.0).max(50.0);
        let height = (self.rows.len() as f32 * ROW_PT).min(ui.available_height().max(ROW_PT));
        let (rect, _) = ui.allocate_exact_size(vec2(width, height), Sense::hover());
        let painter = ui.painter_at(rect);
        painter.rect_filled(rect, 0.0, theme.paper);
        for (i, row) in self.rows.iter().enumerate() {
            let top = rect.top() + i as f32 * ROW_PT;
            let room = Rect::from_min_size(pos2(rect.left(), top), vec2(width, ROW_PT));
            painter.extend(line(row, room).map(|points| Shape::line(points, Stroke::new(1.0, theme.ink))));
        }
    }
}

/// The line through the columns of a row, in pieces where samples are missing.
fn line(row: &[Column], room: Rect) -> impl Iterator<Item = Vec<egui::Pos2>> {
    let step = room.width() / row.len().max(1) as f32;
    let y = move |mv: f32| {
        let part = (mv / HALF_ROW_MV).clamp(-1.0, 1.0);
        room.center().y - part * room.height() / 2.0
    };
    let point = move |i: usize, (low, high): Column| {
        let x = room.left() + (i as f32 + 0.5) * step;
        [pos2(x, y(low)), pos2(x, y(high))]
    };
    let columns: Vec<(usize, Column)> = row.iter().copied().enumerate().collect();
    let is_there = |c: &Column| c.0.is_finite() && c.1.is_finite();
    let pieces: Vec<Vec<egui::Pos2>> = columns
        .split(|(_, c)| !is_there(c))
        .filter(|piece| !piece.is_empty())
        .map(|piece| piece.iter().flat_map(|(i, c)| point(*i, *c)).collect())
        .collect();
    pieces.into_iter()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tests::made::MadeDay;

    #[test]
    fn it_shows_as_many_minutes_as_there_are_and_no_line_where_samples_are_missing() {
        let day = MadeDay::minutes(3).snapshot();
        let first = Preview::of(&day.recording, &day.settings);
        assert_eq!(first.rows.len(), 3);
        let room = Rect::from_min_size(pos2(0.0, 0.0), vec2(90.0, 30.0));
        assert_eq!(line(&first.rows[1], room).count(), 1);
        let gone = (f32::NAN, f32::NAN);
        let pieces: Vec<_> = line(&[(0.0, 1.5), gone, gone, (-9.0, 0.0)], room).collect();
        assert_eq!(pieces.iter().map(Vec::len).collect::<Vec<_>>(), [2, 2]);
        assert_eq!((pieces[0][0].y, pieces[0][1].y, pieces[1][0].y), (15.0, 0.0, 30.0));
    }
}
