//! Runs one view without a display, for the tests of the views.

use beatledger_core::session::Snapshot;
use egui::epaint::ClippedPrimitive;
use egui::{Context, Event as Input, Pos2, RawInput, Rect};

use crate::app::act::Act;
use crate::app::selection::Selection;
use crate::paint::theme::{LIGHT, Theme};
use crate::pictures::raster::Raster;
use crate::shell::view_context::ViewContext;

/// Runs one view without a display, keeps what it asks for, and counts vertices.
pub struct ViewBench {
    /// The egui context.
    pub ctx: Context,
    /// The day.
    pub snapshot: Snapshot,
    /// What is selected.
    pub selection: Selection,
    /// The place in the day.
    pub place: i64,
    /// Colours.
    pub theme: Theme,
    /// Size of the window, points.
    pub size: [f32; 2],
    /// What the view asked for in the last frame.
    pub acts: Vec<Act>,
    /// True when the last frame asked to be drawn again at once.
    pub restless: bool,
    /// Vertices of the last frame.
    pub vertices: usize,
    /// Accessible names of the last frame.
    pub names: Vec<String>,
    /// Physical pixels a point.
    pub pixels_per_point: f32,
    raster: Raster,
    primitives: Vec<ClippedPrimitive>,
}

impl ViewBench {
    /// A window of 1000 x 500 points on `snapshot`.
    pub fn new(snapshot: Snapshot) -> Self {
        let place = snapshot.recording.samples / 3;
        let ctx = Context::default();
        crate::paint::fonts::install(&ctx);
        crate::paint::theme::install(&ctx);
        ctx.enable_accesskit();
        Self {
            ctx,
            snapshot,
            selection: Selection::default(),
            place,
            theme: LIGHT,
            size: [1000.0, 500.0],
            acts: Vec::new(),
            restless: false,
            vertices: 0,
            names: Vec::new(),
            pixels_per_point: 1.0,
            raster: Raster::default(),
            primitives: Vec::new(),
        }
    }

    /// Runs one frame with these inputs.
    pub fn frame(&mut self, inputs: Vec<Input>, draw: impl FnMut(&mut egui::Ui, &mut ViewContext<'_>)) {
        let mut draw = draw;
        self.acts.clear();
        let raw = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, self.size.into())),
            events: inputs,
            max_texture_side: Some(8192),
            ..RawInput::default()
        };
        let (acts, snapshot, selection) = (&mut self.acts, &self.snapshot, &self.selection);
        let (place, theme) = (self.place, &self.theme);
        let mut raw = raw;
        if let Some(window) = raw.viewports.get_mut(&raw.viewport_id) {
            window.native_pixels_per_point = Some(self.pixels_per_point);
        }
        let mut output = self.ctx.run_ui(raw, |ui| {
            draw(ui, &mut ViewContext { snapshot, selection, place, theme, acts });
        });
        let delay = output.viewport_output.values().map(|v| v.repaint_delay).min();
        self.restless = delay.is_some_and(|d| d.is_zero());
        self.names = output
            .platform_output
            .accesskit_update
            .iter()
            .flat_map(|u| &u.nodes)
            .filter_map(|(_, node)| node.label().map(str::to_owned))
            .collect();
        self.raster.update(&mut output.textures_delta);
        output.textures_delta.clear();
        self.primitives = self.ctx.tessellate(output.shapes, output.pixels_per_point);
        self.vertices = self
            .primitives
            .iter()
            .map(|p| match &p.primitive {
                egui::epaint::Primitive::Mesh(mesh) => mesh.vertices.len(),
                egui::epaint::Primitive::Callback(_) => 0,
            })
            .sum();
    }

    /// The picture of the last frame.
    pub fn picture(&self) -> image::RgbaImage {
        let size = self.size.map(|points| (points * self.pixels_per_point).round() as usize);
        self.raster.paint(size, self.pixels_per_point, &self.primitives, self.theme.panel)
    }

    /// Pixels of exactly this colour in the picture of the last frame.
    pub fn count(&self, color: egui::Color32) -> usize {
        self.picture().pixels().filter(|p| p.0 == color.to_array()).count()
    }

    /// Runs frames until the view rests; fails when it never does.
    pub fn settle(&mut self, mut draw: impl FnMut(&mut egui::Ui, &mut ViewContext<'_>)) {
        for _ in 0..30 {
            self.frame(Vec::new(), &mut draw);
            if !self.restless {
                return;
            }
        }
        panic!("the view never rests");
    }

    /// Moves the pointer to `from`, presses, moves to `to` and lets go; gives all acts.
    pub fn drag(
        &mut self,
        from: Pos2,
        to: Pos2,
        modifiers: egui::Modifiers,
        mut draw: impl FnMut(&mut egui::Ui, &mut ViewContext<'_>),
    ) -> Vec<Act> {
        let button = |pos, pressed| Input::PointerButton {
            pos,
            button: egui::PointerButton::Primary,
            pressed,
            modifiers,
        };
        let steps = [
            vec![Input::PointerMoved(from)],
            vec![button(from, true)],
            vec![Input::PointerMoved(from + (to - from) * 0.5)],
            vec![Input::PointerMoved(to)],
            vec![button(to, false)],
        ];
        let mut acts = Vec::new();
        for inputs in steps {
            self.frame(inputs, &mut draw);
            acts.append(&mut self.acts);
        }
        acts
    }
}
