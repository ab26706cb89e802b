//! Tracing geometry in millimetres, made once and drawn by the window, the PDF and the SVG alike.
//!
//! The origin is the top left corner, x to the right, y down. Paper scale means 25 mm/s and 10 mm/mV,
//! so that 1 mm is 40 ms and 0.1 mV, and 5 mm is 200 ms and 0.5 mV (common practice). Whoever draws it
//! keeps one scale for both axes.

mod build;
mod svg;
mod trace;

#[cfg(test)]
mod tests;

pub use build::{build, filters_text};
pub use svg::to_svg;

use beatledger_core::model::{BeatClass, Span};

/// Distance of the fine lines of the paper, mm.
pub const GRID_FINE_MM: f32 = 1.0;
/// Distance of the bold lines of the paper, mm.
pub const GRID_BOLD_MM: f32 = 5.0;
/// Room above the leads for beat letters and RR intervals, mm.
pub const HEADER_MM: f32 = 5.0;
/// Room left of the tracing that the calibration pulse takes, mm.
pub const PULSE_ROOM_MM: f32 = 10.0;
/// Height of print of letters, lead names and RR intervals, mm.
pub const TEXT_MM: f32 = 2.6;

/// How a strip is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct StripOptions {
    /// Paper speed.
    pub mm_per_s: f32,
    /// Gain.
    pub mm_per_mv: f32,
    /// Indices of the leads to draw, in order; empty for all. Leads that do not exist are left out.
    pub leads: Vec<usize>,
    /// Height of each lead, mm; `None` fits it to the tracing in steps of 5 mm.
    pub lead_height_mm: Option<f32>,
    /// True to put a pulse of 1 mV and 200 ms before each lead.
    pub calibration_pulse: bool,
    /// Samples denser than this are thinned to their lowest and highest value, mm.
    pub thin_below_mm: f32,
}

impl Default for StripOptions {
    fn default() -> Self {
        Self {
            mm_per_s: 25.0,
            mm_per_mv: 10.0,
            leads: Vec::new(),
            lead_height_mm: None,
            calibration_pulse: true,
            thin_below_mm: 0.1,
        }
    }
}

/// One lead as drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct LeadTrace {
    /// Index of the lead in the recording.
    pub lead: usize,
    /// Name of the lead, with `(inverted)` behind it when it is drawn upside down.
    pub name: String,
    /// Upper edge, mm.
    pub top_mm: f32,
    /// Lower edge, mm.
    pub bottom_mm: f32,
    /// Height of 0 mV, mm from the top of the strip.
    pub baseline_mm: f32,
    /// The tracing as `[x, y]` in mm, broken where samples are missing; cut to the lead's own room.
    pub polylines: Vec<Vec<[f32; 2]>>,
    /// The pulse of 1 mV and 200 ms; empty when none is wanted.
    pub pulse: Vec<[f32; 2]>,
    /// True when the tracing went beyond its room and was cut there.
    pub cut: bool,
}

/// One beat on the strip.
#[derive(Clone, Debug, PartialEq)]
pub struct BeatMark {
    /// Index of the beat in the snapshot.
    pub beat: u32,
    /// Where, mm.
    pub x_mm: f32,
    /// Letter of its class.
    pub letter: char,
    /// Class in force.
    pub class: BeatClass,
    /// True when a reader changed or placed it.
    pub changed: bool,
}

/// An RR interval in print, between two beats of the strip.
#[derive(Clone, Debug, PartialEq)]
pub struct RrLabel {
    /// Middle of the interval, mm.
    pub x_mm: f32,
    /// Width of the interval, mm.
    pub width_mm: f32,
    /// Its length, ms.
    pub rr_ms: f64,
}

/// A short text at a place of the strip.
#[derive(Clone, Debug, PartialEq)]
pub struct StripText {
    /// Left edge, mm.
    pub x_mm: f32,
    /// Base line of the print, mm.
    pub y_mm: f32,
    /// The text.
    pub text: String,
}

/// A piece of tracing on paper scale.
#[derive(Clone, Debug, PartialEq)]
pub struct StripGeom {
    /// What is drawn, in samples.
    pub span: Span,
    /// Width of the paper, mm, calibration pulse included.
    pub width_mm: f32,
    /// Height of the paper, mm. The grid starts at the top left corner and covers all of it.
    pub height_mm: f32,
    /// Where the first sample lies, mm.
    pub x0_mm: f32,
    /// Paper speed.
    pub mm_per_s: f32,
    /// Gain.
    pub mm_per_mv: f32,
    /// The leads, top to bottom.
    pub leads: Vec<LeadTrace>,
    /// The beats.
    pub marks: Vec<BeatMark>,
    /// RR intervals that lie wholly on the strip.
    pub rr: Vec<RrLabel>,
    /// Stretches that cannot be read, from and to in mm.
    pub unreadable: Vec<(f32, f32)>,
    /// Lead names and one clock time a second mark.
    pub texts: Vec<StripText>,
    /// Places of whole seconds of the clock, mm.
    pub seconds: Vec<f32>,
    /// One line: clock time, leads, speed, gain, filters.
    pub caption: String,
}

impl StripGeom {
    /// Place of a sample, mm; samples outside the strip give places outside the paper.
    pub fn x_from_sample(&self, rate_hz: f64, sample: i64) -> f32 {
        self.x0_mm + ((sample - self.span.start) as f64 / rate_hz * f64::from(self.mm_per_s)) as f32
    }

    /// Distances of the grid lines from the left edge: `(mm, bold)`.
    pub fn columns(&self) -> impl Iterator<Item = (f32, bool)> {
        grid_lines(self.width_mm)
    }

    /// Distances of the grid lines from the top edge: `(mm, bold)`.
    pub fn rows(&self) -> impl Iterator<Item = (f32, bool)> {
        grid_lines(self.height_mm)
    }
}

fn grid_lines(length_mm: f32) -> impl Iterator<Item = (f32, bool)> {
    let steps = (GRID_BOLD_MM / GRID_FINE_MM) as usize;
    // A strip is metres long at most; the count is small and the conversion exact.
    (0..=(length_mm / GRID_FINE_MM + 1e-3) as usize)
        .map(move |i| (i as f32 * GRID_FINE_MM, i.is_multiple_of(steps)))
}
