//! A picture of egui's output made on the CPU alone: the same picture on every machine, with no display.
//!
//! It draws textured triangles the way egui's own painters do: colours are premultiplied and blended in
//! gamma space, a pixel belongs to a triangle when its centre lies inside (top-left rule on edges).

use std::collections::BTreeMap;
use std::sync::Arc;

use egui::epaint::{ClippedPrimitive, Mesh, Primitive, Vertex};
use egui::{Color32, ColorImage, ImageData, Rect, TextureFilter, TextureId, TexturesDelta};

/// Keeps the textures that egui hands out, and paints.
#[derive(Default)]
pub struct Raster {
    textures: BTreeMap<TextureId, Texture>,
    to_free: Vec<TextureId>,
}

struct Texture {
    image: Arc<ColorImage>,
    nearest: bool,
}

/// The pixels painted into: premultiplied, opaque at the end because the background is.
struct Canvas {
    width: usize,
    height: usize,
    pixels: Vec<Color32>,
}

impl Raster {
    /// Takes in new and changed textures; call once for each frame, in order. Textures that egui gives up
    /// live until the next frame, because this one may still show them. `delta` is emptied.
    pub fn update(&mut self, delta: &mut TexturesDelta) {
        for id in self.to_free.drain(..) {
            self.textures.remove(&id);
        }
        self.to_free.extend(&delta.free);
        for (id, patches) in &delta.set {
            for patch in patches {
                let ImageData::Color(image) = &patch.image;
                let nearest = patch.options.magnification == TextureFilter::Nearest;
                match (patch.pos, self.textures.get_mut(id)) {
                    (Some(at), Some(texture)) => blit(Arc::make_mut(&mut texture.image), image, at),
                    _ => {
                        self.textures.insert(*id, Texture { image: image.clone(), nearest });
                    }
                }
            }
        }
        delta.clear();
    }

    /// Paints the primitives of one frame on `background`.
    pub fn paint(
        &self,
        size_px: [usize; 2],
        pixels_per_point: f32,
        primitives: &[ClippedPrimitive],
        background: Color32,
    ) -> image::RgbaImage {
        let [width, height] = size_px;
        let mut canvas = Canvas { width, height, pixels: vec![background; width * height] };
        for ClippedPrimitive { clip_rect, primitive } in primitives {
            let Primitive::Mesh(mesh) = primitive else { continue };
            self.paint_mesh(&mut canvas, mesh, *clip_rect, pixels_per_point);
        }
        let bytes = canvas.pixels.iter().flat_map(|p| p.to_array()).collect();
        // The buffer has four bytes for each of width x height pixels by construction.
        image::RgbaImage::from_raw(width as u32, height as u32, bytes).unwrap_or_default()
    }

    fn paint_mesh(&self, canvas: &mut Canvas, mesh: &Mesh, clip: Rect, pixels_per_point: f32) {
        let Some(texture) = self.textures.get(&mesh.texture_id) else { return };
        let clip = [
            ((clip.min.x * pixels_per_point).round().max(0.0)) as usize,
            ((clip.min.y * pixels_per_point).round().max(0.0)) as usize,
            ((clip.max.x * pixels_per_point).round().max(0.0) as usize).min(canvas.width),
            ((clip.max.y * pixels_per_point).round().max(0.0) as usize).min(canvas.height),
        ];
        for corner in mesh.indices.chunks_exact(3) {
            let corners = [corner[0], corner[1], corner[2]].map(|i| mesh.vertices.get(i as usize).copied());
            let [Some(a), Some(b), Some(c)] = corners else { continue };
            canvas.triangle([a, b, c], clip, pixels_per_point, texture);
        }
    }
}

fn blit(into: &mut ColorImage, patch: &ColorImage, at: [usize; 2]) {
    let [w, h] = patch.size;
    for y in 0..h.min(into.size[1].saturating_sub(at[1])) {
        let to = (at[1] + y) * into.size[0] + at[0];
        let n = w.min(into.size[0].saturating_sub(at[0]));
        into.pixels[to..to + n].copy_from_slice(&patch.pixels[y * w..y * w + n]);
    }
}

impl Texture {
    /// Colour at `u`, `v` in 0..=1, clamped at the edges.
    fn sample(&self, u: f32, v: f32) -> [f32; 4] {
        let [w, h] = self.image.size;
        if w == 0 || h == 0 {
            return [255.0; 4];
        }
        let (x, y) = (u * w as f32 - 0.5, v * h as f32 - 0.5);
        let at = |x: f32, y: f32| {
            let (x, y) = (x.clamp(0.0, (w - 1) as f32) as usize, y.clamp(0.0, (h - 1) as f32) as usize);
            self.image.pixels[y * w + x].to_array().map(f32::from)
        };
        if self.nearest {
            return at(x.round(), y.round());
        }
        let (x0, y0) = (x.floor(), y.floor());
        let (fx, fy) = (x - x0, y - y0);
        let [a, b, c, d] = [at(x0, y0), at(x0 + 1.0, y0), at(x0, y0 + 1.0), at(x0 + 1.0, y0 + 1.0)];
        std::array::from_fn(|i| {
            (a[i] * (1.0 - fx) + b[i] * fx) * (1.0 - fy) + (c[i] * (1.0 - fx) + d[i] * fx) * fy
        })
    }
}

impl Canvas {
    fn triangle(&mut self, corners: [Vertex; 3], clip: [usize; 4], pixels_per_point: f32, texture: &Texture) {
        let [a, mut b, mut c] = corners;
        let at = |v: &Vertex| (v.pos.x * pixels_per_point, v.pos.y * pixels_per_point);
        let area = cross(at(&a), at(&b), at(&c));
        if !area.is_finite() || area == 0.0 {
            return;
        }
        if area < 0.0 {
            std::mem::swap(&mut b, &mut c);
        }
        let (pa, pb, pc) = (at(&a), at(&b), at(&c));
        let low = |x: f32, y: f32, z: f32| x.min(y).min(z).floor().max(0.0) as usize;
        let high = |x: f32, y: f32, z: f32| x.max(y).max(z).ceil().max(0.0) as usize;
        let (x0, x1) = (low(pa.0, pb.0, pc.0).max(clip[0]), high(pa.0, pb.0, pc.0).min(clip[2]));
        let (y0, y1) = (low(pa.1, pb.1, pc.1).max(clip[1]), high(pa.1, pb.1, pc.1).min(clip[3]));
        let flat = a.uv == b.uv && b.uv == c.uv;
        let flat_texel = texture.sample(a.uv.x, a.uv.y);
        for y in y0..y1 {
            for x in x0..x1 {
                let p = (x as f32 + 0.5, y as f32 + 0.5);
                let (wa, wb, wc) = (cross(pb, pc, p), cross(pc, pa, p), cross(pa, pb, p));
                if !(inside(wa, pb, pc) && inside(wb, pc, pa) && inside(wc, pa, pb)) {
                    continue;
                }
                let sum = wa + wb + wc;
                let mix = |f: &dyn Fn(&Vertex) -> f32| (wa * f(&a) + wb * f(&b) + wc * f(&c)) / sum;
                let texel =
                    if flat { flat_texel } else { texture.sample(mix(&|v| v.uv.x), mix(&|v| v.uv.y)) };
                let source: [f32; 4] =
                    std::array::from_fn(|i| mix(&|v| f32::from(v.color.to_array()[i])) * texel[i] / 255.0);
                self.blend(y * self.width + x, source);
            }
        }
    }

    fn blend(&mut self, at: usize, source: [f32; 4]) {
        let under = self.pixels[at].to_array();
        let keep = 1.0 - source[3] / 255.0;
        let [r, g, b, a] =
            std::array::from_fn(|i| (source[i] + f32::from(under[i]) * keep).round().clamp(0.0, 255.0) as u8);
        self.pixels[at] = Color32::from_rgba_premultiplied(r, g, b, a);
    }
}

/// Twice the signed area of the triangle; positive when it turns clockwise on a screen whose y points down.
fn cross(a: (f32, f32), b: (f32, f32), c: (f32, f32)) -> f32 {
    (b.0 - a.0) * (c.1 - a.1) - (b.1 - a.1) * (c.0 - a.0)
}

/// Top-left rule: a centre exactly on an edge belongs to one of the two triangles that share it.
fn inside(weight: f32, from: (f32, f32), to: (f32, f32)) -> bool {
    let top_left = to.1 < from.1 || (to.1 == from.1 && to.0 > from.0);
    weight > 0.0 || (weight == 0.0 && top_left)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn white() -> Raster {
        let mut raster = Raster::default();
        let image = Arc::new(ColorImage::filled([1, 1], Color32::WHITE));
        raster.textures.insert(TextureId::default(), Texture { image, nearest: true });
        raster
    }

    fn painted(mesh: Mesh) -> image::RgbaImage {
        let clip_rect = Rect::from_min_max(egui::pos2(0.0, 0.0), egui::pos2(10.0, 10.0));
        let primitive = ClippedPrimitive { clip_rect, primitive: Primitive::Mesh(mesh) };
        white().paint([10, 10], 1.0, &[primitive], Color32::BLACK)
    }

    #[test]
    fn a_half_transparent_square_covers_each_of_its_pixels_once() {
        let mut mesh = Mesh::default();
        let rect = Rect::from_min_max(egui::pos2(2.0, 2.0), egui::pos2(8.0, 8.0));
        mesh.add_colored_rect(rect, Color32::from_rgba_premultiplied(100, 0, 0, 128));
        let picture = painted(mesh);
        let red = picture.pixels().filter(|p| p.0[0] == 100).count();
        assert_eq!(red, 36, "two triangles share the diagonal and must not blend twice");
        assert_eq!(picture.get_pixel(1, 5).0, [0, 0, 0, 255]);
    }

    #[test]
    fn nothing_is_painted_outside_the_picture() {
        let mut mesh = Mesh::default();
        let rect = Rect::from_min_max(egui::pos2(-50.0, -50.0), egui::pos2(50.0, 50.0));
        mesh.add_colored_rect(rect, Color32::WHITE);
        assert!(painted(mesh).pixels().all(|p| p.0 == [255; 4]));
    }
}
