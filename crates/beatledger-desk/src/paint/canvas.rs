//! Pictures in physical pixels, kept in a texture until what they show changes.

use std::ops::Range;

use egui::{Color32, ColorImage, Painter, Rect, TextureHandle, TextureOptions, pos2};

/// An opaque picture in physical pixels. Everything outside it is cut off, nothing panics.
pub struct Canvas {
    width: usize,
    height: usize,
    pixels: Vec<Color32>,
}

impl Canvas {
    /// A picture of one colour.
    pub fn new(width: usize, height: usize, fill: Color32) -> Self {
        Self { width, height, pixels: vec![fill; width * height] }
    }

    /// Width in pixels.
    pub fn width(&self) -> usize {
        self.width
    }

    /// Height in pixels.
    pub fn height(&self) -> usize {
        self.height
    }

    /// Paints a box of whole pixels.
    pub fn fill(&mut self, x: Range<i64>, y: Range<i64>, color: Color32) {
        let (x, y) = (self.cut(x, self.width), self.cut(y, self.height));
        for row in y {
            self.pixels[row * self.width + x.start..row * self.width + x.end].fill(color);
        }
    }

    /// Mixes `color` into one pixel; `cover` 0 leaves it, 1 replaces it.
    pub fn blend(&mut self, x: i64, y: i64, color: Color32, cover: f32) {
        if x < 0 || y < 0 || x >= self.width as i64 || y >= self.height as i64 {
            return;
        }
        // The test above keeps the index inside the picture.
        let pixel = &mut self.pixels[y as usize * self.width + x as usize];
        let share = (cover.clamp(0.0, 1.0) * 256.0) as u32;
        let mix = |a: u8, b: u8| ((u32::from(a) * (256 - share) + u32::from(b) * share) >> 8) as u8;
        *pixel = Color32::from_rgb(
            mix(pixel.r(), color.r()),
            mix(pixel.g(), color.g()),
            mix(pixel.b(), color.b()),
        );
    }

    /// A vertical stroke in column `x` from `top` to `bottom` (pixels, fractions soften the ends); `share`
    /// below 1 lets what is below shine through.
    pub fn stroke(&mut self, x: i64, top: f32, bottom: f32, color: Color32, share: f32) {
        let Some(column) = usize::try_from(x).ok().filter(|x| *x < self.width) else { return };
        if !(top.is_finite() && bottom.is_finite()) {
            return;
        }
        let top = top.clamp(0.0, self.height as f32);
        let bottom = bottom.clamp(0.0, self.height as f32);
        let solid = Color32::from_rgb(color.r(), color.g(), color.b());
        for y in top.floor() as usize..bottom.ceil() as usize {
            let cover = share * (bottom.min(y as f32 + 1.0) - top.max(y as f32)).max(0.0);
            if cover < 1.0 {
                self.blend(x, y as i64, color, cover);
            } else if let Some(pixel) = self.pixels.get_mut(y * self.width + column) {
                *pixel = solid;
            }
        }
    }

    /// Diagonal lines `period` pixels apart and `width` pixels wide.
    pub fn hatch(&mut self, x: Range<i64>, y: Range<i64>, color: Color32, period: i64, width: i64) {
        let (x, y) = (self.cut(x, self.width), self.cut(y, self.height));
        let period = period.max(2);
        for row in y {
            for column in x.clone() {
                if (column + row) as i64 % period < width {
                    self.pixels[row * self.width + column] = color;
                }
            }
        }
    }

    fn cut(&self, range: Range<i64>, limit: usize) -> Range<usize> {
        let start = range.start.clamp(0, limit as i64) as usize;
        start..(range.end.clamp(0, limit as i64) as usize).max(start)
    }

    fn image(self) -> ColorImage {
        ColorImage::new([self.width, self.height], self.pixels)
    }
}

/// A picture that is painted again only when its key or its size changes, and kept in a texture.
pub struct KeptPicture<K> {
    key: Option<(K, [usize; 2])>,
    texture: Option<TextureHandle>,
}

impl<K> Default for KeptPicture<K> {
    fn default() -> Self {
        Self { key: None, texture: None }
    }
}

impl<K: PartialEq> KeptPicture<K> {
    /// Shows the picture in `rect` (already on whole pixels, see [`snapped`]), painting it first if needed.
    pub fn show(
        &mut self,
        painter: &Painter,
        rect: Rect,
        key: K,
        fill: Color32,
        paint: impl FnOnce(&mut Canvas),
    ) {
        // Larger than the graphics hardware takes: a coarser picture, stretched.
        let most = painter.ctx().input(|i| i.max_texture_side) as f32;
        let size = (rect.size() * painter.pixels_per_point()).round();
        let size = size.clamp(egui::Vec2::ZERO, egui::Vec2::splat(most));
        let size = [size.x as usize, size.y as usize];
        if size.contains(&0) {
            return;
        }
        if self.key.as_ref().is_none_or(|(k, s)| *k != key || *s != size) {
            let mut canvas = Canvas::new(size[0], size[1], fill);
            paint(&mut canvas);
            match &mut self.texture {
                Some(texture) => texture.set(canvas.image(), TextureOptions::NEAREST),
                None => {
                    let texture =
                        painter.ctx().load_texture("plate", canvas.image(), TextureOptions::NEAREST);
                    self.texture = Some(texture);
                }
            }
            self.key = Some((key, size));
        }
        if let Some(texture) = &self.texture {
            let all = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
            painter.image(texture.id(), rect, all, Color32::WHITE);
        }
    }
}

/// `rect` moved to whole physical pixels, so that a picture in it stays sharp.
pub fn snapped(rect: Rect, pixels_per_point: f32) -> Rect {
    let snap = |x: f32| (x * pixels_per_point).round() / pixels_per_point;
    Rect::from_min_max(pos2(snap(rect.min.x), snap(rect.min.y)), pos2(snap(rect.max.x), snap(rect.max.y)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stroke_covers_parts_of_pixels_and_never_leaves_the_picture() {
        let mut canvas = Canvas::new(2, 4, Color32::WHITE);
        canvas.stroke(0, 1.5, 2.5, Color32::BLACK, 1.0);
        canvas.stroke(7, -9.0, 99.0, Color32::BLACK, 1.0);
        canvas.stroke(1, f32::NAN, 2.0, Color32::BLACK, 1.0);
        let grey: Vec<u8> = canvas.pixels.iter().map(|p| p.r()).collect();
        assert_eq!(grey, [255, 255, 127, 255, 127, 255, 255, 255]);
    }
}
