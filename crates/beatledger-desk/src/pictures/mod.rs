//! Pictures of the desk without a display, for documents and tests.
//!
//! `raster` paints what egui asks for on the processor alone, so that a picture is the same on every machine.
//! `gallery` lists the scenes and brings the desk into each of them by commands.
//! Nothing of the window depends on this folder.

pub mod gallery;
pub mod raster;

use std::path::Path;

use anyhow::Context as _;
use egui::{Context, Pos2, RawInput, Rect, vec2};

/// Size and scale of a picture.
#[derive(Clone, Copy, Debug)]
pub struct Frame {
    /// Width and height in points.
    pub size: [f32; 2],
    /// Physical pixels per point.
    pub pixels_per_point: f32,
}

impl Default for Frame {
    fn default() -> Self {
        Self { size: [1280.0, 800.0], pixels_per_point: 1.0 }
    }
}

/// A window without a display: runs frames and paints the last one.
pub struct Headless {
    context: Context,
    raster: raster::Raster,
    frame: Frame,
    time_s: f64,
}

impl Headless {
    /// A new context of the given size.
    pub fn new(frame: Frame) -> Self {
        Self { context: Context::default(), raster: raster::Raster::default(), frame, time_s: 0.0 }
    }

    /// The context, for fonts and theme.
    pub fn context(&self) -> &Context {
        &self.context
    }

    /// Runs `frames` frames of `ui` and gives the picture of the last one.
    pub fn picture(&mut self, frames: usize, mut ui: impl FnMut(&mut egui::Ui)) -> image::RgbaImage {
        let mut primitives = Vec::new();
        for _ in 0..frames.max(1) {
            self.time_s += 0.1;
            let mut output = self.context.run_ui(self.input(), |root| ui(root));
            self.raster.update(&mut output.textures_delta);
            primitives = self.context.tessellate(output.shapes, output.pixels_per_point);
        }
        let size_px = self.frame.size.map(|points| (points * self.frame.pixels_per_point).round() as usize);
        let background = self.context.global_style().visuals.panel_fill;
        self.raster.paint(size_px, self.frame.pixels_per_point, &primitives, background)
    }

    fn input(&self) -> RawInput {
        let [width, height] = self.frame.size;
        let mut input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, vec2(width, height))),
            time: Some(self.time_s),
            ..RawInput::default()
        };
        if let Some(viewport) = input.viewports.get_mut(&input.viewport_id) {
            viewport.native_pixels_per_point = Some(self.frame.pixels_per_point);
        }
        input
    }
}

/// Writes a picture as PNG.
pub fn write_png(picture: &image::RgbaImage, path: &Path) -> anyhow::Result<()> {
    picture.save(path).with_context(|| format!("could not write the picture {}", path.display()))
}
