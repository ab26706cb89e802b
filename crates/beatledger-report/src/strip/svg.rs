//! A strip as SVG: one unit is one millimetre.

use std::fmt::Write as _;

use super::{StripGeom, TEXT_MM};
use crate::values::{class_rgb, escape_xml};

/// Room below the paper for the caption, mm.
const CAPTION_MM: f32 = 6.0;

/// The strip as an SVG file with its caption, true to scale when printed at 100 %.
pub fn to_svg(geom: &StripGeom) -> String {
    let (w, h) = (geom.width_mm, geom.height_mm);
    let mut svg = String::new();
    // Writing to a String cannot fail, so the results are not looked at.
    let _ = write!(
        svg,
        concat!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" width="{w:.2}mm" height="{full:.2}mm" "#,
            r#"viewBox="0 0 {w:.2} {full:.2}" font-family="Noto Sans, DejaVu Sans, sans-serif" font-size="{t}">"#,
            "\n<title>{caption}</title>\n",
            r##"<rect width="{w:.2}" height="{h:.2}" fill="#ffffff"/>"##,
            "\n"
        ),
        w = w,
        h = h,
        full = h + CAPTION_MM,
        t = TEXT_MM,
        caption = escape_xml(&geom.caption)
    );
    for (x0, x1) in &geom.unreadable {
        let _ = writeln!(
            svg,
            r##"<rect x="{x0:.2}" y="0" width="{:.2}" height="{h:.2}" fill="#d9d9d6"/>"##,
            x1 - x0
        );
    }
    grid(&mut svg, geom);
    for lead in &geom.leads {
        for line in lead.polylines.iter().chain([&lead.pulse]) {
            path(&mut svg, line);
        }
    }
    texts(&mut svg, geom);
    svg.push_str("</svg>\n");
    svg
}

fn grid(svg: &mut String, geom: &StripGeom) {
    for bold in [false, true] {
        let mut d = String::new();
        for (x, _) in geom.columns().filter(|l| l.1 == bold) {
            let _ = write!(d, "M{x:.0} 0V{:.2}", geom.height_mm);
        }
        for (y, _) in geom.rows().filter(|l| l.1 == bold) {
            let _ = write!(d, "M0 {y:.0}H{:.2}", geom.width_mm);
        }
        let (colour, width) = if bold { ("#d8b4ac", 0.16) } else { ("#efdcd7", 0.08) };
        let _ = writeln!(svg, r#"<path d="{d}" stroke="{colour}" stroke-width="{width}" fill="none"/>"#);
    }
}

fn path(svg: &mut String, line: &[[f32; 2]]) {
    if line.is_empty() {
        return;
    }
    svg.push_str(r#"<path d=""#);
    for (i, [x, y]) in line.iter().enumerate() {
        let _ = write!(svg, "{}{x:.2} {y:.2}", if i == 0 { "M" } else { "L" });
    }
    svg.push_str("\" stroke=\"#1a1a1a\" stroke-width=\"0.25\" stroke-linejoin=\"round\" fill=\"none\"/>\n");
}

fn texts(svg: &mut String, geom: &StripGeom) {
    for t in &geom.texts {
        let _ = writeln!(svg, r#"<text x="{:.2}" y="{:.2}">{}</text>"#, t.x_mm, t.y_mm, escape_xml(&t.text));
    }
    for mark in &geom.marks {
        let (r, g, b) = class_rgb(mark.class);
        let under = if mark.changed { r#" text-decoration="underline""# } else { "" };
        let _ = writeln!(
            svg,
            r##"<text x="{:.2}" y="4" text-anchor="middle" fill="#{r:02x}{g:02x}{b:02x}"{under}>{}</text>"##,
            mark.x_mm, mark.letter
        );
    }
    for rr in geom.rr.iter().filter(|rr| rr.width_mm > 7.0) {
        let _ =
            writeln!(svg, r#"<text x="{:.2}" y="4" text-anchor="middle">{:.0}</text>"#, rr.x_mm, rr.rr_ms);
    }
    let _ = writeln!(
        svg,
        r#"<text x="0" y="{:.2}">{}</text>"#,
        geom.height_mm + CAPTION_MM - 2.0,
        escape_xml(&geom.caption)
    );
}
