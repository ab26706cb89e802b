//! The picture of the points in physical pixels: normal beats as a density, the others as signs by class.

use beatledger_core::model::BeatClass;
use egui::{Color32, Pos2, vec2};

use super::points::{Point, Points};
use crate::app::selection::Selection;
use crate::paint::canvas::Canvas;
use crate::paint::picture_keys::{DayKey, SelectionKey};
use crate::paint::theme::Theme;

/// What the picture depends on.
#[derive(PartialEq)]
pub struct ScatterKey {
    pub day: DayKey,
    pub selection: SelectionKey,
    pub dark: bool,
}

/// The sign of a class in words.
pub fn sign_words(class: BeatClass) -> &'static str {
    match class {
        BeatClass::N => "dots",
        BeatClass::S => "triangles",
        BeatClass::V => "squares",
        BeatClass::F => "diamonds",
        BeatClass::Q => "crosses",
    }
}

/// Corners of the sign of a class for the legend; empty where it is no polygon.
pub fn sign_outline(class: BeatClass, at: Pos2, half: f32) -> Vec<Pos2> {
    match class {
        BeatClass::S => vec![at + vec2(0.0, -half), at + vec2(half, half), at + vec2(-half, half)],
        BeatClass::V => {
            let h = half * 0.8;
            vec![at + vec2(-h, -h), at + vec2(h, -h), at + vec2(h, h), at + vec2(-h, h)]
        }
        BeatClass::F => {
            vec![at + vec2(0.0, -half), at + vec2(half, 0.0), at + vec2(0.0, half), at + vec2(-half, 0.0)]
        }
        BeatClass::N | BeatClass::Q => Vec::new(),
    }
}

/// True when the sign of a class covers the pixel `(x, y)` from its middle; `half` is half its size.
fn covers(class: BeatClass, x: i64, y: i64, half: i64) -> bool {
    match class {
        BeatClass::N => x.abs() <= half / 3 && y.abs() <= half / 3,
        BeatClass::S => 2 * x.abs() <= y + half,
        BeatClass::V => x.abs() < half && y.abs() < half,
        BeatClass::F => x.abs() + y.abs() <= half,
        BeatClass::Q => (x.abs() - y.abs()).abs() <= half / 4,
    }
}

/// Paints grid, identity line, points and the selection.
pub fn paint(
    canvas: &mut Canvas,
    points: &Points,
    theme: &Theme,
    selection: &Selection,
    pixels_per_point: f32,
) {
    let picture = Picture {
        width: canvas.width() as i64,
        height: canvas.height() as i64,
        range_ms: points.range_ms,
        half: (3.0 * pixels_per_point).round() as i64,
        px: pixels_per_point.round().max(1.0) as i64,
    };
    picture.paper(canvas, theme);
    picture.density(canvas, points, theme);
    for class in BeatClass::ALL.into_iter().skip(1) {
        for point in points.list.iter().filter(|p| p.class == class) {
            picture.stamp(canvas, point, picture.half, theme.class(class), 0.75);
        }
    }
    if selection.beats.is_empty() {
        return;
    }
    // Selected beats last: an edge around the sign, so that they stand out in any crowd.
    for point in points.list.iter().filter(|p| selection.contains(p.sample)) {
        picture.ring(canvas, point, theme.edge);
    }
}

/// Reach of the dot of a normal beat, pixels.
const DOT_PX: i64 = 2;

struct Picture {
    width: i64,
    height: i64,
    range_ms: (f32, f32),
    half: i64,
    px: i64,
}

impl Picture {
    fn at(&self, before_ms: f32, after_ms: f32) -> (i64, i64) {
        let (low, high) = self.range_ms;
        let share = |ms: f32| ((ms - low) / (high - low)).clamp(0.0, 1.0);
        let x = (share(before_ms) * (self.width - 1) as f32).round() as i64;
        (x, ((1.0 - share(after_ms)) * (self.height - 1) as f32).round() as i64)
    }

    fn paper(&self, canvas: &mut Canvas, theme: &Theme) {
        for ms in (0..=self.range_ms.1 as i32).step_by(200).filter(|ms| *ms as f32 >= self.range_ms.0) {
            let (x, y) = self.at(ms as f32, ms as f32);
            canvas.fill(x..x + 1, 0..self.height, theme.grid_fine);
            canvas.fill(0..self.width, y..y + 1, theme.grid_fine);
        }
        for x in 0..self.width {
            let y = ((1.0 - x as f32 / self.width.max(1) as f32) * self.height as f32) as i64;
            canvas.fill(x..x + 1, y - self.px / 2..y + self.px, theme.grid_bold);
        }
    }

    /// Normal beats: the darker, the more of them.
    fn density(&self, canvas: &mut Canvas, points: &Points, theme: &Theme) {
        let mut crowd = vec![0f32; (self.width * self.height).max(0) as usize];
        // A soft dot, wider than the step between two samples, so that the grid of samples makes no pattern.
        let kernel: Vec<(i64, i64, f32)> = (-DOT_PX..=DOT_PX)
            .flat_map(|dx| (-DOT_PX..=DOT_PX).map(move |dy| (dx, dy)))
            .map(|(dx, dy)| (dx, dy, (-0.7 * (dx * dx + dy * dy) as f32).exp()))
            .collect();
        for point in points.list.iter().filter(|p| p.class == BeatClass::N) {
            let (x, y) = self.at(point.before_ms, point.after_ms);
            for (dx, dy, weight) in &kernel {
                if (0..self.width).contains(&(x + dx)) && (0..self.height).contains(&(y + dy)) {
                    crowd[((y + dy) * self.width + x + dx) as usize] += weight;
                }
            }
        }
        for (at, beats) in crowd.iter().enumerate().filter(|(_, n)| **n > 0.05) {
            let cover = (0.34 * beats.min(1.0) + 0.15 * beats.max(1.0).ln()).min(1.0);
            canvas.blend(at as i64 % self.width, at as i64 / self.width, theme.ink, cover);
        }
    }

    fn stamp(&self, canvas: &mut Canvas, point: &Point, half: i64, color: Color32, share: f32) {
        let (x, y) = self.at(point.before_ms, point.after_ms);
        for (dx, dy) in (-half..=half).flat_map(|dx| (-half..=half).map(move |dy| (dx, dy))) {
            if covers(point.class, dx, dy, half) {
                canvas.blend(x + dx, y + dy, color, share);
            }
        }
    }

    fn ring(&self, canvas: &mut Canvas, point: &Point, color: Color32) {
        let (x, y) = self.at(point.before_ms, point.after_ms);
        let half = self.half + self.px;
        canvas.fill(x - half..x + half + 1, y - half..y - half + self.px, color);
        canvas.fill(x - half..x + half + 1, y + half..y + half + self.px, color);
        canvas.fill(x - half..x - half + self.px, y - half..y + half, color);
        canvas.fill(x + half..x + half + self.px, y - half..y + half + self.px, color);
    }
}
