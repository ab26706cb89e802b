//! The edge between stage and lens: it is dragged with the pointer or moved with keys, and stays where it was
//! put while the window is open.

use egui::{CursorIcon, EventFilter, Key, Modifiers, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2};

use crate::shell::stage::Stage;
use crate::shell::view_context::ViewContext;

/// Least height of the stage, points.
const LEAST_PT: f32 = 100.0;
/// Least height of the lens at 100 % text size, points: its words, the letters, and one lead.
const LEAST_LENS_PT: f32 = 134.0;
/// How far one press of a key moves the edge, as a share of the height.
const STEP: f32 = 0.05;
/// Half the height in which the pointer takes hold of the edge, points.
const GRIP_PT: f32 = 4.0;

/// Share of the height below the bars that the lens takes, per stage.
pub struct Splitter {
    shares: [f32; 4],
}

impl Default for Splitter {
    fn default() -> Self {
        // Rows are read together with the lens; grid, scatter and figures need more room than it.
        Self { shares: [0.55, 0.44, 0.3, 0.26] }
    }
}

impl Splitter {
    /// Height of the lens, points, where stage and lens share `height` and text has `scale` times its usual size.
    pub fn lens_pt(&self, stage: Stage, height: f32, scale: f32) -> f32 {
        let most = (height - LEAST_PT).max(height * 0.5);
        (self.shares[stage as usize] * height).clamp((LEAST_LENS_PT * scale).min(most), most).round()
    }

    /// Moves the edge by a step: up makes the lens taller. Gives the share in percent.
    pub fn step(&mut self, stage: Stage, up: bool) -> f32 {
        let by = if up { STEP } else { -STEP };
        self.set(stage, self.shares[stage as usize] + by)
    }

    fn set(&mut self, stage: Stage, share: f32) -> f32 {
        let share = share.clamp(0.15, 0.85);
        self.shares[stage as usize] = share;
        share * 100.0
    }

    /// The edge itself, between `top` and `bottom` of stage and lens; drawn after both, so that it takes the
    /// pointer before they do.
    pub fn show(&mut self, ui: &Ui, view: &ViewContext<'_>, stage: Stage, both: Rect) {
        let y =
            both.bottom() - self.lens_pt(stage, both.height(), crate::paint::headline::text_scale(ui.ctx()));
        let grip = Rect::from_x_y_ranges(both.x_range(), y - GRIP_PT..=y + GRIP_PT);
        let response =
            ui.interact(grip, egui::Id::unique("edge of the lens"), Sense::drag() | Sense::FOCUSABLE);
        let name = format!("Edge between {} and lens", stage.words().to_lowercase());
        response.widget_info(|| WidgetInfo::labeled(Role::Splitter, true, &name));
        crate::paint::focus::mark_part(&response, "edge above the lens");
        if response.hovered() || response.dragged() {
            ui.ctx().set_cursor_icon(CursorIcon::ResizeVertical);
        }
        if let (true, Some(pos)) = (response.dragged(), response.interact_pointer_pos()) {
            self.set(stage, (both.bottom() - pos.y) / both.height().max(1.0));
        }
        if response.has_focus() {
            let filter =
                EventFilter { tab: false, horizontal_arrows: false, vertical_arrows: true, escape: false };
            ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
            let pressed = |key| ui.input_mut(|i| i.consume_key(Modifiers::NONE, key));
            let (up, down) = (pressed(Key::ArrowUp), pressed(Key::ArrowDown));
            if up || down {
                self.step(stage, up);
            }
        }
        let width = if response.has_focus() || response.dragged() {
            3.0
        } else if response.hovered() {
            2.0
        } else {
            return;
        };
        ui.painter()
            .line_segment([pos2(both.left(), y), pos2(both.right(), y)], Stroke::new(width, view.theme.edge));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_sides_of_the_edge_keep_their_least_height() {
        let mut edge = Splitter::default();
        for _ in 0..30 {
            edge.step(Stage::Strip, true);
        }
        assert_eq!(edge.lens_pt(Stage::Strip, 500.0, 1.0), 400.0);
        for _ in 0..30 {
            edge.step(Stage::Strip, false);
        }
        assert_eq!(edge.lens_pt(Stage::Strip, 500.0, 1.0), LEAST_LENS_PT);
        assert!(edge.lens_pt(Stage::Strip, 60.0, 1.5) <= 60.0);
    }
}
