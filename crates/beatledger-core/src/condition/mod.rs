//! Samples to filtered samples, and quality per lead and second.
//!
//! `band` filters for detection, `display` for drawing and measuring, and `quality` judges each second of each lead.
//! This stage knows the samples and the settings alone; beats and what depends on them must not come in.

pub(crate) mod band;
mod boxcar;
pub(crate) mod calibration;
mod display;
mod fir;
pub(crate) mod quality;
pub(crate) mod raw;
pub(crate) mod seconds;
#[cfg(test)]
mod tests;

pub use display::display_mv;
pub use quality::quality;
