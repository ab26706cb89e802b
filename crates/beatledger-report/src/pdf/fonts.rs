//! The built-in fonts: measuring, wrapping, and a fallback for characters that the text font lacks.

use skrifa::instance::{LocationRef, Size};
use skrifa::metrics::GlyphMetrics;
use skrifa::{FontRef, MetadataProvider, charmap::Charmap};

use crate::ReportError;

/// Text font.
pub(super) const REGULAR: &[u8] = include_bytes!("../../../../assets/fonts/NotoSans-Regular.ttf");
/// Text font, bold.
pub(super) const BOLD: &[u8] = include_bytes!("../../../../assets/fonts/NotoSans-Bold.ttf");
/// Font for characters that the text font lacks.
pub(super) const FALLBACK: &[u8] = include_bytes!("../../../../assets/fonts/DejaVuSans.ttf");

/// Millimetres of one point.
pub(super) const MM_PER_PT: f32 = 25.4 / 72.0;
/// Stands for a character that no font has.
const MISSING: char = '\u{25a1}';

/// How strong print is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Weight {
    Regular,
    Bold,
}

/// One of the built-in fonts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum FaceId {
    Regular,
    Bold,
    Fallback,
}

struct Face {
    map: Charmap<'static>,
    metrics: GlyphMetrics<'static>,
    per_em: f32,
}

impl Face {
    fn new(bytes: &'static [u8]) -> Result<Self, ReportError> {
        let font = FontRef::new(bytes).map_err(|e| ReportError::Font(e.to_string()))?;
        Ok(Self {
            map: font.charmap(),
            metrics: font.glyph_metrics(Size::unscaled(), LocationRef::default()),
            per_em: f32::from(font.metrics(Size::unscaled(), LocationRef::default()).units_per_em),
        })
    }

    /// Width of a character in em; `None` when the font lacks it.
    fn advance(&self, c: char) -> Option<f32> {
        let glyph = self.map.map(c).filter(|g| g.to_u32() != 0)?;
        Some(self.metrics.advance_width(glyph)? / self.per_em)
    }
}

/// The fonts with what is needed for measuring.
pub(super) struct Faces {
    regular: Face,
    bold: Face,
    fallback: Face,
}

impl Faces {
    pub(super) fn new() -> Result<Self, ReportError> {
        Ok(Self { regular: Face::new(REGULAR)?, bold: Face::new(BOLD)?, fallback: Face::new(FALLBACK)? })
    }

    fn face(&self, weight: Weight) -> (FaceId, &Face) {
        match weight {
            Weight::Regular => (FaceId::Regular, &self.regular),
            Weight::Bold => (FaceId::Bold, &self.bold),
        }
    }

    /// Font and width in em of a character, after what cannot be printed was replaced.
    fn find(&self, c: char, weight: Weight) -> (FaceId, char, f32) {
        let (id, face) = self.face(weight);
        let c = printable(c);
        if let Some(em) = face.advance(c) {
            return (id, c, em);
        }
        match self.fallback.advance(c) {
            Some(em) => (FaceId::Fallback, c, em),
            // The fallback font has the sign for a missing character, so the width is never zero.
            None => (FaceId::Fallback, MISSING, self.fallback.advance(MISSING).unwrap_or(0.6)),
        }
    }

    /// Width of a line, mm.
    pub(super) fn width_mm(&self, text: &str, size_pt: f32, weight: Weight) -> f32 {
        text.chars().map(|c| self.find(c, weight).2).sum::<f32>() * size_pt * MM_PER_PT
    }

    /// The line in pieces of one font each, with the width of each, mm.
    pub(super) fn runs(&self, text: &str, size_pt: f32, weight: Weight) -> Vec<(FaceId, String, f32)> {
        let mut runs: Vec<(FaceId, String, f32)> = Vec::new();
        for c in text.chars() {
            let (id, c, em) = self.find(c, weight);
            let width = em * size_pt * MM_PER_PT;
            match runs.last_mut() {
                Some((last, run, sum)) if *last == id => {
                    run.push(c);
                    *sum += width;
                }
                _ => runs.push((id, c.to_string(), width)),
            }
        }
        runs
    }

    /// The line, cut with `…` where it is wider than `room_mm`.
    pub(super) fn cut(&self, text: &str, size_pt: f32, weight: Weight, room_mm: f32) -> String {
        if self.width_mm(text, size_pt, weight) <= room_mm {
            return text.to_owned();
        }
        let room = room_mm - self.width_mm("…", size_pt, weight);
        let mut used = 0.0;
        let kept: String = text
            .chars()
            .take_while(|c| {
                used += self.find(*c, weight).2 * size_pt * MM_PER_PT;
                used <= room
            })
            .collect();
        format!("{}…", kept.trim_end())
    }

    /// As [`Faces::wrap`], but at most `most` lines, the last one ending in `…` when there was more.
    pub(super) fn wrap_most(
        &self,
        text: &str,
        size_pt: f32,
        weight: Weight,
        room_mm: f32,
        most: usize,
    ) -> Vec<String> {
        let mut lines = self.wrap(text, size_pt, weight, room_mm);
        if lines.len() > most {
            lines.truncate(most);
            if let Some(last) = lines.last_mut() {
                *last = self.cut(&format!("{last} …"), size_pt, weight, room_mm);
            }
        }
        lines
    }

    /// Text in lines of at most `room_mm`; line breaks in the text are kept, words too wide are cut anywhere.
    pub(super) fn wrap(&self, text: &str, size_pt: f32, weight: Weight, room_mm: f32) -> Vec<String> {
        let scale = size_pt * MM_PER_PT;
        let mut lines = Vec::new();
        for paragraph in text.lines() {
            let (mut line, mut used) = (String::new(), 0.0);
            for word in paragraph.split(' ') {
                let width = self.width_mm(word, size_pt, weight);
                let space = if line.is_empty() { 0.0 } else { self.width_mm(" ", size_pt, weight) };
                if used + space + width <= room_mm {
                    if space > 0.0 {
                        line.push(' ');
                    }
                    line.push_str(word);
                    used += space + width;
                    continue;
                }
                if !line.is_empty() {
                    lines.push(std::mem::take(&mut line));
                }
                used = 0.0;
                for c in word.chars() {
                    let wide = self.find(c, weight).2 * scale;
                    if used + wide > room_mm && !line.is_empty() {
                        lines.push(std::mem::take(&mut line));
                        used = 0.0;
                    }
                    line.push(c);
                    used += wide;
                }
            }
            lines.push(line);
        }
        lines
    }
}

/// A character that may stand in an archival file: no controls, no private use, no byte order mark.
fn printable(c: char) -> char {
    match c {
        '\u{202f}' | '\u{2009}' => '\u{a0}',
        '\u{e000}'..='\u{f8ff}' | '\u{f0000}'.. | '\u{feff}' | '\u{fffe}' | '\u{ffff}' => MISSING,
        c if c.is_control() => ' ',
        c => c,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_have_one_width_so_that_columns_line_up() {
        let faces = Faces::new().unwrap();
        for weight in [Weight::Regular, Weight::Bold] {
            let widths: Vec<f32> =
                ('0'..='9').map(|d| faces.width_mm(&d.to_string(), 10.0, weight)).collect();
            assert!(widths.iter().all(|w| *w == widths[0] && *w > 1.0), "{widths:?}");
        }
    }

    #[test]
    fn wrapped_lines_fit_and_lose_no_letter() {
        let faces = Faces::new().unwrap();
        let text = "Felt dizzy while climbing stairs → sat down\nDonaudampfschifffahrtsgesellschaftskapitän";
        let lines = faces.wrap(text, 9.0, Weight::Regular, 22.0);
        assert!(lines.iter().all(|l| faces.width_mm(l, 9.0, Weight::Regular) <= 22.0));
        let letters = |s: &str| s.chars().filter(|c| !c.is_whitespace()).collect::<String>();
        assert_eq!(letters(&lines.concat()), letters(text));
    }

    #[test]
    fn a_character_of_no_font_becomes_a_box_and_a_control_a_space() {
        let faces = Faces::new().unwrap();
        let text: String =
            faces.runs("a\u{7}漢\u{e123}→", 9.0, Weight::Bold).into_iter().map(|r| r.1).collect();
        assert_eq!(text, "a □□→");
    }
}
