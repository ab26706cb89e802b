//! Writes the pages as PDF/A-3a and PDF/UA-1: marks, tags, outline, metadata.

use std::num::NonZeroU16;

use chrono::{Datelike, Timelike};
use krilla::color::rgb;
use krilla::configure::{Accessibility, Archival, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::error::KrillaError;
use krilla::geom::{PathBuilder, Point};
use krilla::metadata::{DateTime, Metadata};
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, LineCap, LineJoin, Stroke};
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ContentTag, Identifier, Node, SpanTag, TableHeaderScope, Tag, TagGroup, TagKind, TagTree,
};
use krilla::text::{Font, TextDirection};
use krilla::{Data, Document, SerializeSettings};

use super::fonts::{BOLD, FALLBACK, FaceId, Faces, MM_PER_PT, REGULAR, Weight};
use super::rgb::Rgb;
use super::sheet::{Op, OutlineEntry, Part, PartId, Sheet, Tree};
use crate::ReportError;
use crate::document::Report;

/// Points of one millimetre.
const PT_PER_MM: f32 = 1.0 / MM_PER_PT;

struct Brush {
    faces: Faces,
    fonts: [Font; 3],
}

pub(super) fn paint(
    report: &Report,
    sheets: &[Sheet],
    tree: &Tree,
    outline: &[OutlineEntry],
) -> Result<Vec<u8>, ReportError> {
    let configuration = ConfigurationBuilder::new()
        .with_archival_validator(Archival::A3_A)
        .with_accessibility_validator(Accessibility::UA1)
        .finish()
        .map_err(|e| ReportError::Pdf(format!("{e:?}")))?;
    let mut document =
        Document::new_with(SerializeSettings { enable_tagging: true, configuration, ..Default::default() });
    document.set_metadata(metadata(report));
    let font = |bytes: &'static [u8]| {
        Font::new(Data::from(bytes.to_vec()), 0)
            .ok_or_else(|| ReportError::Font("a built-in font cannot be read".to_owned()))
    };
    let brush = Brush { faces: Faces::new()?, fonts: [font(REGULAR)?, font(BOLD)?, font(FALLBACK)?] };
    let mut ids: Vec<Vec<Identifier>> = vec![Vec::new(); tree.parts.len()];
    for sheet in sheets {
        let (w, h) = sheet.size_mm();
        let settings = PageSettings::from_wh(w * PT_PER_MM, h * PT_PER_MM)
            .ok_or_else(|| ReportError::Pdf("a page has no size".to_owned()))?;
        let mut page = document.start_page_with(settings);
        let mut surface = page.surface();
        brush.sheet(&mut surface, sheet, tree, &mut ids);
        surface.finish();
        page.finish();
    }
    document.set_outline(outline_of(outline));
    document.set_tag_tree(tag_tree(tree, &ids));
    document.finish().map_err(|e| ReportError::Pdf(reason(&e)))
}

/// What the writer refused, all of it.
fn reason(error: &KrillaError) -> String {
    match error {
        KrillaError::Validation(list) => {
            list.iter().map(|(what, _)| format!("{what:?}")).collect::<Vec<_>>().join(", ")
        }
        other => other.to_string(),
    }
}

/// Text for titles and tags: an archival file allows 32767 bytes of a string, and nobody listens that long.
fn brief(text: &str) -> String {
    const MOST: usize = 600;
    match text.chars().count() > MOST {
        true => text.chars().take(MOST).chain(['…']).collect(),
        false => text.to_owned(),
    }
}

impl Brush {
    /// Draws one page; marks of the same part that follow each other share one tag.
    fn sheet(&self, surface: &mut Surface<'_>, sheet: &Sheet, tree: &Tree, ids: &mut [Vec<Identifier>]) {
        let mut at = 0;
        while at < sheet.items.len() {
            let part = sheet.items[at].0;
            let end = at + sheet.items[at..].iter().take_while(|i| i.0 == part).count();
            let tag = match part.map(|p| &tree.parts[p].0) {
                None => ContentTag::Artifact(Artifact::default()),
                Some(Part::Figure(_)) => ContentTag::Other,
                Some(_) => ContentTag::Span(SpanTag::empty()),
            };
            let id = surface.start_tagged(tag);
            sheet.items[at..end].iter().for_each(|(_, op)| self.op(surface, op));
            surface.end_tagged();
            if let Some(part) = part {
                ids[part].push(id);
            }
            at = end;
        }
    }

    fn op(&self, surface: &mut Surface<'_>, op: &Op) {
        match op {
            Op::Text { at, size_pt, weight, rgb, text } => {
                surface.set_stroke(None);
                surface.set_fill(Some(fill(*rgb)));
                self.text(surface, *at, *size_pt, *weight, text);
            }
            Op::Lines { lines, width_mm, rgb } => {
                surface.set_fill(None);
                surface.set_stroke(Some(stroke(*width_mm, *rgb)));
                draw_path(surface, lines.iter().map(Vec::as_slice), false);
            }
            Op::Area { outline, rgb } => {
                surface.set_stroke(None);
                surface.set_fill(Some(fill(*rgb)));
                draw_path(surface, [outline.as_slice()].into_iter(), true);
            }
        }
    }

    fn text(&self, surface: &mut Surface<'_>, at: [f32; 2], size_pt: f32, weight: Weight, text: &str) {
        let mut x = at[0];
        for (face, run, width) in self.faces.runs(text, size_pt, weight) {
            let font = match face {
                FaceId::Regular => &self.fonts[0],
                FaceId::Bold => &self.fonts[1],
                FaceId::Fallback => &self.fonts[2],
            };
            surface.draw_text(
                Point::from_xy(pt(x), pt(at[1])),
                font.clone(),
                size_pt,
                &run,
                false,
                TextDirection::Auto,
            );
            x += width;
        }
    }
}

/// Points of a place in millimetres, to a hundredth of a point: short numbers keep the file small.
fn pt(mm: f32) -> f32 {
    (mm * PT_PER_MM * 100.0).round() / 100.0
}

fn draw_path<'a>(surface: &mut Surface<'_>, lines: impl Iterator<Item = &'a [[f32; 2]]>, close: bool) {
    let mut path = PathBuilder::new();
    for line in lines {
        for (i, [x, y]) in line.iter().enumerate() {
            match i {
                0 => path.move_to(pt(*x), pt(*y)),
                _ => path.line_to(pt(*x), pt(*y)),
            }
        }
        if close && line.len() > 2 {
            path.close();
        }
    }
    // An empty path is nothing to draw.
    if let Some(path) = path.finish() {
        surface.draw_path(&path);
    }
}

fn fill((r, g, b): Rgb) -> Fill {
    Fill { paint: rgb::Color::new(r, g, b).into(), ..Default::default() }
}

fn stroke(width_mm: f32, (r, g, b): Rgb) -> Stroke {
    Stroke {
        paint: rgb::Color::new(r, g, b).into(),
        width: width_mm * PT_PER_MM,
        line_cap: LineCap::Butt,
        line_join: LineJoin::Round,
        opacity: NormalizedF32::ONE,
        ..Default::default()
    }
}

fn metadata(report: &Report) -> Metadata {
    let local = report.created_utc_ms.saturating_add(i64::from(report.utc_offset_min) * 60_000);
    let time = chrono::DateTime::from_timestamp_millis(local).unwrap_or_default();
    let offset = report.utc_offset_min.clamp(-14 * 60, 14 * 60);
    let date = DateTime::new(time.year().clamp(0, 9999) as u16)
        .month(time.month() as u8)
        .day(time.day() as u8)
        .hour(time.hour() as u8)
        .minute(time.minute() as u8)
        .second(time.second() as u8)
        .utc_offset_hour((offset / 60) as i8)
        .utc_offset_minute((offset % 60).unsigned_abs() as u8);
    Metadata::new()
        .title(brief(&report.title))
        .language("en".to_owned())
        .authors(report.authors.iter().map(|a| brief(a)).collect())
        .creator(brief(&report.program))
        .creation_date(date)
        .document_id(report.document_id.clone())
}

fn outline_of(entries: &[OutlineEntry]) -> Outline {
    let mut outline = Outline::new();
    for (text, page, y) in entries {
        let at = XyzDestination::new(*page, Point::from_xy(0.0, pt((y - 3.0).max(0.0))));
        outline.push_child(OutlineNode::new(brief(text), at));
    }
    outline
}

fn tag_tree(tree: &Tree, ids: &[Vec<Identifier>]) -> TagTree {
    let mut children: Vec<Vec<PartId>> = vec![Vec::new(); tree.parts.len()];
    let mut top = Vec::new();
    for (i, (_, parent)) in tree.parts.iter().enumerate() {
        match parent {
            Some(p) => children[*p].push(i),
            None => top.push(i),
        }
    }
    let mut out = TagTree::new();
    for part in top {
        out.push(group(tree, ids, &children, part));
    }
    out
}

fn group(tree: &Tree, ids: &[Vec<Identifier>], children: &[Vec<PartId>], part: PartId) -> TagGroup {
    let kind: TagKind = match &tree.parts[part].0 {
        Part::Section => Tag::Section.into(),
        Part::Heading(level, text) => {
            Tag::Hn(NonZeroU16::new(*level).unwrap_or(NonZeroU16::MIN), Some(brief(text))).into()
        }
        Part::Paragraph => Tag::P.into(),
        Part::Table(summary) => Tag::Table.with_summary(Some(brief(summary))).into(),
        Part::Row => Tag::TR.into(),
        Part::HeadCell => Tag::TH(TableHeaderScope::Column).into(),
        Part::Cell => Tag::TD.into(),
        Part::Figure(words) => Tag::Figure(Some(brief(words))).into(),
    };
    let mut nodes: Vec<Node> = ids[part].iter().map(|id| Node::from(*id)).collect();
    nodes.extend(children[part].iter().map(|c| Node::from(group(tree, ids, children, *c))));
    TagGroup::with_children(kind, nodes)
}
