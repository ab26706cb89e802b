//! Pictures that are small enough to commit: at most 64 colours, and how far two of them differ.

use std::collections::BTreeMap;
use std::path::Path;

use image::RgbaImage;

/// A channel may differ by this much before a pixel counts as different: fewer colours round the rest.
const CHANNEL: u8 = 32;
/// Colours of a picture.
const COLOURS: usize = 64;

type Rgb = [u8; 3];

fn rgb(pixel: &image::Rgba<u8>) -> Rgb {
    [pixel[0], pixel[1], pixel[2]]
}

fn distance(a: Rgb, b: Rgb) -> u32 {
    (0..3).map(|i| u32::from(a[i].abs_diff(b[i])).pow(2)).sum()
}

/// The most frequent colours first spread, then frequent: a colour is taken when none taken is near.
fn palette(picture: &RgbaImage) -> Vec<Rgb> {
    let mut counts: BTreeMap<Rgb, u32> = BTreeMap::new();
    picture.pixels().for_each(|p| *counts.entry(rgb(p)).or_default() += 1);
    let mut colours: Vec<(Rgb, u32)> = counts.into_iter().collect();
    colours.sort_by_key(|(colour, n)| (std::cmp::Reverse(*n), *colour));
    let mut taken: Vec<Rgb> = Vec::new();
    for near in [32 * 32, 16 * 16, 0] {
        for (colour, _) in &colours {
            let is_new = taken.iter().all(|t| distance(*t, *colour) > near);
            if taken.len() < COLOURS && is_new {
                taken.push(*colour);
            }
        }
    }
    taken
}

/// Writes a picture with an indexed palette of at most 64 colours.
pub fn write_small_png(picture: &RgbaImage, path: &Path) {
    let colours = palette(picture);
    let mut nearest: BTreeMap<Rgb, u8> = BTreeMap::new();
    let mut index = |colour: Rgb| {
        *nearest.entry(colour).or_insert_with(|| {
            let at = (0..colours.len()).min_by_key(|i| distance(colours[*i], colour));
            at.unwrap_or_default() as u8
        })
    };
    let pixels: Vec<u8> = picture.pixels().map(|p| index(rgb(p))).collect();
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, picture.width(), picture.height());
    encoder.set_color(png::ColorType::Indexed);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_palette(colours.concat());
    encoder.set_compression(png::Compression::High);
    encoder.set_filter(png::Filter::NoFilter);
    let written = encoder.write_header().and_then(|mut w| w.write_image_data(&pixels));
    written.unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    std::fs::write(path, bytes).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
}

/// Reads a picture; `None` when it is not there.
pub fn read_png(path: &Path) -> Option<RgbaImage> {
    image::open(path).ok().map(|p| p.to_rgba8())
}

/// Share of pixels that differ, 0 to 1; 1 when the sizes do.
pub fn difference(a: &RgbaImage, b: &RgbaImage) -> f64 {
    if a.dimensions() != b.dimensions() {
        return 1.0;
    }
    let far = |(a, b): &(&image::Rgba<u8>, &image::Rgba<u8>)| (0..3).any(|i| a[i].abs_diff(b[i]) > CHANNEL);
    let differing = a.pixels().zip(b.pixels()).filter(far).count();
    differing as f64 / f64::from(a.width() * a.height()).max(1.0)
}
